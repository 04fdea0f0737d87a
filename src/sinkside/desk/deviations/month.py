"""Everything that a paper says of the deviations of one month, gathered at one moment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.deviations import Correction, DeviationReport, Standing
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.deviations.charting import By, Charted, Every, Span, charted, ranked
from sinkside.desk.deviations.counting import Sought, rows_of, sets_processed
from sinkside.desk.deviations.kept import KIND, NOT_CLOSED, READ
from sinkside.desk.keeping import read_kept
from sinkside.desk.machine_things import things_of
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput
from sinkside.records import Row, Wanted, WantedRows
from sinkside.science.counts import Ranked

#: Rates are drawn over so many weeks, so that a run chart has enough points to say something.
WEEKS: Final = 26
_MOST_OPEN: Final = 2_000
_MOST_EFFECTS: Final = 500


@dataclass(frozen=True)
class MonthSpan:
    """A month on the department's clocks: its first day, when it begins, and before when it is told."""

    day: date
    since: datetime
    before: datetime
    is_over: bool


@dataclass(frozen=True)
class Looked:
    """A correction whose effect was looked at in the month, or is to be looked at: of which deviation."""

    report: DeviationReport
    correction: Correction
    due: datetime | None


@dataclass(frozen=True)
class Otherwise:
    """A month counted by one field, and the most frequent of it that has a name, from week to week."""

    by: By
    bars: tuple[Ranked, ...]
    first: str
    weeks: Charted | None


@dataclass(frozen=True)
class MonthOfDeviations:
    """A month of deviations.

    Attributes:
        span: which month.
        found: what was found in it, charted by kind.
        before: the same of the month before.
        weeks: every kind, from week to week until the end of the month.
        otherwise: the same counted by kind, stage, device, machine and hour.
        open: what is open now, of any age, what is due first at the head.
        looked: corrections whose effect was looked at in the month, and those that wait for that.
        machines: the names of machines by id.
    """

    span: MonthSpan
    found: Charted
    before: Charted
    weeks: Charted
    otherwise: tuple[Otherwise, ...]
    open: tuple[Row, ...]
    looked: tuple[Looked, ...]
    machines: Mapping[str, str]


def month_span(month: str, zone: str, *, now: datetime) -> MonthSpan:
    """A month as people write it; this one where nothing is said.

    >>> span = month_span("2026-02", "Europe/Vienna", now=datetime(2026, 3, 2, 8, tzinfo=UTC))
    >>> span.since.isoformat(), span.before.isoformat()
    ('2026-01-31T23:00:00+00:00', '2026-02-28T23:00:00+00:00')

    Raises:
        BadInput: if it is none, or has not begun.
    """
    local = ZoneInfo(zone)
    try:
        day = date.fromisoformat(f"{month}-01") if month.strip() else now.astimezone(local).date()
        first = day.replace(day=1)
        since = datetime.combine(first, time(), local).astimezone(UTC)
        ends = datetime.combine(_next_month(first), time(), local).astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise BadInput("expected a month, such as 2026-03", resource="month") from error
    if since > now:
        raise BadInput("this month has not begun; expected one that has", resource="month")
    return MonthSpan(first, since, min(ends, now + timedelta(seconds=1)), is_over=ends <= now)


def month_of(archive: Archive, who: Visitor, month: str, *, now: datetime) -> MonthOfDeviations:
    """A month of the department's deviations.

    Raises:
        NotAllowed: without the right.
        BadInput: if it is no month, or has not begun.
    """
    require(who, READ)
    span = month_span(month, who.zone, now=now)
    weeks = Span(span.before - timedelta(weeks=WEEKS), span.before, Every.week, who.zone)
    with archive.unit(writes=False) as unit:
        rows = rows_of(unit, who, Sought(_week_of(weeks), span.before))
        sets = sets_processed(unit, who, _week_of(weeks), span.before)
        site = department_in(unit, who.department)
        names = {one.id: one.name for one in things_of(site)} if site else {}
        last = _previous(span, who.zone)
        return MonthOfDeviations(
            span=span,
            found=_in(rows, sets, Span(span.since, span.before, Every.month, who.zone)),
            before=_in(rows, sets, Span(last, span.since, Every.month, who.zone)),
            weeks=charted(rows, sets, weeks, by=By.fault),
            otherwise=tuple(_otherwise(unit, who, by, rows, sets, span, weeks) for by in _COUNTED_BY),
            open=_open(unit, who),
            looked=_looked(unit, who, span),
            machines=names,
        )


