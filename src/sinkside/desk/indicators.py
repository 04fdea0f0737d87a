"""Indicators: lots, biological ones placed and read, chemical ones looked at; an expired lot is refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.concerning import note_concerning
from sinkside.desk.cycle_records import OpenCycle, cycle_row, opened_cycle
from sinkside.desk.cycle_records import subject_of as cycle_subject
from sinkside.desk.deviations.indicators import indicator_showed
from sinkside.desk.indicator_documents import Indicator, IndicatorsOfLoad, Kind, LoadHeld, Lot, Outcome
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.machine_days import local_day
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.records import Row

LOT: Final = "indicator-lot"
INDICATOR: Final = "indicator"
LOAD: Final = "load"
_LONGEST: Final = 2000
_LONGEST_NAME: Final = 120

#: Clocks of people and of the house differ by so much at most.
_SLACK: Final = timedelta(minutes=5)
_OLDEST: Final = timedelta(days=14)


def add_lot(
    archive: Archive,
    who: Visitor,
    kind: Kind,
    *,
    name: str,
    lot: str,
    expires: date,
    now: datetime,
    hours: float | None = None,
) -> str:
    """Add a lot of indicators, and say its id.

    Args:
        archive: where it is kept.
        who: who adds it.
        kind: biological or chemical.
        name: what the indicator is called.
        lot: the lot's number as printed.
        expires: the last day on which it may be used.
        now: the moment.
        hours: how long a biological one incubates before it may be read as without growth.

    Raises:
        NotAllowed: without the right.
        BadInput: if a name is missing, the lot is expired, or the hours do not fit the kind.
    """
    require(who, "indicator-record")
    if expires < local_day(now, who.zone):
        raise BadInput(f"this lot expired on {expires.isoformat()}", resource="expires")
    if (hours is not None) != (kind == "biological"):
        expected = (
            "the hours until it is read" if kind == "biological" else "no hours for a chemical indicator"
        )
        raise BadInput(f"expected {expected}", resource="hours")
    made = Lot(
        kind=kind,
        name=_named(name, "name"),
        lot=_named(lot, "lot"),
        expires=expires,
        hours=hours,
        by=who.person,
        at=now,
    )
    lot_id = new_id("t")
    with archive.unit() as unit:
        kept = keep_next(unit, LOT, lot_id, made, by=who.person, now=now)
        due = datetime.combine(expires, datetime.min.time(), UTC)
        fields = {"name": made.name, "lot": made.lot, "hours": hours, "expires": expires.isoformat()}
        unit.rows.put(Row(LOT, lot_id, who.department, kind, made.words, now, due=due, fields=fields))
        data = {"kind": kind, "lot": made.lot, "digest": kept.digest}
        record(unit, who, "indicator-lot-added", f"{LOT}:{lot_id}", now=now, data=data)
    return lot_id


def say_load(
    archive: Archive, who: Visitor, cycle: str, *, implant: bool, words: str, now: datetime
) -> LoadHeld:
    """Say what a load held, and whether there was an implant in it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such cycle here.
        BadInput: if it is too long.
    """
    require(who, "indicator-record")
    with archive.unit() as unit:
        cycle_row(unit, who, cycle)
        return keep_load_held(unit, who, cycle, implant=implant, words=words, now=now)


def keep_load_held(
    unit: Unit, who: Visitor, cycle: str, *, implant: bool, words: str, now: datetime
) -> LoadHeld:
    """Keep what a load held, for the verbs that know it.

    Raises:
        BadInput: if it is too long.
    """
    said = LoadHeld(implant=implant, words=_noted(words, "words"), by=who.person, at=now)
    kept = keep_next(unit, LOAD, cycle, said, by=who.person, now=now)
    data = {"implant": implant, "digest": kept.digest}
    record(unit, who, "load-said", cycle_subject(cycle), now=now, data=data)
    return said


def look_at_chemical(
    archive: Archive, who: Visitor, cycle: str, lot: str, *, passed: bool, now: datetime, note: str = ""
) -> str:
    """Record what the chemical indicator of a load shows, and say the id.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such cycle or lot here.
        BadInput: if the lot is expired or of the other kind.
    """
    require(who, "indicator-record")
    with archive.unit() as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
        of_lot = _usable(unit, who, lot, "chemical", now)
        outcome: Outcome = "passed" if passed else "failed"
        return _placed(unit, who, known, (lot, of_lot), outcome=outcome, started=now, now=now, note=note)


def place_biological(
    archive: Archive, who: Visitor, cycle: str, lot: str, *, started: datetime, now: datetime, note: str = ""
) -> str:
    """Record that the biological indicator of a load began to incubate, and say the id.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such cycle or lot here.
        BadInput: if the lot is expired or of the other kind, or incubation begins in the future or long ago.
    """
    require(who, "indicator-record")
    if not now - _OLDEST <= started <= now + _SLACK:
        raise BadInput("expected a moment within the last 14 days", resource="started")
    with archive.unit() as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
        of_lot = _usable(unit, who, lot, "biological", started)
        return _placed(
            unit, who, known, (lot, of_lot), outcome="waiting", started=started, now=now, note=note
        )


def indicator_in(unit: Unit, who: Visitor, indicator: str) -> tuple[Row, Indicator]:
    """An indicator of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(INDICATOR, indicator)
    kept = read_kept(unit, INDICATOR, indicator, Indicator)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such indicator here", resource=indicator)
    return row, kept


