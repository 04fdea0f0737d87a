"""Deviations noticed at the bench: each becomes a report in the transaction of the act that noticed it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.case_acts import MissingFragment, ReportUse
from sinkside.bench.deviations import DeviationReport
from sinkside.bench.faults import fault
from sinkside.bench.load_acts import EndLoad
from sinkside.bench.loads import LoadState
from sinkside.bench.noticing import (
    Before,
    Noticed,
    at_machine,
    by_act,
    found_at,
    key_of,
    of_run,
    refused_at_load,
)
from sinkside.bench.run import Run
from sinkside.desk.access import Visitor
from sinkside.desk.bench.alarms import last_case
from sinkside.desk.bench.doing import Doing, Said
from sinkside.desk.bench.loads import standing_at
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.bench.store_cases import RESERVED, WANTED
from sinkside.desk.deviations.kept import KIND, ON_THE_RUN, OpenReport, begin_reports, keep_report
from sinkside.desk.deviations.making import GIVEN_OUT, Around, delay_for, load_for, made_of
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.records import KeptCopy, KeptLoad, WantedRows

#: Acts on a set that may notice something themselves.
_OF_A_SET: Final = GIVEN_OUT | {
    "look",
    "count",
    "missing-fragment",
    "soil-found",
    "wet-pack",
    "looked-again",
    "pack-mishap",
    "immediate-use",
}
_MISSING: Final = ("missing-piece", "missing-fragment")


@dataclass(frozen=True)
class Watched:
    """How things stood before an act that may notice something: the set and its run, or the load."""

    copy: KeptCopy | None = None
    run: Run | None = None
    begins: datetime | None = None
    load: KeptLoad | None = None


def watched(doing: Doing, act: Any) -> Watched:
    """How the set or load of an act stands before it is done; nothing for acts that notice nothing."""
    if isinstance(act, EndLoad):
        return Watched(load=standing_at(doing.unit, doing.who, act.machine, LoadState.running))
    if act.act not in _OF_A_SET:
        return Watched()
    copy = doing.unit.bench.copies.by_code(doing.who.department, code_of(act.code))
    kept = doing.unit.bench.runs.get(copy.run) if copy and copy.run else None
    if copy is None or kept is None:
        return Watched()
    begins = _waiting_since(doing, act.case, copy) if act.act in GIVEN_OUT else None
    return Watched(copy, Run.model_validate_json(kept.body), begins)


def notice(doing: Doing, act: Any, said: Said, seen: Watched) -> None:
    """Report what an act noticed; what is reported of a run already is not reported again."""
    rows = doing.unit.rows
    for noticed, around in (*_left_on_the_run(doing, act, said), *_by_the_act(doing, act, seen)):
        key = key_of(around.run, noticed)
        if (key and rows.get(KIND, key)) or _is_missed_already(doing, noticed, around.run):
            continue
        report = made_of(noticed, "bench", around, by=doing.who.person, at=doing.at)
        opened = OpenReport(key or new_id("d"), _with_case(doing, act, report), 0)
        begin_reports(doing.unit, doing.who.department, doing.now)
        keep_report(doing.unit, doing.who, opened, opened.report, "deviation-noticed", now=doing.now)


def notice_refused(unit: Unit, who: Visitor, act: Any, why: str, *, at: datetime, now: datetime) -> None:
    """Report that a set was brought to a load that it does not go into; it was refused, and that is kept.

    Args:
        unit: the transaction in which the refused tap is kept.
        who: who brought it.
        act: what they tapped.
        why: why it was refused.
        at: when.
        now: the moment.
    """
    load = standing_at(unit, who, act.machine, LoadState.building)
    copy = unit.bench.copies.by_code(who.department, code_of(act.code))
    if load is None or copy is None:
        return
    noticed = found_at(refused_at_load(load.id, why), load.station)
    key = key_of(copy.run, noticed)
    if unit.rows.get(KIND, key):
        return
    report = made_of(noticed, "bench", Around(copy, copy.run, load), by=who.person, at=at)
    begin_reports(unit, who.department, now)
    keep_report(unit, who, OpenReport(key, report, 0), report, "deviation-noticed", now=now)


def _left_on_the_run(doing: Doing, act: Any, said: Said) -> Iterator[tuple[Noticed, Around]]:
    """What an act left on the run of its set."""
    copy = doing.unit.bench.copies.get(said.copy) if act.act in ON_THE_RUN and said.copy else None
    kept = doing.unit.bench.runs.get(copy.run) if copy else None
    if copy is None or kept is None:
        return
    run = Run.model_validate_json(kept.body)
    if run.deviations:
        plan = plan_in(doing.unit, run.plan)
        stage = Before(run.place, run.round).stage
        for one in run.deviations:
            yield of_run(plan, one, stage), Around(copy, run.id)


def _by_the_act(doing: Doing, act: Any, seen: Watched) -> Iterator[tuple[Noticed, Around]]:
    """What an act notices by itself."""
    run = seen.run
    plan = plan_in(doing.unit, run.plan) if run else None
    before = Before(run.place, run.round, seen.begins) if run else None
    for one in by_act(act, plan, before, doing.at):
        if seen.load is not None:
            yield at_machine(one, seen.load.station), Around(load=seen.load)
        elif run is not None:
            yield one, Around(seen.copy, run.id, load_for(doing.unit, fault(one.fault), run))


def _is_missed_already(doing: Doing, noticed: Noticed, run: str) -> bool:
    """Whether a piece that is counted short is missed already on this run: theatre told, or who counted."""
    if noticed.fault != "missing-piece" or not noticed.line:
        return False
    wanted = WantedRows(fields={"run": run, "line": noticed.line})
    rows = doing.unit.rows.found(KIND, [doing.who.department], wanted)
    return any(row.fields["fault"] in _MISSING for row in rows)


def _with_case(doing: Doing, act: Any, report: DeviationReport) -> DeviationReport:
    """A report with the case that it happened in, and for how long that waited for the set."""
    if isinstance(act, MissingFragment):
        return report.model_copy(update={"case": last_case(doing.unit, report.copy_id)})
    if isinstance(act, ReportUse):
        delay = delay_for(doing.unit, doing.who.department, act.case, report.copy_id)
        return report.model_copy(update={"case": act.case, "delay_min": delay})
    return report


def _waiting_since(doing: Doing, number: str, copy: KeptCopy) -> datetime | None:
    """When a case begins that waits for a set; none where it is not known, or does not want it."""
    case = doing.unit.bench.cases.by_number(doing.who.department, number)
    if case is None:
        return None
    wanted = (one for one in doing.unit.bench.cases.sets_of(case.id) if one.set == copy.of)
    waits = any(one.state in {WANTED, RESERVED} and one.copy in {"", copy.id} for one in wanted)
    return case.begins if waits else None
