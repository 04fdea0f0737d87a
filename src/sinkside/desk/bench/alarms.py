"""Missing fragments: told to theatre with one tap, as they may be in the patient, and acknowledged there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.bench.case_acts import AcknowledgeAlarm, AlarmOutcome, MissingFragment
from sinkside.bench.run import STATIONS_AT, Counted, Run
from sinkside.department import Station
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.on_runs import WORK
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_of
from sinkside.desk.bench.theatre import REPORT
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.records import Row

#: The list of missing fragments, and how one stands in it.
ALARM: Final = "alarm"
OPEN: Final = "open"
_STANDS: Final = {
    AlarmOutcome.looking: "acknowledged",
    AlarmOutcome.found: "found",
    AlarmOutcome.not_found: "not-found",
}
#: Nobody has closed these yet.
NOT_CLOSED: Final = (OPEN, _STANDS[AlarmOutcome.looking])
_SAID: Final = {
    AlarmOutcome.looking: "theatre is looking",
    AlarmOutcome.found: "it was found",
    AlarmOutcome.not_found: "it was not found",
}


@dataclass(frozen=True)
class Alarm:
    """A missing fragment: what of which set, of which case as far as is known, and what theatre said.

    Attributes:
        id: its own.
        state: `open`, `acknowledged`, `found` or `not-found`.
        what: what is missing, and how many.
        copy_name: of which set.
        code: its code.
        raised: when it was raised.
        case: the case that it was last used in, or that theatre named; empty where nobody knows.
        acknowledged: when theatre answered first.
    """

    id: str
    state: str
    what: str
    copy_name: str
    code: str
    raised: datetime
    case: str = ""
    acknowledged: datetime | None = None


def raise_alarm(doing: Doing, act: MissingFragment) -> Said:
    """Tell theatre that something of a set is missing; the same is told once, however often it is tapped.

    Raises:
        NotThere: if none here has the code.
        BadInput: if the set has no such line, or not so many of it.
    """
    require(doing.who, WORK)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    line = opened.plan.line(act.line)
    if act.count > line.expected:
        raise BadInput(f"{line.words}: {act.count} missing of {line.expected}", resource="count")
    at = in_order(opened, doing)
    kept = keep_run(doing.unit, opened, _counted_short(opened, act, doing, at), now=doing.now, at=at)
    for one in _of_run(doing.unit, doing.who.department, opened.run.id):
        if one.fields["line"] == act.line:
            return Said(f"Theatre knows of the missing {line.words} already.", kept.copy.id, kept.copy.state)
    case = last_case(doing.unit, kept.copy.id)
    alarm = Row(
        kind=ALARM,
        id=new_id("a"),
        department=doing.who.department,
        state=OPEN,
        title=f"{act.count} × {line.words}",
        updated=doing.now,
        due=doing.at,
        fields={
            "copy": kept.copy.id,
            "copy_name": kept.copy.name,
            "code": kept.copy.code,
            "run": opened.run.id,
            "line": act.line,
            "case": case,
            "raised": doing.at.isoformat(),
        },
    )
    doing.unit.rows.put(alarm)
    data = {"what": alarm.title, "copy": kept.copy.id, "case": case}
    record(doing.unit, doing.who, "alarm-raised", f"{ALARM}:{alarm.id}", now=doing.now, data=data)
    of_case = f" of case {case}" if case else ""
    said = f"Theatre{of_case} is told: {alarm.title} of {kept.copy.name} missing."
    return Said(said, kept.copy.id, kept.copy.state, (f"{ALARM}:{alarm.id}",))


def acknowledge(doing: Doing, act: AcknowledgeAlarm) -> Said:
    """Theatre answers a missing fragment, with the case and what came of it.

    Raises:
        NotThere: if there is no such alarm here.
        BadInput: if it is closed already.
    """
    require(doing.who, REPORT)
    alarm = _here(doing.unit, doing.who, act.alarm)
    if alarm.state not in NOT_CLOSED:
        raise BadInput("this alarm is closed already", resource="alarm")
    first = alarm.fields.get("acknowledged") or doing.at.isoformat()
    fields = {**alarm.fields, "case": act.case, "acknowledged": first}
    state = _STANDS[act.outcome]
    doing.unit.rows.put(replace(alarm, state=state, updated=doing.now, due=None, fields=fields))
    data = {"case": act.case, "outcome": act.outcome.value, "what": alarm.title}
    record(doing.unit, doing.who, "alarm-answered", f"{ALARM}:{alarm.id}", now=doing.now, data=data)
    said = f"{alarm.title}: {_SAID[act.outcome]}, case {act.case}."
    return Said(said, str(alarm.fields["copy"]))


def alarms(archive: Archive, who: Visitor, *, states: Sequence[str] = NOT_CLOSED) -> tuple[Alarm, ...]:
    """The missing fragments of this department that stand so; those that nobody answered first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return alarms_in(unit, who, states=states)


def open_alarm(archive: Archive, who: Visitor, alarm: str) -> Alarm:
    """One missing fragment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _alarm(_here(unit, who, alarm))


def alarms_in(unit: Unit, who: Visitor, *, states: Sequence[str] = NOT_CLOSED) -> tuple[Alarm, ...]:
    """The same, for verbs that have a transaction."""
    rows = unit.rows.all(ALARM, [who.department], states=states)
    return tuple(map(_alarm, sorted(rows, key=lambda row: row.state != OPEN)))


def _here(unit: Unit, who: Visitor, alarm: str) -> Row:
    found = unit.rows.get(ALARM, alarm)
    if found is None or found.department != who.department:
        raise NotThere("there is no such alarm here", resource="alarm")
    return found


def _alarm(row: Row) -> Alarm:
    answered = row.fields.get("acknowledged")
    return Alarm(
        id=row.id,
        state=row.state,
        what=row.title,
        copy_name=str(row.fields["copy_name"]),
        code=str(row.fields["code"]),
        raised=datetime.fromisoformat(str(row.fields["raised"])),
        case=str(row.fields["case"] or ""),
        acknowledged=datetime.fromisoformat(str(answered)) if answered else None,
    )


def _of_run(unit: Unit, department: str, run: str) -> list[Row]:
    rows = unit.rows.all(ALARM, [department], states=NOT_CLOSED)
    return [row for row in rows if row.fields["run"] == run]


def _counted_short(opened: OpenRun, act: MissingFragment, doing: Doing, at: datetime) -> Run:
    """The run with the line counted short, so that it goes no further as complete."""
    line = opened.plan.line(act.line)
    stations = STATIONS_AT.get(opened.run.place, (Station.sink,))
    short = Counted(found=line.expected - act.count, at_station=stations[0], at=at, by=doing.who.person)
    counted = {**opened.run.counted, act.line: short}
    return opened.run.model_copy(update={"counted": counted})


def last_case(unit: Unit, copy: str) -> str:
    """The number of the case that a copy was last used in; empty where nobody reported one."""
    cases = [unit.bench.cases.get(one.case) for one in unit.bench.cases.of_copy(copy)]
    known = [one for one in cases if one is not None]
    return max(known, key=lambda one: one.begins).number if known else ""


HANDLERS: Final[Mapping[str, Handler]] = {
    "missing-fragment": raise_alarm,
    "acknowledge-alarm": acknowledge,
}