def indicators_of(unit: Unit, cycle: str) -> tuple[tuple[str, Indicator], ...]:
    """The indicators of a load, as they stand, in the order in which they were recorded."""
    known = read_kept(unit, f"{INDICATOR}s", cycle, IndicatorsOfLoad)
    found = []
    for one in known.ids if known else ():
        kept = read_kept(unit, INDICATOR, one, Indicator)
        if kept is not None:
            found.append((one, kept))
    return tuple(found)


def load_held(unit: Unit, cycle: str) -> LoadHeld | None:
    """What was said of a load; none while nobody said anything."""
    return read_kept(unit, LOAD, cycle, LoadHeld)


def _usable(unit: Unit, who: Visitor, lot: str, kind: Kind, at: datetime) -> Lot:
    row = unit.rows.get(LOT, lot)
    known = read_kept(unit, LOT, lot, Lot)
    if row is None or known is None or row.department != who.department:
        raise NotThere("there is no such lot here", resource=lot)
    if known.kind != kind:
        raise BadInput(f"this lot is of {known.kind} indicators; expected {kind} ones", resource="lot")
    if known.expires < local_day(at, who.zone):
        raise BadInput(
            f"{known.words} expired on {known.expires.isoformat()}; expected a lot that has not",
            resource="lot",
        )
    return known


def _placed(
    unit: Unit,
    who: Visitor,
    known: OpenCycle,
    of_lot: tuple[str, Lot],
    *,
    outcome: Outcome,
    started: datetime,
    now: datetime,
    note: str,
) -> str:
    lot_id, lot = of_lot
    made = Indicator(
        kind=lot.kind,
        cycle=known.row.id,
        machine=known.record.machine,
        machine_name=known.record.machine_name,
        lot=lot_id,
        lot_words=lot.words,
        started=started,
        read_from=started + timedelta(hours=lot.hours) if lot.hours else None,
        outcome=outcome,
        note=_noted(note, "note"),
        by=who.person,
        at=now,
    )
    indicator = new_id("b")
    kept_indicator(unit, who, indicator, made, event="indicator-recorded", now=now)
    note_concerning(unit, who.department, lot_id, f"{INDICATOR}:{indicator}", now=now)
    before = read_kept(unit, f"{INDICATOR}s", made.cycle, IndicatorsOfLoad)
    ids = (*(before.ids if before else ()), indicator)
    keep_next(unit, f"{INDICATOR}s", made.cycle, IndicatorsOfLoad(ids=ids), by=who.person, now=now)
    return indicator


def kept_indicator(
    unit: Unit, who: Visitor, indicator: str, made: Indicator, *, event: str, now: datetime
) -> None:
    """Keep an indicator as it stands now, with its line in the list and its event."""
    kept = keep_next(unit, INDICATOR, indicator, made, by=who.person, now=now)
    data = {
        "kind": made.kind,
        "outcome": made.outcome,
        "indicator": indicator,
        "digest": kept.digest,
    }
    record(unit, who, event, cycle_subject(made.cycle), now=now, data=data)
    fields = {
        "kind": made.kind,
        "cycle": made.cycle,
        "machine": made.machine,
        "machine_name": made.machine_name,
        "by": who.person,
    }
    due = made.read_from if made.outcome == "waiting" else None
    row = Row(INDICATOR, indicator, who.department, made.outcome, made.lot_words, now, due=due, fields=fields)
    unit.rows.put(row)
    indicator_showed(unit, who, made, now=now)


def _named(text: str, field: str) -> str:
    line = " ".join(text.split())
    if not 0 < len(line) <= _LONGEST_NAME:
        raise BadInput(f"expected 1 to {_LONGEST_NAME} characters", resource=field)
    return line


def _noted(text: str, field: str) -> str:
    if len(text) > _LONGEST:
        raise BadInput(f"it has {len(text)} characters; expected at most {_LONGEST}", resource=field)
    return text.strip()
