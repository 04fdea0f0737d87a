"""Evidence files made, kept byte for byte, and told from the one before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.aids.evidence import EvidenceRequest, evidence_pdf
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.cycle_records import OpenCycle, trace_in
from sinkside.desk.evidence.documents import EvidenceMade
from sinkside.desk.evidence.facts import LoadThen, RunFacts
from sinkside.desk.evidence.forgetting import KIND
from sinkside.desk.evidence.gathering import READ, gather
from sinkside.desk.evidence.telling import Telling, by_whom, lines_of, request_of
from sinkside.desk.evidence.told_loads import DrawnRecord
from sinkside.desk.evidence.wording import Clock, with_names
from sinkside.desk.keeping import from_revision, keep_next, read_kept
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_records import family_names
from sinkside.errors import BadInput, NotThere, UnreadableFile
from sinkside.records import Row

MAKE: Final = "evidence-make"
MADE: Final = "made"
PDF: Final = "application/pdf"

_MOST_CHANGES: Final = 16


@dataclass(frozen=True)
class MadeFile:
    """An evidence file: its number among those of the same run or load, what is kept of it, its bytes."""

    number: int
    made: EvidenceMade
    pdf: bytes


@dataclass(frozen=True)
class Subject:
    """What a file is of, and who is named in it, by their pseudonyms."""

    of: str
    id: str
    code: str
    gaps: int
    people: frozenset[str]


def make_evidence(archive: Archive, who: Visitor, run: str, *, now: datetime, live_url: str = "") -> MadeFile:
    """Make the evidence file of a run, keep it, and write that into the record book.

    Args:
        archive: where everything is kept.
        who: who makes it.
        run: of which run.
        now: the moment.
        live_url: where the living page is; empty without a server.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such run here.
        NotForTheFloor: if a sign cannot be shown.
    """
    require(who, MAKE)
    with archive.unit(writes=False) as unit:
        facts = gather(unit, who, run, now=now)
        telling = Telling(
            by=who.person,
            at=now,
            records=records_of(unit, facts.loads),
            families=family_names(unit, who.department, facts.families),
            live_url=live_url,
        )
        request = request_of(facts, telling)
        subject = Subject("run", run, facts.copy.code, len(facts.gaps), facts.people | {who.person})
        named, said = finished(unit, who, subject, request)
    return keep_made(archive, who, subject, named, said, pdf=evidence_pdf(named), now=now)


def request_for(unit: Unit, who: Visitor, facts: RunFacts, *, now: datetime) -> EvidenceRequest:
    """Everything that a file of some facts would say, with names."""
    telling = Telling(by=who.person, at=now, families=family_names(unit, who.department, facts.families))
    return with_names(request_of(facts, telling), names_in(unit, facts.people | {who.person}))


def made_files(unit: Unit, subject: str) -> tuple[tuple[int, EvidenceMade], ...]:
    """Every file that was made of a run or load, the oldest first."""
    kept = unit.documents.revisions(KIND, subject)
    return tuple((one.number, from_revision(one, EvidenceMade)) for one in kept)


def made_file(archive: Archive, who: Visitor, subject: str, number: int) -> MadeFile:
    """A file that was made, byte for byte.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here, or it named somebody who was erased.
        UnreadableFile: if it is missing or was altered.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        row = unit.rows.get(KIND, subject)
        made = read_kept(unit, KIND, subject, EvidenceMade, number)
        if row is None or made is None or row.department != who.department:
            raise NotThere("there is no such evidence file here", resource=subject)
        if unit.files.get(made.file) is None:
            raise NotThere("it named somebody who was erased, and is not kept any more; make it anew")
        return MadeFile(number, made, unit.files.read(made.file))


def records_of(unit: Unit, loads: Iterable[LoadThen]) -> dict[str, DrawnRecord]:
    """What the recorders wrote of some loads, by the cycle's id; where it cannot be read, why."""
    return {one.cycle.row.id: _record(unit, one.cycle) for one in loads if one.cycle is not None}


def finished(
    unit: Unit, who: Visitor, subject: Subject, request: EvidenceRequest
) -> tuple[EvidenceRequest, tuple[str, ...]]:
    """A request with what is otherwise than in the file before and with names; and its lines without them."""
    said = lines_of(request)
    before = read_kept(unit, KIND, subject.id, EvidenceMade)
    people = subject.people
    if before is not None:
        made = f"{Clock(who.zone).at(before.at)} by {by_whom(before.by)}"
        since = f"the file of {made} (record book at {before.head})"
        request = replace(request, changed=changes(before.said, said), changed_since=since)
        people = people | {before.by}
    return with_names(request, names_in(unit, people)), said


def changes(before: Sequence[str], now: Sequence[str]) -> tuple[str, ...]:
    """What a file says that the one before did not, and the other way round.

    >>> changes(("The run · Packed",), ("The run · Packed", "Recalls · An indicator grew"))
    ('New: Recalls · An indicator grew',)
    """
    was, is_now = set(before), set(now)
    found = [f"New: {one}" for one in now if one not in was]
    found += [f"No longer so: {one}" for one in before if one not in is_now]
    if not found:
        return ("Nothing.",)
    more = len(found) - _MOST_CHANGES
    return (*found[:_MOST_CHANGES], f"And {more} more.") if more > 0 else tuple(found)


def keep_made(
    archive: Archive,
    who: Visitor,
    subject: Subject,
    request: EvidenceRequest,
    said: tuple[str, ...],
    *,
    pdf: bytes,
    now: datetime,
) -> MadeFile:
    """Keep a file with its bytes, its line and its event."""
    day = Clock(who.zone).day(now)
    name = f"evidence-{_for_a_name(subject.code or subject.id)}-{day}.pdf"
    with archive.unit() as unit:
        stored = unit.files.put(pdf, media_type=PDF, name=name)
        made = EvidenceMade(
            of="run" if subject.of == "run" else "load",
            id=subject.id,
            code=subject.code,
            title=request.title,
            head=request.head,
            file=stored.digest,
            file_name=name,
            gaps=subject.gaps,
            said=said,
            by=who.person,
            at=now,
        )
        kept = keep_next(unit, KIND, subject.id, made, by=who.person, now=now)
        before = unit.rows.get(KIND, subject.id)
        people = subject.people | set(str(before.fields["people"] if before else "").split())
        fields: dict[str, str | int | float | bool | None] = {
            "of": subject.of,
            "code": subject.code,
            "number": kept.number,
            "file": stored.digest,
            "people": " ".join(sorted(people)),
        }
        title = f"{request.title} ({subject.code})" if subject.code else request.title
        unit.rows.put(Row(KIND, subject.id, who.department, MADE, title, now, fields=fields))
        data = {
            "of": subject.of,
            "number": kept.number,
            "file": stored.digest,
            "head": request.head,
            "gaps": subject.gaps,
            "digest": kept.digest,
        }
        record(unit, who, "evidence-made", f"{KIND}:{subject.id}", now=now, data=data)
    return MadeFile(kept.number, made, pdf)


def _record(unit: Unit, cycle: OpenCycle) -> DrawnRecord:
    try:
        return DrawnRecord(trace_in(unit, cycle))
    except (UnreadableFile, BadInput) as error:
        return DrawnRecord(unread=error.message)


def _for_a_name(text: str) -> str:
    """What of a code may stand in the name of a file."""
    return "".join(sign if sign.isalnum() or sign in "-_" else "-" for sign in text)
