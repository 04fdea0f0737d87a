"""Reading a biological indicator: never early, never without its control; growth closes the sterilizer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.late_indicators import result_came
from sinkside.desk.indicator_documents import Indicator, Outcome
from sinkside.desk.indicators import indicator_in, kept_indicator
from sinkside.desk.machine_documents import Cause
from sinkside.desk.machine_rows import CYCLE, MachineCycle, last_check, machine_row, note_check
from sinkside.desk.machine_standing import loads_since, taken_out
from sinkside.desk.machine_things import Thing, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput
from sinkside.records import Row

#: The check of a machine that a biological indicator is.
BIOLOGICAL: Final = "biological"
_LONGEST: Final = 2000


@dataclass(frozen=True)
class IndicatorRead:
    """An indicator as it was read, whether it closed the machine, and the loads since the last negative."""

    indicator: Indicator
    out_of_use: bool
    loads: tuple[MachineCycle, ...]


def read_biological(
    archive: Archive,
    who: Visitor,
    indicator: str,
    *,
    grew: bool,
    control_grew: bool,
    now: datetime,
    note: str = "",
) -> IndicatorRead:
    """Read a biological indicator and the control of its lot.

    Args:
        archive: where it is kept.
        who: who reads it.
        indicator: which.
        grew: whether the indicator of the load shows growth.
        control_grew: whether the control of the same lot, kept out of the load, shows growth.
        now: the moment.
        note: anything else.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if it is read already, or as without growth before its hours are over.
    """
    require(who, "indicator-record")
    if len(note) > _LONGEST:
        raise BadInput(f"the note has {len(note)} characters; at most {_LONGEST}", resource="note")
    with archive.unit() as unit:
        _, known = indicator_in(unit, who, indicator)
        if known.outcome != "waiting" or known.read_from is None:
            raise BadInput("it is read already", resource=indicator)
        if not grew and now < known.read_from:
            raise BadInput("its hours are not over; only growth is read before then", resource="grew")
        outcome: Outcome = "positive" if grew else "negative" if control_grew else "not-valid"
        read = known.model_copy(
            update={
                "outcome": outcome,
                "control_grew": control_grew,
                "note": "; ".join(one for one in (known.note, note.strip()) if one),
                "by": who.person,
                "at": now,
            }
        )
        kept_indicator(unit, who, indicator, read, event="indicator-read", now=now)
        result_came(unit, who, read, now=now)
        return _followed(unit, who, indicator, read, now=now)


def _followed(unit: Unit, who: Visitor, indicator: str, read: Indicator, *, now: datetime) -> IndicatorRead:
    """What a reading means for the machine: a negative is its last good one, a positive closes it."""
    ran = unit.rows.get(CYCLE, read.cycle)
    if read.outcome == "not-valid" or ran is None:
        return IndicatorRead(read, out_of_use=False, loads=())
    thing = thing_in(unit, who, read.machine)
    row = machine_row(unit, who.department, thing.id, name=thing.name, now=now)
    last = last_check(row, BIOLOGICAL)
    is_positive = read.outcome == "positive"
    if is_positive or last.at is None or ran.updated >= last.at:
        note_check(unit, row, BIOLOGICAL, passed=not is_positive, now=ran.updated)
    if not is_positive:
        return IndicatorRead(read, out_of_use=False, loads=())
    loads = _close(unit, who, thing, read, (indicator, ran), since=last.good, now=now)
    return IndicatorRead(read, out_of_use=True, loads=loads)


def _close(
    unit: Unit,
    who: Visitor,
    thing: Thing,
    read: Indicator,
    of: tuple[str, Row],
    *,
    since: datetime | None,
    now: datetime,
) -> tuple[MachineCycle, ...]:
    """Close the machine; everything since the last negative is asked after, whatever the program."""
    indicator, ran = of
    loads = loads_since(unit, who.department, thing.machines, since)
    control = "" if read.control_grew else " (its control did not grow)"
    cause = Cause(
        why="positive-biological",
        words=f"Biological indicator of {ran.fields['file_name']} grew{control}; {read.lot_words}.",
        check=BIOLOGICAL,
        evidence=indicator,
        since=since,
        loads=tuple(load.id for load in loads),
        by=who.person,
        at=now,
    )
    taken_out(unit, who, thing, cause, now=now)
    return loads
