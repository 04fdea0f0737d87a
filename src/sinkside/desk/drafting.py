"""Drafting as a job: the maker's document is read in a child, reviewed, and kept as the next revision."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from sinkside.desk.access import Visitor, record
from sinkside.desk.editing import keep_revision, yardstick_of
from sinkside.desk.jobs import Beat, Clock, Outcome
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND, shown_again, subject_of
from sinkside.desk.standing import Reviewed
from sinkside.documents import validate
from sinkside.errors import SinksideError, UnreadableFile
from sinkside.findings import count_by_level
from sinkside.instruction import Instruction
from sinkside.records import Job, Row

#: A long instruction has some hundred steps; what has more is a book of many, which nobody can check as one.
MOST_STEPS: Final = 1000


@dataclass(frozen=True)
class DraftDocument:
    """The work behind a document that was handed in."""

    limits: ChildLimits = field(default_factory=ChildLimits)

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Read the document in a child, and review what comes of it.

        Raises:
            UnreadableFile: if it cannot be read, asks for more than the limits allow, or is a whole book.
            Stopped: if the job was cancelled.
        """
        name = job.arguments["file_name"]
        with archive.unit(writes=False) as unit:
            data = unit.files.read(job.arguments["file"])
        language = job.arguments.get("language")
        values = self.read(name, data, language=language, go_on=lambda: beat(0, 2, f"Reading {name}"))
        _refuse_a_book(values, name)
        instruction = validate(Instruction, values, resource=name)
        beat(1, 2, "Looking for what is missing, contradictory or impossible")
        with archive.unit(writes=False) as unit:
            yardstick = yardstick_of(unit, job.department)
        reviewed = yardstick.review(instruction, drafted_by=job.by)
        return Outcome(
            {"instruction": job.arguments["instruction"]},
            lambda unit: _keep(unit, job, instruction, reviewed, now=clock()),
        )

    def read(self, name: str, data: bytes, *, language: str | None, go_on: Callable[[], bool]) -> Any:
        """The document as a drafted instruction in plain values, in the language asked for, if any."""
        arguments = {"language": language} if language else {}
        return run_child("draft", [(name, data)], arguments=arguments, limits=self.limits, go_on=go_on)

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Say on the shelf why the document was not read."""
        row = _row(unit, job)
        if row.fields.get("job") != job.id:
            return
        state = "unread" if row.state == "reading" else row.state
        fields = {**row.fields, "job": None, "pending_file": None, "error": sentence}
        unit.rows.put(replace(row, state=state, updated=now, fields=fields))
        data = {"job": job.id, "file": job.arguments["file"]}
        record(unit, _asker(unit, job), "document-not-read", subject_of(row.id), now=now, data=data)


def _refuse_a_book(values: Any, name: str) -> None:
    steps = len(values.get("steps", ()))
    if steps > MOST_STEPS:
        raise UnreadableFile(
            f"it has {steps:,} steps, as a book of many instructions has; expected the pages for one device, "
            f"with at most {MOST_STEPS:,} steps",
            resource=name,
        )


def _keep(unit: Unit, job: Job, instruction: Instruction, reviewed: Reviewed, *, now: datetime) -> None:
    row = _row(unit, job)
    kept = keep_revision(unit, row.id, instruction, reviewed, by=job.by, now=now, note="drafted")
    counts = {level.value: count for level, count in count_by_level(reviewed.findings).items()}
    data = {"revision": kept.number, "digest": kept.digest, "file": job.arguments["file"], **counts}
    record(unit, _asker(unit, job), "instruction-drafted", subject_of(row.id), now=now, data=data)
    settled = {"job": None, "pending_file": None, "error": None, "file_name": job.arguments["file_name"]}
    shown_again(unit, replace(row, fields={**row.fields, **settled}), now=now)


def _row(unit: Unit, job: Job) -> Row:
    row = unit.rows.get(KIND, job.arguments["instruction"])
    if row is None:
        raise SinksideError("the instruction of this job is gone", resource=job.id)
    return row


def _asker(unit: Unit, job: Job) -> Visitor:
    """Whoever asked for the job, as the one who acts, though their role may have ended meanwhile."""
    site = unit.sites.get(job.department)
    return Visitor(job.by, job.department, site.zone if site else "UTC")
