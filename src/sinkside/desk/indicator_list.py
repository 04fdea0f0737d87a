"""Indicators for those who look at them: what is to be read first, then the latest; the lots in use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, require
from sinkside.desk.cycle_records import OpenCycle, cycle_row, opened_cycle
from sinkside.desk.indicator_documents import Indicator, Kind, LoadHeld
from sinkside.desk.indicators import INDICATOR, LOT, indicator_in, indicators_of, load_held
from sinkside.desk.indicators_before_release import NeededThing, before_release
from sinkside.desk.machine_days import local_day
from sinkside.desk.ports import Archive, Unit
from sinkside.records import Row

_MOST: Final = 200
_LATEST: Final = 60


@dataclass(frozen=True)
class LotInUse:
    """A lot of indicators: its id, words, kind, last day, whether that is over, hours until it is read."""

    id: str
    words: str
    kind: Kind
    expires: str
    is_expired: bool
    hours: float | None


@dataclass(frozen=True)
class IndicatorsFound:
    """Those that wait, the first due first; the latest that were read; and the lots."""

    waiting: tuple[Row, ...]
    read: tuple[Row, ...]
    lots: tuple[LotInUse, ...]


@dataclass(frozen=True)
class LoadBeforeRelease:
    """A load with all that must be there before its release, its indicators, and the lots to choose."""

    cycle: OpenCycle
    needed: tuple[NeededThing, ...]
    held: LoadHeld | None
    indicators: tuple[tuple[str, Indicator], ...]
    lots: tuple[LotInUse, ...]


def find_indicators(archive: Archive, who: Visitor, *, now: datetime) -> IndicatorsFound:
    """The indicators and lots of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "cycle-read")
    read = ("negative", "positive", "not-valid", "passed", "failed")
    with archive.unit(writes=False) as unit:
        return IndicatorsFound(
            waiting=tuple(unit.rows.all(INDICATOR, [who.department], states=["waiting"], limit=_MOST)),
            read=tuple(unit.rows.all(INDICATOR, [who.department], states=read, limit=_LATEST)),
            lots=lots_in(unit, who, now=now),
        )


def lots_in(unit: Unit, who: Visitor, *, now: datetime) -> tuple[LotInUse, ...]:
    """The lots of this department, the last to expire first."""
    today = local_day(now, who.zone).isoformat()
    rows = unit.rows.all(LOT, [who.department], limit=_MOST)
    return tuple(_lot(row, today) for row in reversed(rows))


def open_indicator(archive: Archive, who: Visitor, indicator: str) -> Indicator:
    """One indicator as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        return indicator_in(unit, who, indicator)[1]


def load_before_release(archive: Archive, who: Visitor, cycle: str, *, now: datetime) -> LoadBeforeRelease:
    """A load with what must be there before its release.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such cycle here.
    """
    require(who, "cycle-read")
    with archive.unit(writes=False) as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
        return LoadBeforeRelease(
            cycle=known,
            needed=before_release(unit, who, known, now=now),
            held=load_held(unit, cycle),
            indicators=indicators_of(unit, cycle),
            lots=lots_in(unit, who, now=now),
        )


def _lot(row: Row, today: str) -> LotInUse:
    hours = row.fields.get("hours")
    expires = str(row.fields["expires"])
    return LotInUse(
        id=row.id,
        words=row.title,
        kind="biological" if row.state == "biological" else "chemical",
        expires=expires,
        is_expired=expires < today,
        hours=float(hours) if isinstance(hours, (int, float)) else None,
    )
