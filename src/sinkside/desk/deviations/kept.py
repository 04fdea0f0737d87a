"""Reports of deviations as they are kept: document, row and event together, and opened again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.deviations import DeviationReport, Standing, due_of, next_step
from sinkside.bench.faults import policy
from sinkside.bench.noticing import key_of, of_run
from sinkside.bench.run import Run
from sinkside.desk.access import Visitor, record
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.concerning import note_concerning
from sinkside.desk.deviations.making import Around, made_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere
from sinkside.records import KeptRun, Row

KIND: Final = "deviation"
READ: Final = "deviation-read"
REPORT: Final = "deviation-report"
WORK: Final = "deviation-work"
LEAD: Final = "deviation-lead"

#: How those stand that somebody still has to see to.
NOT_CLOSED: Final = tuple(one.value for one in Standing if one is not Standing.closed)

#: Acts that leave what they noticed on the run.
ON_THE_RUN: Final = frozenset({"arrive", "deviate", "report-use", "take-up"})

#: Before this moment runs kept what was noticed, and no report was made of it; a row of its own keeps it.
_SINCE: Final = "deviation-since"


@dataclass(frozen=True)
class OpenReport:
    """A report, its id, and its revision; number 0 is read from a run of earlier days and not kept yet."""

    id: str
    report: DeviationReport
    number: int


def keep_report(
    unit: Unit, who: Visitor, opened: OpenReport, report: DeviationReport, event: str, *, now: datetime
) -> None:
    """Keep a report as its next revision, with its row and its event.

    Raises:
        Conflict: if somebody else said something of it meanwhile.
    """
    number = opened.number + 1
    revision = keep_next(unit, KIND, opened.id, report, by=who.person, now=now, number=number)
    unit.rows.put(row_of(report, opened.id, who.department, who.zone))
    data = {
        "fault": report.fault,
        "found": report.found.value,
        "copy": report.copy_id,
        "run": report.run,
        "machine": report.machine,
        "device": report.device,
        "at": report.at.isoformat(),
        "standing": report.standing.value,
        "digest": revision.digest,
    }
    record(unit, who, event, f"{KIND}:{opened.id}", now=now, data=data)
    about = report.copy_id or report.load or report.machine
    if number == 1 and about:
        note_concerning(unit, who.department, about, f"{KIND}:{opened.id}", now=now)


def row_of(report: DeviationReport, key: str, department: str, zone: str) -> Row:
    """The line of a report. It is changed, as lists ask for that, when it was found: periods go by that."""
    fields = {
        "fault": report.fault,
        "found": report.found.value,
        "began": report.began.value if report.began else "",
        "device": report.device or report.name,
        "set": report.name,
        "code": report.code,
        "copy": report.copy_id,
        "run": report.run,
        "line": report.line,
        "load": report.load,
        "machine": report.machine,
        "machine_name": report.machine_name,
        "case": report.case,
        "hour": f"{report.at.astimezone(ZoneInfo(zone)).hour:02}",
        "delay": report.delay_min,
        "next": next_step(report),
        "source": report.source,
        "by": report.by,
        "corrects": report.correction.who if report.correction else "",
    }
    due = due_of(report, policy().due)
    state = report.standing.value
    return Row(KIND, key, department, state, report.words, report.at, due=due, fields=fields)


def opened_report(unit: Unit, who: Visitor, key: str) -> OpenReport:
    """A report of this department; of a run of earlier days, as it reads from that.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, key)
    kept = read_kept(unit, KIND, key, DeviationReport)
    revision = unit.documents.get(KIND, key)
    if row is not None and kept is not None and revision is not None:
        if row.department == who.department:
            return OpenReport(key, kept, revision.number)
    elif found := _on_its_run(unit, who, key):
        return OpenReport(key, found, 0)
    raise NotThere("there is no such deviation here", resource=key)


def reports_from_run(unit: Unit, kept: KeptRun) -> list[tuple[str, DeviationReport]]:
    """What a run kept that was not as written, as reports with their ids."""
    copy = unit.bench.copies.get(kept.copy)
    run = Run.model_validate_json(kept.body)
    if copy is None:
        return []
    plan = plan_in(unit, run.plan)
    found = []
    for one in run.deviations:
        noticed = of_run(plan, one)
        around = Around(copy=copy, run=run.id)
        found.append((key_of(run.id, noticed), made_of(noticed, "run", around, by=one.by, at=one.at)))
    return found


def reports_since(unit: Unit, department: str) -> datetime | None:
    """From when on every deviation at the bench has a report; none while there was no report at all."""
    found = unit.rows.get(_SINCE, department)
    return found.updated if found else None


def begin_reports(unit: Unit, department: str, now: datetime) -> None:
    """Keep from when on reports are made here; said once."""
    if unit.rows.get(_SINCE, department) is None:
        unit.rows.put(Row(_SINCE, department, department, "kept", "reports of deviations", now))


def _on_its_run(unit: Unit, who: Visitor, key: str) -> DeviationReport | None:
    run, dot, _ = key.rpartition(".")
    kept = unit.bench.runs.get(run) if dot else None
    if kept is None or kept.department != who.department:
        return None
    return dict(reports_from_run(unit, kept)).get(key)
