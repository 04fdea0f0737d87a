"""Evidence for those who look at it: a run in short with its gaps, and the files that were made of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.aids.evidence import EvidenceRequest
from sinkside.desk.access import Visitor, require
from sinkside.desk.evidence.documents import EvidenceMade
from sinkside.desk.evidence.facts import RunFacts
from sinkside.desk.evidence.forgetting import KIND
from sinkside.desk.evidence.gathering import READ, gather, run_of_code
from sinkside.desk.evidence.making import made_files, request_for
from sinkside.desk.evidence.of_loads import LoadFacts, gather_load, load_request_for
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.records import Row

_LATEST: Final = 60


@dataclass(frozen=True)
class FileSeen:
    """A file that was made: its number, what is kept of it, who made it, and whether its bytes are kept."""

    number: int
    made: EvidenceMade
    by: str
    is_kept: bool


@dataclass(frozen=True)
class SeenRun:
    """A run with all that a file of it would say now, and the files that were made, the latest first."""

    facts: RunFacts
    said: EvidenceRequest
    files: tuple[FileSeen, ...]


@dataclass(frozen=True)
class SeenLoad:
    """The same of a load."""

    facts: LoadFacts
    said: EvidenceRequest
    files: tuple[FileSeen, ...]


def find_files(archive: Archive, who: Visitor) -> Sequence[Row]:
    """The runs and loads of which evidence files were made, the latest first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return unit.rows.all(KIND, [who.department], limit=_LATEST)


def run_for_code(archive: Archive, who: Visitor, code: str) -> str:
    """The last run of the set that a code belongs to.

    Raises:
        NotAllowed: without the right.
        NotThere: if no set here has the code, or it was never on a run.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return run_of_code(unit, who, code)


def see_run(archive: Archive, who: Visitor, run: str, *, now: datetime) -> SeenRun:
    """A run in short, with its gaps and its files.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such run here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        facts = gather(unit, who, run, now=now)
        return SeenRun(facts, request_for(unit, who, facts, now=now), _files(unit, run))


def see_load(archive: Archive, who: Visitor, load: str, *, now: datetime) -> SeenLoad:
    """A load in short, with the gaps of all that lay in it, and its files.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load here, or nothing lay in it.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        facts = gather_load(unit, who, load, now=now)
        return SeenLoad(facts, load_request_for(unit, who, facts, now=now), _files(unit, load))


def _files(unit: Unit, subject: str) -> tuple[FileSeen, ...]:
    made = made_files(unit, subject)
    names = names_in(unit, {one.by for _, one in made})
    return tuple(
        FileSeen(number, one, names[one.by], unit.files.get(one.file) is not None)
        for number, one in reversed(made)
    )
