"""Cycles as they are kept: record, verdicts and decisions of each, opened, drawn from, judged again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from sinkside.cycles import Reading
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.cycle_documents import CycleRecord, Decision, Judged
from sinkside.desk.cycle_judging import is_judged_at_once, judged_here
from sinkside.desk.keeping import from_revision, keep_next
from sinkside.desk.machine_rows import count_once, note_verdict
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recorder_files import cycles_of
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, NotThere, SinksideError
from sinkside.records import Row, StoredFile

if TYPE_CHECKING:
    from sinkside.cycles import Trace

KIND: Final = "cycle"
VERDICT: Final = "verdict"
DECISION: Final = "decision"
JUDGE_JOB: Final = "judge-cycles"

#: How a cycle stands: being judged, judged and undecided, and what a person decided.
STATES: Final = ("judging", "undecided", "held", "released")
UNDECIDED: Final = ("judging", "undecided")


@dataclass(frozen=True)
class OpenCycle:
    """A cycle with its record, its last verdict and every decision, the last one last.

    `others` are the cycles here that the same recorder file was handed in as too, the latest first; `counted`
    is the one of them, or this one, by which the run counts at its machine.
    """

    row: Row
    record: CycleRecord
    judged: Judged | None
    verdict_revision: int
    decisions: tuple[Decision, ...]
    file: StoredFile | None
    handed_in: datetime
    others: tuple[Row, ...] = ()
    counted: str = ""

    @property
    def decision(self) -> Decision | None:
        """What holds now; none while nobody has decided."""
        return self.decisions[-1] if self.decisions else None


def open_cycle(archive: Archive, who: Visitor, cycle: str) -> OpenCycle:
    """A cycle with its record, verdict and decisions.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        return opened_cycle(unit, cycle_row(unit, who, cycle))


def trace_of(archive: Archive, who: Visitor, cycle: str) -> Trace:
    """What the recorder wrote, to be drawn.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if the file cannot be read.
    """
    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        return trace_in(unit, opened_cycle(unit, cycle_row(unit, who, cycle)))


def trace_in(unit: Unit, known: OpenCycle) -> Trace:
    """What the recorder wrote of a cycle that is open, for the verbs that need it.

    Raises:
        UnreadableFile: if the file is missing or was altered.
        BadInput: if it cannot be read.
    """
    from sinkside.cycles.reading.reader import trace_from_bytes

    data = unit.files.read(known.record.file)
    said = known.judged.reading if known.judged else Reading()
    needed = replace(said, needs_pressure=known.record.program.needs_pressure)
    return trace_from_bytes(data, name=known.record.file_name, reading=needed)


def recorder_file(archive: Archive, who: Visitor, cycle: str) -> tuple[StoredFile, bytes]:
    """The recorder's file as it was handed in.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        UnreadableFile: if it is missing or was altered.
    """
    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
        if known.file is None:
            raise NotThere("there is no such file here", resource=cycle)
        return known.file, unit.files.read(known.record.file)


def judge_again(archive: Archive, who: Visitor, cycle: str, *, reading: Reading, now: datetime) -> Judged:
    """Judge a record again with what a person says of its file, as long as nobody has decided.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if somebody has decided already, or it is too large to be judged at once.
    """
    require(who, "cycle-upload")
    with archive.unit(writes=False) as unit:
        known = _undecided(opened_cycle(unit, cycle_row(unit, who, cycle)))
        data = unit.files.read(known.record.file)
    upload = Upload(known.record.file_name, "", data)
    if not is_judged_at_once([upload]):
        raise BadInput("this file is too large to be judged at once; hand it in again", resource=cycle)
    said = with_what_was_said(reading, known.judged.reading if known.judged else Reading())
    answer = judged_here(upload, known.record.program, profile=known.record.profile, reading=said)
    with archive.unit() as unit:
        _undecided(opened_cycle(unit, cycle_row(unit, who, cycle)))
        keep_verdict(unit, who, cycle, answer, now=now)
    return answer