#: By what a month is counted beside its kinds, in this order.
_COUNTED_BY: Final = (By.fault, By.found, By.device, By.machine, By.hour)


def _otherwise(
    unit: Unit,
    who: Visitor,
    by: By,
    rows: Sequence[Row],
    sets: Sequence[datetime],
    span: MonthSpan,
    weeks: Span,
) -> Otherwise:
    """The month counted by a field, and the rate of the most frequent that has a name.

    A machine's rate is over the sets in its own loads.
    """
    bars = ranked([row for row in rows if span.since <= row.updated < span.before], by)
    first = next((one.name for one in bars if one.name), "")
    if not first:
        return Otherwise(by, bars, "", None)
    over = sets_processed(unit, who, _week_of(weeks), span.before, first) if by is By.machine else sets
    of_it = [row for row in rows if row.fields[by.value] == first]
    return Otherwise(by, bars, first, charted(of_it, over, weeks, by=by))


def _in(rows: Sequence[Row], sets: Sequence[datetime], span: Span) -> Charted:
    """What was found and processed in a span, as one stretch."""
    inside = [row for row in rows if span.since <= row.updated < span.before]
    return charted(inside, [at for at in sets if span.since <= at < span.before], span, by=By.fault)


def _open(unit: Unit, who: Visitor) -> tuple[Row, ...]:
    rows = unit.rows.found(KIND, [who.department], WantedRows(states=NOT_CLOSED, limit=_MOST_OPEN))
    return tuple(sorted(rows, key=lambda row: (row.due is None, row.due or row.updated, row.id)))


def _looked(unit: Unit, who: Visitor, span: MonthSpan) -> tuple[Looked, ...]:
    """Effects that were looked at in the month, then corrections that wait for that, what is due first."""
    wanted = Wanted(kinds=("deviation-effect",), since=span.since, until=span.before, limit=_MOST_EFFECTS)
    told = dict.fromkeys(
        event.subject.removeprefix(f"{KIND}:") for event in unit.journal.events(who.department, wanted)
    )
    found = [
        Looked(report, one, None)
        for key in told
        if (report := read_kept(unit, KIND, key, DeviationReport))
        for one in report.corrections
        if one.effect and span.since <= one.effect.told.at < span.before
    ]
    waiting = WantedRows(states=(Standing.corrected.value,), limit=_MOST_EFFECTS)
    rows = sorted(unit.rows.found(KIND, [who.department], waiting), key=lambda row: row.due or row.updated)
    for row in rows:
        report = read_kept(unit, KIND, row.id, DeviationReport)
        if report is not None and report.correction is not None:
            found.append(Looked(report, report.correction, row.due))
    return tuple(found)


def _week_of(weeks: Span) -> datetime:
    """The midnight that begins the first week."""
    local = weeks.since.astimezone(ZoneInfo(weeks.zone))
    day = local.date() - timedelta(days=local.weekday())
    return datetime.combine(day, time(), ZoneInfo(weeks.zone)).astimezone(UTC)


def _previous(span: MonthSpan, zone: str) -> datetime:
    """When the month before begins."""
    day = (span.day - timedelta(days=1)).replace(day=1)
    return datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC)


def _next_month(first: date) -> date:
    return (first.replace(day=28) + timedelta(days=4)).replace(day=1)
