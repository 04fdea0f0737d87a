"""Judging many recorder files as a job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import Final

from sinkside.cycles import Unread
from sinkside.desk.access import Visitor
from sinkside.desk.cycle_documents import CycleRecord, Judged
from sinkside.desk.cycle_judging import judged_in_child
from sinkside.desk.cycle_records import KIND, VERDICT, keep_verdict
from sinkside.desk.jobs import Beat, Clock, Outcome
from sinkside.desk.keeping import read_kept
from sinkside.desk.parsing_child import ChildLimits
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import SinksideError
from sinkside.records import Job

#: Starting a child costs as much as judging some dozens of files.
_FILES_A_CHILD: Final = 32


@dataclass(frozen=True)
class JudgeCycles:
    """The work behind many recorder files handed in together."""

    limits: ChildLimits = field(default_factory=ChildLimits)

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Judge every file in children, some dozens each.

        Raises:
            Stopped: if the job was cancelled.
        """
        reading = Judged.model_validate_json(job.arguments["said"]).reading
        cycles = job.arguments["cycles"].split()
        judged: dict[str, Judged] = {}
        for group in _groups(cycles):
            files = [_record_of(archive, cycle) for cycle in group]
            answers = judged_in_child(
                files,
                reading=reading,
                limits=self.limits,
                go_on=partial(beat, len(judged), len(cycles), "Judging recorder files"),
            )
            judged |= zip(group, answers, strict=True)
        return Outcome(
            {"cycles": job.arguments["cycles"]}, lambda unit: _keep(unit, job, judged, now=clock())
        )

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Say of each file that it was not judged, and why; a person decides all the same."""
        said = Judged.model_validate_json(job.arguments["said"]).reading
        judged = {}
        for cycle in job.arguments["cycles"].split():
            row = unit.rows.get(KIND, cycle)
            if row is not None and row.state == "judging":
                judged[cycle] = Judged.of(Unread(trace=row.title, error=sentence), said)
        _keep(unit, job, judged, now=now)


def _groups(cycles: Sequence[str]) -> Iterator[Sequence[str]]:
    for start in range(0, len(cycles), _FILES_A_CHILD):
        yield cycles[start : start + _FILES_A_CHILD]


def _record_of(archive: Archive, cycle: str) -> tuple[CycleRecord, bytes]:
    with archive.unit(writes=False) as unit:
        record = read_kept(unit, KIND, cycle, CycleRecord)
        if record is None:
            raise SinksideError("the cycle of this job is gone", resource=cycle)
        return record, unit.files.read(record.file)


def _keep(unit: Unit, job: Job, judged: dict[str, Judged], *, now: datetime) -> None:
    site = unit.sites.get(job.department)
    asker = Visitor(job.by, job.department, site.zone if site else "UTC")
    for cycle, answer in judged.items():
        if unit.documents.get(VERDICT, cycle) is None:
            keep_verdict(unit, asker, cycle, answer, now=now)
