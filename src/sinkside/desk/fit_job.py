"""Working out the fit table as a job: first what changed, then the smallest repairs of one department."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.desk.access import Visitor, require
from sinkside.desk.fit_answers import (
    Answer,
    keep_answers,
    kept_answers,
    least_of,
    revision_of,
    still_stands,
)
from sinkside.desk.fit_page import READS, TableColumn, columns_of, number_of, seen_sites, shelf_rows
from sinkside.desk.fit_table import FitQuestion, fit_cells
from sinkside.desk.jobs import FIT_JOB, Beat, Clock, Outcome
from sinkside.desk.keeping import from_revision
from sinkside.desk.parsing_child import Stopped
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.desk.uploads import new_id
from sinkside.errors import NotThere
from sinkside.instruction import Instruction
from sinkside.records import Job, Revision, Row
from sinkside.route import Fit

_HOLDING: Final = "Holding instructions against departments"
_REPAIRING: Final = "Working out the smallest repairs"

#: Answers by department, then by instruction.
_Fresh = dict[str, dict[str, Answer]]


def ask_to_work_out(
    archive: Archive, who: Visitor, *, now: datetime, shared_tablet: bool = False, at: str = ""
) -> str:
    """Ask for the fit table of this department's instructions to be worked out; the id of the job.

    Asked twice while it waits or runs, it is one job.

    Args:
        archive: where everything is kept.
        who: the acting person; the departments are those that they may see.
        now: the moment.
        shared_tablet: whether several people share the device.
        at: the one department that is wanted; all that they may see unless told.

    Raises:
        NotAllowed: without the right to read instructions.
        NotThere: if they may not see the department that is wanted.
    """
    require(who, READS)
    with archive.unit() as unit:
        seen = [site.id for site in seen_sites(unit, who, now, shared_tablet=shared_tablet)]
        if at and at not in seen:
            raise NotThere("there is no such department", resource=at)
        arguments = {"departments": at or " ".join(seen), "repairs": at or who.department}
        for job in unit.jobs.all([who.department], states=("waiting", "running")):
            if job.kind == FIT_JOB and dict(job.arguments) == arguments:
                return job.id
        job = Job(new_id("j"), FIT_JOB, who.department, who.person, arguments, "waiting", now)
        unit.jobs.ask(job)
        return job.id


def work_that_goes_on(archive: Archive, who: Visitor) -> Job | None:
    """The job that works out this department's fit table now, or waits to."""
    with archive.unit(writes=False) as unit:
        going = unit.jobs.all([who.department], states=("waiting", "running"))
        return next((job for job in going if job.kind == FIT_JOB), None)


@dataclass(frozen=True)
class _Task:
    """What is to be worked out: the texts by id, the departments, and the answers that stand already."""

    shelf: str
    texts: Mapping[str, Revision]
    columns: Sequence[TableColumn]
    standing: Mapping[tuple[str, str], Answer]

    def question(self) -> FitQuestion:
        known: dict[tuple[str, str], Fit] = {key: answer.fit for key, answer in self.standing.items()}
        return FitQuestion(
            {name: from_revision(text, Instruction) for name, text in self.texts.items()},
            {column.site.id: from_revision(column.revision, Department) for column in self.columns},
            known,
        )


@dataclass(frozen=True)
class WorkOutFits:
    """The work behind the fit table."""

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Work out every answer that no longer stands, then the smallest repairs of one department.

        Raises:
            Stopped: if the job was cancelled.
            BadQuantity: if a figure carries a unit that measures something else than it should.
        """
        task = _task(archive, job)
        fresh = _held(task, beat=beat, now=clock())
        _repaired(task, job.arguments["repairs"], fresh, beat=beat)
        count = sum(len(answers) for answers in fresh.values())
        return Outcome({"answers": str(count)}, lambda unit: _keep(unit, task, fresh, now=clock()))

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Nothing was begun that would have to be closed: what is kept stays as it was."""


def _task(archive: Archive, job: Job) -> _Task:
    """What no longer stands when the work begins, or wants its smallest repair."""
    with archive.unit(writes=False) as unit:
        rows = shelf_rows(unit, job.department)
        sites = [site for site in unit.sites.all() if site.id in job.arguments["departments"].split()]
        columns, _ = columns_of(unit, sites)
        standing: dict[tuple[str, str], Answer] = {}
        wanted: dict[str, Row] = {}
        for column in columns:
            kept = kept_answers(unit, job.department, column.site.id)
            for row in rows:
                answer = kept.get(row.id)
                stands = answer is not None and still_stands(answer, number_of(row), column.revision)
                if answer is not None and stands:
                    standing[row.id, column.site.id] = answer
                if not stands or (answer and _wants_repair(answer, column, job)):
                    wanted[row.id] = row
        texts = {name: revision_of(unit, INSTRUCTION, name, number_of(row)) for name, row in wanted.items()}
    return _Task(job.department, texts, columns, standing)


def _wants_repair(answer: Answer, column: TableColumn, job: Job) -> bool:
    return column.site.id == job.arguments["repairs"] and bool(answer.fit.missing) and answer.least is None


def _held(task: _Task, *, beat: Beat, now: datetime) -> _Fresh:
    """Every answer that does not stand, worked out with all processors where that is worth it."""
    fresh: _Fresh = defaultdict(dict)
    question, done = task.question(), 0
    columns = {column.site.id: column for column in task.columns}
    _go_on(beat, 0, question.cells, _HOLDING)
    for cells in fit_cells(question, processes=os.cpu_count() or 1):
        for cell in cells:
            before = task.standing.get((cell.instruction, cell.department))
            if before is None or before.fit != cell.fit:
                text, column = task.texts[cell.instruction], columns[cell.department].revision
                fresh[cell.department][cell.instruction] = Answer(
                    fit=cell.fit,
                    instruction=text.number,
                    instruction_digest=text.digest,
                    department=column.number,
                    department_digest=column.digest,
                    at=now,
                )
        done += len(cells)
        _go_on(beat, done, question.cells, _HOLDING)
    return fresh


def _repaired(task: _Task, department: str, fresh: _Fresh, *, beat: Beat) -> None:
    """Add the smallest repair to each refusal of a department."""
    column = next((one for one in task.columns if one.site.id == department), None)
    if column is None:
        return
    wanting: dict[str, Answer] = {}
    for name in task.texts:
        answer = fresh[department].get(name) or task.standing.get((name, department))
        if answer is not None and answer.fit.missing and answer.least is None:
            wanting[name] = answer
    for done, (name, answer) in enumerate(wanting.items()):
        _go_on(beat, done, len(wanting), _REPAIRING)
        least = least_of(task.texts[name], column.revision)
        fresh[department][name] = answer.model_copy(update={"least": least})


def _go_on(beat: Beat, done: int, total: int, doing: str) -> None:
    if not beat(done, total, doing):
        raise Stopped("the fit table was to be left")


def _keep(unit: Unit, task: _Task, fresh: _Fresh, *, now: datetime) -> None:
    for department, answers in fresh.items():
        keep_answers(unit, task.shelf, department, answers, now=now)
