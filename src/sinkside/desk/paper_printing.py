"""Printing papers in the house: looked at first, then printed and known by their code from then on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.aids.count_sheet import SheetSize
from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.paper_documents import PaperPrinted
from sinkside.desk.paper_making import (
    Ground,
    MadePaper,
    PaperChoice,
    choice_of,
    ground_of,
    made_paper,
    ready_paper,
)
from sinkside.desk.paper_readers import ReadIn, readers_in
from sinkside.desk.paper_register import READ, known_paper, register_printed
from sinkside.desk.paper_sets import COUNT_SHEET, count_sheet, set_ground
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.errors import Conflict
from sinkside.language import REFERENCE_LANGUAGE

#: So many papers that somebody looks at page by page are made once.
_LOOKED_AT: Final = Remembered[str, MadePaper](most=24)


@dataclass(frozen=True)
class Wanted:
    """Which paper of what somebody wants, and where papers are looked up.

    Attributes:
        of: the id of the instruction, or of the set for a count sheet.
        choice: which paper; none for a count sheet.
        size: of a count sheet.
        language: of a count sheet.
        papers_url: where papers are looked up, for the code.
        proof: whether it is a marked copy that hangs nowhere.
    """

    of: str
    choice: PaperChoice | None
    papers_url: str
    size: SheetSize = SheetSize.a4
    language: str = REFERENCE_LANGUAGE
    proof: bool = False


def what_there_is(archive: Archive, who: Visitor, instruction: str) -> Ground:
    """What papers of an instruction are made from, to choose among them.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return ground_of(unit, who, instruction)


def look(archive: Archive, who: Visitor, wanted: Wanted, *, now: datetime) -> MadePaper:
    """A paper as it would be printed; nothing is written.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or set here.
        BadInput: if the paper comes on no such size, or is of a station and none is named.
        NotForTheFloor: if it must not be printed yet, unless it is a proof.
    """
    with archive.unit(writes=False) as unit:
        return _made(unit, who, wanted, now=now)


def print_paper(archive: Archive, who: Visitor, wanted: Wanted, *, now: datetime) -> MadePaper:
    """Print a paper for the floor, and know it by its code from now on.

    Raises:
        as `look`; Conflict for a proof, which is known by no code.
    """
    if wanted.proof:
        raise Conflict("a proof hangs nowhere; print the paper itself", resource="proof")
    with archive.unit() as unit:
        made = _made(unit, who, wanted, now=now)
        register_printed(unit, who, made.paper, now=now)
        return made


def printed_again(archive: Archive, who: Visitor, code: str, *, now: datetime, papers_url: str) -> MadePaper:
    """A paper by its code, as it is printed today.

    Raises:
        NotAllowed: without the right.
        NotThere: if no such paper was printed here.
        Conflict: if it was replaced: an old paper is not printed again.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = known_paper(unit, who, code)
        if not known.standing.is_current:
            raise Conflict("this paper was replaced; print the current one", resource=code)
        return _made(unit, who, wanted_again(known.paper, papers_url), now=now)


def wanted_again(paper: PaperPrinted, papers_url: str) -> Wanted:
    """The same paper, of what is in force now."""
    if paper.kind == COUNT_SHEET:
        return Wanted(paper.of.id, None, papers_url, SheetSize(paper.size), paper.languages[0])
    return Wanted(paper.of.id, choice_of(paper), papers_url)


def _made(unit: Unit, who: Visitor, wanted: Wanted, *, now: datetime) -> MadePaper:
    if wanted.choice is None:
        require(who, sets.READ)
        ground = set_ground(unit, who, wanted.of)
        readers = readers_in(unit, who, ReadIn(wanted.language, wanted.proof))
        return count_sheet(who, ground, readers, size=wanted.size, now=now, papers_url=wanted.papers_url)
    require(who, READ)
    of, choice = ground_of(unit, who, wanted.of), wanted.choice
    ready = ready_paper(who, of, choice, now=now, papers_url=wanted.papers_url, proof=wanted.proof)
    return _LOOKED_AT.get(repr(ready.request), lambda: made_paper(ready))
