"""Recorder files handed in, each with the program that ran, and judged."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.cycles import Reading
from sinkside.department import Department, Machine, Program
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.cycle_documents import CycleRecord, Judged
from sinkside.desk.cycle_judging import LARGEST_RECORD_BYTES, is_judged_at_once, judged_here
from sinkside.desk.cycle_records import (
    JUDGE_JOB,
    KIND,
    UNDECIDED,
    count_file_once,
    cycles_of_file,
    is_of_program,
    keep_verdict,
    subject_of,
)
from sinkside.desk.departments import department_in
from sinkside.desk.editing import reason_of, yardstick_of
from sinkside.desk.keeping import keep_next
from sinkside.desk.machine_rows import MachineRan, note_run
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recorder_files import note_cycle
from sinkside.desk.recorder_heads import Remembered, remember, remembered
from sinkside.desk.uploads import Upload, check_upload, new_id
from sinkside.errors import BadInput
from sinkside.records import Job, Row, WantedRows

MOST_FILES: Final = 500

#: Whoever presses a button twice does it within this.
_SAME_CLICK: Final = timedelta(seconds=10)


@dataclass(frozen=True)
class Ran:
    """The machine and its program that ran, and by whose word.

    Attributes:
        machine: the machine's id.
        program: the program's name.
        assumed: whether nobody chose it, and it was taken as last time for this recorder.
        reason: why a file that was judged by another program is judged by this one too.
    """

    machine: str
    program: str
    assumed: bool = False
    reason: str = ""


@dataclass(frozen=True)
class CyclesHandedIn:
    """The cycles that were made of the files, in their order, and the job if it takes one."""

    cycles: tuple[str, ...]
    job: str | None = None


def ran_as_last_time(archive: Archive, who: Visitor, upload: Upload) -> Ran:
    """What this department last chose for a file with such a head, as long as no other program fits it.

    Raises:
        NotAllowed: without the right.
        BadInput: if no such file was handed in here, or it could come from several programs.
    """
    require(who, "cycle-upload")
    with archive.unit(writes=False) as unit:
        known = remembered(unit, who.department, upload.data)
        site = department_in(unit, who.department)
    name = upload.plain_name
    if known is None or site is None:
        raise BadInput(
            f"no file with a head like that of {name} was handed in here before; choose the machine and its "
            "program, and it will be remembered",
            resource="program",
        )
    fitting = _programs_that_fit(site, known)
    if len(fitting) != 1:
        named = "; ".join(fitting) or "none now"
        raise BadInput(
            f"the head of {name} does not say which program ran, and {len(fitting)} here write such files "
            f"({named}); choose the one that ran",
            resource="program",
        )
    return Ran(known.machine, known.program, assumed=True)


def programs_of(machines: Iterable[Machine]) -> tuple[tuple[Machine, Program], ...]:
    """The programs of some machines, each with its machine."""
    return tuple((machine, program) for machine in machines for program in machine.programs)


def heads_tell_the_program(site: Department) -> bool:
    """Whether the head of a recorder's file is enough to tell which program of this department ran."""
    channels = [program.needs_pressure for _, program in programs_of(site.machines)]
    return len(channels) == len(set(channels))


def _programs_that_fit(site: Department, known: Remembered) -> tuple[str, ...]:
    """The programs here whose recorder could have written a file of the remembered kind, in words.

    A head tells the channels, so it tells steam from washing; it does not tell 3 min from 5.
    """
    offered = programs_of(site.machines)
    channels = {
        program.needs_pressure
        for machine, program in offered
        if (machine.id, program.name) == (known.machine, known.program)
    }
    return tuple(
        f"{machine.name}: {program.name}"
        for machine, program in offered
        if program.needs_pressure in channels
    )


def hand_in_cycles(
    archive: Archive,
    who: Visitor,
    uploads: Sequence[Upload],
    *,
    ran: Ran,
    now: datetime,
    reading: Reading | None = None,
) -> CyclesHandedIn:
    """Keep recorder files and have them judged: a few small ones at once, more as a job.

    The same files of the same program, sent again by the same person within seconds, are the ones there.

    Args:
        archive: where they are kept.
        who: the acting person.
        uploads: the files.
        ran: the machine they came from, and its program that ran.
        now: the moment.
        reading: what a person says of the files where they are silent.

    Raises:
        NotAllowed: without the right.
        UnreadableFile: if a file is empty or too large.
        BadInput: if the department has no such machine or program; or if a file was judged by another program
            before, and nothing is said of why it is judged by this one.
    """
    require(who, "cycle-upload")
    if not 0 < len(uploads) <= MOST_FILES:
        raise BadInput(f"expected 1 to {MOST_FILES} files", resource="files")
    for upload in uploads:
        check_upload(upload, most_bytes=LARGEST_RECORD_BYTES)
    with archive.unit(writes=False) as unit:
        of_machine, of_program, said = _chosen(unit, who, ran, reading or Reading())
        profile = yardstick_of(unit, who.department).profile
    at_once = is_judged_at_once(uploads)
    judged = [
        judged_here(upload, of_program, profile=profile, reading=said) if at_once else None
        for upload in uploads
    ]
    with archive.unit() as unit:
        again = _handed_in_just_now(unit, who, uploads, ran, in_file=said.cycle or 0, now=now)
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
                chosen="as-last-time" if ran.assumed else "by-person",
                in_file=said.cycle or 0,
            )
            ids.append(_keep_record(unit, who, kept, ran.reason, now=now))
            count_file_once(unit, who.department, kept.file)
            if answer is not None:
                keep_verdict(unit, who, ids[-1], answer, now=now)
        remember(unit, who.department, uploads[0].data, of_machine.id, of_program.name, now=now)
        job = None if at_once else _ask_for_verdicts(unit, who, ids, said, now=now)
        return CyclesHandedIn(tuple(ids), job)


