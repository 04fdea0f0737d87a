"""What theatre reports: a set was used and how it was left, a case is over. The soil clock starts by that."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.case_acts import DAMAGE_WORDS, CloseCase, ReportUse
from sinkside.bench.noticing import BY_THEATRE, MISSING, NOT_DONE, NOT_ISSUED, NOT_THROWN_AWAY
from sinkside.bench.plan import Plan
from sinkside.bench.run import IN_USE, Done, Place, Run
from sinkside.bench.soil import SoilClock, worse_of
from sinkside.department import Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.doing import Doing, Handler, Said
from sinkside.desk.bench.late_cleaning import clock_of, noted, thrown_away
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, open_run, run_of
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.records import CaseSet, KeptCase, KeptCopy

REPORT: Final = "theatre-report"

#: How a case stands, and how a set stands in it.
PLANNED: Final = "planned"
UNDER_WAY: Final = "under-way"
CANCELLED: Final = "cancelled"
CLOSED: Final = "closed"
USED: Final = "used"
ISSUED: Final = "issued"

#: Where a reported set is until it arrives.
ON_THE_WAY: Final = "on the way from theatre"

#: Where a set may be when theatre says that it was used; from the store it may come without being issued.
_FROM: Final = frozenset({IN_USE, Place.issued.value, Place.in_store.value})
#: Where it may be when it came to the department before theatre's report did.
_CAME_FIRST: Final = frozenset({Place.soiled, Place.at_sink})


def report_use(doing: Doing, act: ReportUse) -> Said:
    """A set was used: its run opens soiled, with the soil clock of its texts and what theatre says of it.

    Raises:
        NotThere: if none here has the code.
        BadInput: if it was last used later than it is reported, or is in the department.
    """
    require(doing.who, REPORT)
    if act.last_used > doing.at:
        raise BadInput("it was last used later than now; expected the end of its use", resource="last_used")
    copy = copy_of_code(doing.unit, doing.who.department, act.code)
    opened = _opened(doing, act, copy)
    run = _with_report(opened.plan, opened.run, act, doing)
    if copy.state == Place.in_store:
        run = noted(run, NOT_ISSUED, "it stood in store", doing, fault="not-issued")
    kept = keep_run(doing.unit, opened, run, now=doing.now, place=ON_THE_WAY)
    _used_in(doing, act, kept)
    begin_by = kept.run.clean_by or doing.at
    when = "at once" if begin_by <= doing.now else f"by {_clock(doing, begin_by)}"
    said = f"{copy.name} is reported as used; cleaning begins {when}."
    return Said(said, kept.copy.id, kept.copy.state)


def close_case(doing: Doing, act: CloseCase) -> Said:
    """A case is over; sets that were issued for it and are not reported as used are told.

    Raises:
        NotThere: if there is no such case here.
        BadInput: if it is closed already.
    """
    require(doing.who, REPORT)
    case = case_of_number(doing.unit, doing.who, act.case)
    if case.state == CLOSED:
        raise BadInput(f"case {case.number} is closed already", resource="case")
    doing.unit.bench.cases.put(replace(case, state=CLOSED, ended=doing.at))
    open_ones = [one for one in doing.unit.bench.cases.sets_of(case.id) if one.state == ISSUED and one.copy]
    names = [copy.name for copy in (doing.unit.bench.copies.get(one.copy) for one in open_ones) if copy]
    told = f" Not reported as used: {', '.join(names)}." if names else ""
    return Said(f"Case {case.number} is closed.{told}", beside=(f"case:{case.id}",))


def case_of_number(unit: Unit, who: Visitor, number: str) -> KeptCase:
    """The case of a number in this department.

    Raises:
        NotThere: if there is none here.
    """
    found = unit.bench.cases.by_number(who.department, number)
    if found is None:
        raise NotThere("there is no case of this number here", resource="case")
    return found


def _opened(doing: Doing, act: ReportUse, copy: KeptCopy) -> OpenRun:
    """The run that a report opens, or makes worse where the set came before the report did."""
    if copy.state in _FROM:
        opened = open_run(doing.unit, doing.who, copy, at=doing.at, now=doing.now, last_used=act.last_used)
        clock = clock_of(doing.unit, opened.plan, act.last_used)
        return replace(opened, run=opened.run.model_copy(update={"clean_by": clock.begin_by}))
    opened = run_of(doing.unit, copy)
    if opened.run.place not in _CAME_FIRST or opened.run.round > 1:
        raise BadInput(f"{copy.name} is in the department: {copy.place}", resource="code")
    told = clock_of(doing.unit, opened.plan, act.last_used)
    before = opened.run.clean_by
    kept = SoilClock(used=opened.run.last_used or told.used, begin_by=before) if before else None
    worse = worse_of(kept, told)
    run = opened.run.model_copy(update={"last_used": worse.used, "clean_by": worse.begin_by})
    return replace(opened, run=run)


def _with_report(plan: Plan, run: Run, act: ReportUse, doing: Doing) -> Run:
    """What theatre did and saw, kept on the run."""
    undone = {one for one in act.undone if plan.task(one).station is Station.theatre}
    of_theatre = plan.at(Station.theatre)
    done = {
        one.id: Done(at=act.last_used, by=doing.who.person, times=one.times, seen=bool(one.until))
        for one in of_theatre
        if act.treated and one.id not in undone
    }
    reported = {one.line: DAMAGE_WORDS[one.kind] for one in act.damaged}
    told = {"done": {**run.done, **done}, "reported": {**run.reported, **reported}}
    run = run.model_copy(update=told)
    for fault, line, what in _told(plan, act):
        run = noted(run, what, BY_THEATRE, doing, fault=fault, line=line)
    for part, words in thrown_away(doing.unit, plan).items():
        if part not in act.discarded:
            what = f"{NOT_THROWN_AWAY}: {words}"
            run = noted(run, what, BY_THEATRE, doing, fault="not-thrown-away")
    for task in of_theatre:
        if task.id not in run.done:
            what = f"{NOT_DONE}: {task.words}"
            run = noted(run, what, BY_THEATRE, doing, fault="not-treated", task=task.id)
    return run


def _told(plan: Plan, act: ReportUse) -> Iterator[tuple[str, str, str]]:
    """What is damaged or missing: its kind of deviation, its line, and the words."""
    for one in act.damaged:
        yield "damaged", one.line, f"{plan.line(one.line).words}: {DAMAGE_WORDS[one.kind]}"
    for short in act.missing:
        line = plan.line(short.line)
        if short.count > line.expected:
            raise BadInput(f"{line.words}: {short.count} missing of {line.expected}", resource="missing")
        yield "missing-piece", line.id, f"{line.words}: {short.count} {MISSING}"


def _used_in(doing: Doing, act: ReportUse, opened: OpenRun) -> None:
    """The case gets the set as used; a case that nobody planned is kept as it is told."""
    cases = doing.unit.bench.cases
    case = cases.by_number(doing.who.department, act.case)
    if case is None:
        case = KeptCase(
            id=new_id("case"),
            department=doing.who.department,
            number=act.case,
            room="",
            begins=act.last_used,
            state=UNDER_WAY,
        )
        cases.put(case)
    elif case.state != CLOSED:
        cases.put(replace(case, state=UNDER_WAY))
    runs = doing.unit.bench.runs.of_copy(doing.who.department, opened.copy.id)
    before = next((one.id for one in runs if one.id != opened.kept.id), "")
    cases.put_set(_turn_for(cases.sets_of(case.id), case.id, opened.copy, before))


def _turn_for(known: list[CaseSet], case: str, copy: KeptCopy, before: str) -> CaseSet:
    """What a case says of a copy that was used in it; `before` is the run by which it had been processed.

    A copy that was processed again and used in the same case once more stands there twice.
    """
    of_set = [one for one in known if one.set == copy.of]
    own = next((one for one in of_set if one.copy == copy.id and one.run in {"", before}), None)
    free = own or next((one for one in of_set if not one.copy), None)
    turn = free.turn if free else max((one.turn for one in of_set), default=0) + 1
    return CaseSet(case=case, set=copy.of, turn=turn, copy=copy.id, state=USED, run=before)


def _clock(doing: Doing, moment: datetime) -> str:
    return moment.astimezone(ZoneInfo(doing.who.zone)).strftime("%H:%M")


HANDLERS: Final[Mapping[str, Handler]] = {"report-use": report_use, "close-case": close_case}
