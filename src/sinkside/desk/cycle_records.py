"""Recorder files handed in, kept and judged."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from sinkside.cycles import Reading
from sinkside.department import Machine, Program
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.cycle_documents import CycleRecord, Decision, Judged
from sinkside.desk.cycle_judging import LARGEST_RECORD_BYTES, is_judged_at_once, judged_here
from sinkside.desk.departments import department_in
from sinkside.desk.editing import yardstick_of
from sinkside.desk.keeping import from_revision, keep_next
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recorder_heads import Remembered, remember, remembered
from sinkside.desk.uploads import Upload, check_upload, new_id
from sinkside.errors import BadInput, NotThere, SinksideError
from sinkside.records import Job, Row, StoredFile, WantedRows

if TYPE_CHECKING:
    from sinkside.cycles import Trace

KIND: Final = "cycle"
VERDICT: Final = "verdict"
DECISION: Final = "decision"
JUDGE_JOB: Final = "judge-cycles"

#: How a cycle stands: being judged, judged and undecided, and what a person decided.
STATES: Final = ("judging", "undecided", "held", "released")
_UNDECIDED: Final = ("judging", "undecided")
MOST_FILES: Final = 500

#: Whoever presses a button twice does it within this.
_SAME_CLICK: Final = timedelta(seconds=10)


@dataclass(frozen=True)
class CyclesHandedIn:
    """The cycles that were made of the files, in their order, and the job if it takes one."""

    cycles: tuple[str, ...]
    job: str | None = None


@dataclass(frozen=True)
class OpenCycle:
    """A cycle with its record, its last verdict and every decision, the last one last."""

    row: Row
    record: CycleRecord
    judged: Judged | None
    verdict_revision: int
    decisions: tuple[Decision, ...]
    file: StoredFile | None
    handed_in: datetime

    @property
    def decision(self) -> Decision | None:
        """What holds now; none while nobody has decided."""
        return self.decisions[-1] if self.decisions else None


def machine_and_program(archive: Archive, who: Visitor, upload: Upload) -> Remembered | None:
    """The machine and program that this department last chose for a file with such a head.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "cycle-upload")
    with archive.unit(writes=False) as unit:
        return remembered(unit, who.department, upload.data)


def hand_in_cycles(
    archive: Archive,
    who: Visitor,
    uploads: Sequence[Upload],
    *,
    machine: str,
    program: str,
    now: datetime,
    reading: Reading | None = None,
) -> CyclesHandedIn:
    """Keep recorder files and have them judged: a few small ones at once, more as a job.

    The same files of the same program, sent again by the same person within seconds, are the ones there.

    Args:
        archive: where they are kept.
        who: the acting person.
        uploads: the files.
        machine: the id of the machine they came from.
        program: the name of its program that ran.
        now: the moment.
        reading: what a person says of the files where they are silent.

    Raises:
        NotAllowed: without the right.
        UnreadableFile: if a file is empty or too large.
        BadInput: if the department has no such machine or program.
    """
    require(who, "cycle-upload")
    if not 0 < len(uploads) <= MOST_FILES:
        raise BadInput(f"expected 1 to {MOST_FILES} files", resource="files")
    for upload in uploads:
        check_upload(upload, most_bytes=LARGEST_RECORD_BYTES)
    with archive.unit(writes=False) as unit:
        of_machine, of_program, said = _chosen(unit, who, machine, program, reading or Reading())
        profile = yardstick_of(unit, who.department).profile
    at_once = is_judged_at_once(uploads)
    judged = [
        judged_here(upload, of_program, profile=profile, reading=said) if at_once else None
        for upload in uploads
    ]
    with archive.unit() as unit:
        again = _handed_in_just_now(unit, who, uploads, of_machine, of_program, now=now)
        if again is not None:
            return again
        ids = []
        for upload, answer in zip(uploads, judged, strict=True):
            file = unit.files.put(upload.data, media_type=upload.media_type, name=upload.plain_name)
            kept = CycleRecord(
                machine=of_machine.id,
                machine_name=of_machine.name,
                program=of_program,
                profile=profile,
                file=file.digest,
                file_name=upload.plain_name,
            )
            ids.append(_keep_record(unit, who, kept, now=now))
            if answer is not None:
                keep_verdict(unit, who, ids[-1], answer, now=now)
        remember(unit, who.department, uploads[0].data, of_machine.id, of_program.name, now=now)
        job = None if at_once else _ask_for_verdicts(unit, who, ids, said, now=now)
        return CyclesHandedIn(tuple(ids), job)