def keep_verdict(unit: Unit, who: Visitor, cycle: str, judged: Judged, *, now: datetime) -> None:
    """Keep what the judge answered as the next verdict of a cycle, which then waits for a decision."""
    row = unit.rows.get(KIND, cycle)
    if row is None:
        raise SinksideError("the cycle of this verdict is gone", resource=cycle)
    kept = keep_next(unit, VERDICT, cycle, judged, by=who.person, now=now)
    data = {"outcome": judged.outcome, "verdict": kept.number, "digest": kept.digest}
    record(unit, who, "cycle-judged", subject_of(cycle), now=now, data=data)
    shown = {
        **row.fields,
        "verdict": judged.outcome,
        "verdict_revision": kept.number,
        "summary": judged.summary,
        "in_file": str(judged.reading.cycle or row.fields.get("in_file") or 0),
        "job": None,
    }
    unit.rows.put(replace(row, state="undecided", updated=now, due=row.due or now, fields=shown))
    if shown["in_file"] != row.fields.get("in_file"):
        count_file_once(unit, row.department, str(row.fields["file"]))
    figures = judged.verdict.values if judged.verdict else {}
    note_verdict(
        unit, cycle, outcome=judged.outcome, figures={name: one.value for name, one in figures.items()}
    )


def subject_of(cycle: str) -> str:
    """How a cycle stands in events."""
    return f"{KIND}:{cycle}"


def cycle_row(unit: Unit, who: Visitor, cycle: str) -> Row:
    """The row of a cycle of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, cycle)
    if row is None or row.department != who.department:
        raise NotThere("there is no such cycle here", resource=cycle)
    return row


def cycles_of_file(
    unit: Unit, department: str, digest: str, *, in_file: str | None = None
) -> tuple[Row, ...]:
    """The cycles here that one recorder file, told by its content, was handed in as; the latest first.

    `in_file` leaves only those of one cycle in a file that holds several ("0": nobody said which).
    """
    found = (unit.rows.get(KIND, cycle) for cycle in reversed(cycles_of(unit, department, digest)))
    return tuple(row for row in found if row is not None and in_file in {None, _in_file(row)})


def counted_of(cycles: Sequence[Row]) -> Row:
    """Of cycles of one file and machine, the latest first, the one that counts: decided last, else latest."""
    decided = [row for row in cycles if row.state not in UNDECIDED]
    return max(decided, key=lambda row: str(row.fields.get("decided_at") or ""), default=cycles[0])


def count_file_once(unit: Unit, department: str, digest: str) -> None:
    """Keep that a file, however often and by how many programs it was judged, is one run of its machine.

    Where two machines are named for it, it stays with both: what is asked after begins wide.
    """
    runs: dict[tuple[object, object], list[Row]] = {}
    for row in cycles_of_file(unit, department, digest):
        runs.setdefault(_run_of(row), []).append(row)
    for cycles in runs.values():
        count_once(unit, [row.id for row in cycles], counted_of(cycles).id)


def _run_of(row: Row) -> tuple[object, object]:
    """The machine of a cycle of a file, and which cycle of the file it is."""
    return row.fields.get("machine"), _in_file(row)


def _in_file(row: Row) -> str:
    return str(row.fields.get("in_file") or 0)


def with_what_was_said(reading: Reading, before: Reading) -> Reading:
    """What a person says of a file now, and what was said of it before and is not said anew.

    >>> with_what_was_said(Reading(cycle=2), Reading(cycle=1, pressure="gauge")).pressure
    'gauge'
    """
    silent = Reading()
    kept = {
        one.name: getattr(before, one.name)
        for one in fields(Reading)
        if getattr(reading, one.name) == getattr(silent, one.name)
    }
    return replace(reading, **kept)


def is_of_program(row: Row, record: CycleRecord) -> bool:
    """Whether a cycle was judged by the program of the same machine that a record was."""
    return (row.fields.get("machine"), row.fields.get("program")) == (record.machine, record.program.name)


def opened_cycle(unit: Unit, row: Row) -> OpenCycle:
    """A cycle with everything around it, for the verbs of this room."""
    handed_in = unit.documents.get(KIND, row.id)
    if handed_in is None:
        raise NotThere("there is no such cycle here", resource=row.id)
    kept = from_revision(handed_in, CycleRecord)
    verdict = unit.documents.get(VERDICT, row.id)
    decisions = unit.documents.revisions(DECISION, row.id)
    of_file = cycles_of_file(unit, row.department, kept.file, in_file=_in_file(row))
    of_run = [one for one in of_file if _run_of(one) == _run_of(row)] or [row]
    return OpenCycle(
        row=row,
        record=kept,
        judged=from_revision(verdict, Judged) if verdict else None,
        verdict_revision=verdict.number if verdict else 0,
        decisions=tuple(from_revision(one, Decision) for one in decisions),
        file=unit.files.get(kept.file),
        handed_in=handed_in.at,
        others=tuple(one for one in of_file if one.id != row.id),
        counted=counted_of(of_run).id,
    )


def _undecided(known: OpenCycle) -> OpenCycle:
    if known.decision is not None:
        raise BadInput(f"it is {known.decision.decided} already", resource=known.row.id)
    return known