def _handed_in_just_now(
    unit: Unit, who: Visitor, uploads: Sequence[Upload], ran: Ran, *, in_file: int, now: datetime
) -> CyclesHandedIn | None:
    """The cycles of a button that was pressed twice; none if one of the files is new."""
    known: list[Row] = []
    for upload in uploads:
        said = {
            "file": hashlib.sha256(upload.data).hexdigest(),
            "machine": ran.machine,
            "program": ran.program,
            "in_file": str(in_file),
            "handed_in_by": who.person,
        }
        wanted = WantedRows(states=UNDECIDED, fields=said, since=now - _SAME_CLICK, limit=1)
        found = unit.rows.found(KIND, [who.department], wanted)
        if not found:
            return None
        known += found
    job = known[0].fields.get("job")
    return CyclesHandedIn(tuple(row.id for row in known), str(job) if job else None)


def _chosen(unit: Unit, who: Visitor, ran: Ran, reading: Reading) -> tuple[Machine, Program, Reading]:
    site = department_in(unit, who.department)
    machines = {machine.id: machine for machine in site.machines} if site else {}
    machine = machines.get(ran.machine)
    if site is None or machine is None:
        known = ", ".join(machines) or "none yet"
        raise BadInput(f"there is no machine '{ran.machine}' here; there are {known}", resource="machine")
    programs = {program.name: program for program in machine.programs}
    program = programs.get(ran.program)
    if program is None:
        known = ", ".join(programs) or "none"
        raise BadInput(f"'{machine.name}' has no program '{ran.program}'; it has {known}", resource="program")
    return machine, program, replace(reading, altitude_m=reading.altitude_m or site.altitude.to("m"))


def _keep_record(unit: Unit, who: Visitor, kept: CycleRecord, reason: str, *, now: datetime) -> str:
    before = cycles_of_file(unit, who.department, kept.file, in_file=str(kept.in_file))
    others = [row for row in before if not is_of_program(row, kept)]
    why = _why_again(others, kept, reason)
    cycle = new_id("c")
    out_of_use = note_run(
        unit,
        who.department,
        cycle,
        machine=(kept.machine, kept.machine_name),
        ran=MachineRan(kept.program.name, kept.program.kind.value, kept.file_name),
        now=now,
    )
    kept = kept.model_copy(update={"again": why, "out_of_use": out_of_use})
    revision = keep_next(unit, KIND, cycle, kept, by=who.person, now=now, note=why)
    fields = _told_in_lists(kept)
    fields |= {"handed_in_by": who.person, "other_program": bool(others)}
    unit.rows.put(Row(KIND, cycle, who.department, "judging", kept.file_name, now, due=now, fields=fields))
    note_cycle(unit, who.department, kept.file, cycle, now=now)
    for row in others:
        unit.rows.put(replace(row, fields={**row.fields, "other_program": True}))
    data = {
        "machine": kept.machine,
        "program": kept.program.name,
        "file": kept.file,
        "digest": revision.digest,
        "chosen": kept.chosen,
        "before": [row.id for row in others],
        "out_of_use": bool(out_of_use),
    }
    record(unit, who, "cycle-handed-in", subject_of(cycle), now=now, data=data)
    return cycle


def _told_in_lists(kept: CycleRecord) -> dict[str, str | int | float | bool | None]:
    """What lists of cycles tell of a record."""
    return {
        "machine": kept.machine,
        "machine_name": kept.machine_name,
        "program": kept.program.name,
        "file": kept.file,
        "file_name": kept.file_name,
        "in_file": str(kept.in_file),
        "again": kept.again,
        "out_of_use": bool(kept.out_of_use),
    }


def _why_again(others: Sequence[Row], kept: CycleRecord, reason: str) -> str:
    """Why a file is judged by one more program; empty where it is the first.

    Raises:
        BadInput: if nothing was said.
    """
    if not others:
        return ""
    if not reason.strip():
        known = "; ".join(f"{row.fields['machine_name']}: {row.fields['program']}" for row in others)
        raise BadInput(
            f"{kept.file_name} was judged here before by another program ({known}); say why it is judged by "
            f"{kept.machine_name}: {kept.program.name}",
            resource="reason",
        )
    return reason_of(reason)


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
