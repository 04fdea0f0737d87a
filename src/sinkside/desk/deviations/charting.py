"""Deviations drawn together: what is most frequent, and how the rate goes from week to week."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.desk.access import Visitor, require
from sinkside.desk.deviations.counting import Sought, rows_of, sets_processed
from sinkside.desk.deviations.kept import READ
from sinkside.desk.ports import Archive
from sinkside.records import Row
from sinkside.science.counts import Ranked, RateChart, pareto, rate_chart
from sinkside.science.run_chart import RunChart, run_chart

#: Rates are told of so many sets.
PER: Final = 100


class By(StrEnum):
    """By what deviations are counted: the field of their rows."""

    fault = "fault"
    found = "found"
    began = "began"
    device = "device"
    machine = "machine"
    hour = "hour"


class Every(StrEnum):
    """How long one point of the chart is."""

    day = "day"
    week = "week"
    month = "month"


@dataclass(frozen=True)
class Stretch:
    """One point of the chart: from which day on, before which, how many deviations over how many sets."""

    begins: date
    ends: date
    count: int
    sets: int

    @property
    def rate(self) -> float:
        """Deviations per hundred sets; 0 where no set was processed, which says nothing."""
        return PER * self.count / self.sets if self.sets else 0.0


@dataclass(frozen=True)
class Charted:
    """What the charts show.

    Attributes:
        rows: the deviations, the latest first.
        bars: the Pareto order, by what was asked.
        stretches: one after the other, those without a set too.
        run: the run chart of the rates where there were sets; none where there were none at all.
        limits: of the rates per set, stretch by stretch where there were sets.
        delay_min: minutes that cases waited, all together; `delays` of how many deviations that is known.
    """

    rows: tuple[Row, ...]
    bars: tuple[Ranked, ...]
    stretches: tuple[Stretch, ...]
    run: RunChart | None
    limits: RateChart | None
    delay_min: int
    delays: int

    @property
    def drawn(self) -> tuple[Stretch, ...]:
        """The stretches in which sets were processed."""
        return tuple(one for one in self.stretches if one.sets)

    @property
    def outside(self) -> tuple[Stretch, ...]:
        """Those whose rate lies outside the limits."""
        if self.limits is None:
            return ()
        ends = zip(self.drawn, self.limits.low, self.limits.high, strict=True)
        return tuple(one for one, low, high in ends if not low <= one.rate / PER <= high)


def charts(archive: Archive, who: Visitor, sought: Sought, *, by: By, every: Every) -> Charted:
    """The deviations that are sought, in Pareto order and from stretch to stretch.

    Args:
        archive: where everything is kept.
        who: who looks.
        sought: which deviations; sets are those of the department, or of the machine that is sought.
        by: by what they are counted.
        every: how long one point is.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        rows = rows_of(unit, who, sought)
        sets = sets_processed(unit, who, sought.since, sought.before, sought.machine)
    return charted(rows, sets, Span(sought.since, sought.before, every, who.zone), by=by)


@dataclass(frozen=True)
class Span:
    """From when until before when charts go, how long one point is, and the zone whose days are meant."""

    since: datetime
    before: datetime
    every: Every
    zone: str


def charted(rows: Iterable[Row], sets: Sequence[datetime], span: Span, *, by: By) -> Charted:
    """Some deviations of a span in Pareto order and from stretch to stretch.

    Args:
        rows: the deviations, in any order.
        sets: when each set was processed, over which they are counted.
        span: from when until when, and how long one point is.
        by: by what they are counted.
    """
    rows = sorted(rows, key=lambda row: (row.updated, row.id), reverse=True)
    edges = list(_edges(span.since, span.before, span.every, span.zone))
    stretches = tuple(_counted([row.updated for row in rows], sets, edges, span.zone))
    drawn = [one for one in stretches if one.sets]
    told = [int(row.fields["delay"] or 0) for row in rows if row.fields["delay"] is not None]
    return Charted(
        rows=tuple(rows),
        bars=ranked(rows, by),
        stretches=stretches,
        run=run_chart([one.rate for one in drawn]) if drawn else None,
        limits=rate_chart([one.count for one in drawn], [one.sets for one in drawn]) if drawn else None,
        delay_min=sum(told),
        delays=len(told),
    )


def ranked(rows: Iterable[Row], by: By) -> tuple[Ranked, ...]:
    """Deviations in Pareto order; what does not say it stands under an empty name."""
    return pareto(Counter(str(row.fields[by.value] or "") for row in rows))


def _edges(since: datetime, before: datetime, every: Every, zone: str) -> Iterator[date]:
    """The first days of all stretches that reach into a time, and the first day after them."""
    local = ZoneInfo(zone)
    day = _begin(since.astimezone(local).date(), every)
    while datetime.combine(day, time(), local) < before:
        yield day
        day = _next(day, every)
    yield day


def _begin(day: date, every: Every) -> date:
    if every is Every.week:
        return day - timedelta(days=day.weekday())
    return day.replace(day=1) if every is Every.month else day


def _next(day: date, every: Every) -> date:
    if every is Every.month:
        return (day.replace(day=28) + timedelta(days=4)).replace(day=1)
    return day + timedelta(days=7 if every is Every.week else 1)


def _counted(
    found: Sequence[datetime], sets: Sequence[datetime], edges: Sequence[date], zone: str
) -> Iterator[Stretch]:
    moments = [datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC) for day in edges]
    counts, processed = (Counter(bisect_right(moments, at) for at in those) for those in (found, sets))
    for place, (begins, ends) in enumerate(pairwise(edges), start=1):
        yield Stretch(begins, ends, counts[place], processed[place])