def _handed_in_just_now(
    unit: Unit,
    who: Visitor,
    uploads: Sequence[Upload],
    machine: Machine,
    program: Program,
    *,
    now: datetime,
) -> CyclesHandedIn | None:
    """The cycles of a button that was pressed twice; none if one of the files is new."""
    known: list[Row] = []
    for upload in uploads:
        said = {
            "file": hashlib.sha256(upload.data).hexdigest(),
            "machine": machine.id,
            "program": program.name,
            "handed_in_by": who.person,
        }
        wanted = WantedRows(states=_UNDECIDED, fields=said, since=now - _SAME_CLICK, limit=1)
        found = unit.rows.found(KIND, [who.department], wanted)
        if not found:
            return None
        known += found
    job = known[0].fields.get("job")
    return CyclesHandedIn(tuple(row.id for row in known), str(job) if job else None)


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
    from sinkside.cycles.reading.reader import trace_from_bytes

    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
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
    answer = judged_here(upload, known.record.program, profile=known.record.profile, reading=reading)
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
    fields = {
        **row.fields,
        "verdict": judged.outcome,
        "verdict_revision": kept.number,
        "summary": judged.summary,
        "job": None,
    }
    unit.rows.put(replace(row, state="undecided", updated=now, due=row.due or now, fields=fields))


def subject_of(cycle: str) -> str:
    """How a cycle stands in events."""
    return f"{KIND}:{cycle}"


def _chosen(
    unit: Unit, who: Visitor, machine_id: str, program_name: str, reading: Reading
) -> tuple[Machine, Program, Reading]:
    site = department_in(unit, who.department)
    machines = {machine.id: machine for machine in site.machines} if site else {}
    machine = machines.get(machine_id)
    if site is None or machine is None:
        known = ", ".join(machines) or "none yet"
        raise BadInput(f"there is no machine '{machine_id}' here; there are {known}", resource="machine")
    programs = {program.name: program for program in machine.programs}
    program = programs.get(program_name)
    if program is None:
        known = ", ".join(programs) or "none"
        raise BadInput(
            f"'{machine.name}' has no program '{program_name}'; it has {known}", resource="program"
        )
    return machine, program, replace(reading, altitude_m=reading.altitude_m or site.altitude.to("m"))


def _keep_record(unit: Unit, who: Visitor, kept: CycleRecord, *, now: datetime) -> str:
    cycle = new_id("c")
    revision = keep_next(unit, KIND, cycle, kept, by=who.person, now=now)
    fields: dict[str, str | int | float | bool | None] = {
        "machine": kept.machine,
        "machine_name": kept.machine_name,
        "program": kept.program.name,
        "file": kept.file,
        "file_name": kept.file_name,
        "handed_in_by": who.person,
    }
    unit.rows.put(Row(KIND, cycle, who.department, "judging", kept.file_name, now, due=now, fields=fields))
    data = {
        "machine": kept.machine,
        "program": kept.program.name,
        "file": kept.file,
        "digest": revision.digest,
    }
    record(unit, who, "cycle-handed-in", subject_of(cycle), now=now, data=data)
    return cycle


def _ask_for_verdicts(
    unit: Unit, who: Visitor, cycles: Sequence[str], reading: Reading, *, now: datetime
) -> str:
    said = Judged(reading=reading).model_dump_json()
    arguments = {"cycles": " ".join(cycles), "said": said}
    job = Job(
        new_id("j"), JUDGE_JOB, who.department, who.person, arguments, "waiting", now, total=len(cycles)
    )
    unit.jobs.ask(job)
    for cycle in cycles:
        row = unit.rows.get(KIND, cycle)
        if row is not None:
            unit.rows.put(replace(row, fields={**row.fields, "job": job.id}))
    return job.id


def cycle_row(unit: Unit, who: Visitor, cycle: str) -> Row:
    """The row of a cycle of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, cycle)
    if row is None or row.department != who.department:
        raise NotThere("there is no such cycle here", resource=cycle)
    return row


def opened_cycle(unit: Unit, row: Row) -> OpenCycle:
    """A cycle with everything around it, for the verbs of this room."""
    handed_in = unit.documents.get(KIND, row.id)
    if handed_in is None:
        raise NotThere("there is no such cycle here", resource=row.id)
    kept = from_revision(handed_in, CycleRecord)
    verdict = unit.documents.get(VERDICT, row.id)
    decisions = unit.documents.revisions(DECISION, row.id)
    return OpenCycle(
        row=row,
        record=kept,
        judged=from_revision(verdict, Judged) if verdict else None,
        verdict_revision=verdict.number if verdict else 0,
        decisions=tuple(from_revision(one, Decision) for one in decisions),
        file=unit.files.get(kept.file),
        handed_in=handed_in.at,
    )


def _undecided(known: OpenCycle) -> OpenCycle:
    if known.decision is not None:
        raise BadInput(f"it is {known.decision.decided} already", resource=known.row.id)
    return known
