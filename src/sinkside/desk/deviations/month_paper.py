"""The deviations of a month as a paper; nobody's name is on it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.aids.deviations import (
    MonthChart,
    MonthFigure,
    MonthPicture,
    MonthRequest,
    MonthTable,
    chart_on_paper,
    month_pdf,
)
from sinkside.bench.deviations import Counted
from sinkside.bench.faults import policy
from sinkside.desk.access import Visitor
from sinkside.desk.departments import department_in
from sinkside.desk.deviations.charting import PER, By, Charted, Every
from sinkside.desk.deviations.charts_told import (
    counted,
    delay_words,
    few_words,
    name_of,
    run_chart_of,
    signals_of,
)
from sinkside.desk.deviations.drawing import pareto_svg
from sinkside.desk.deviations.month import WEEKS, Looked, MonthOfDeviations, Otherwise, month_of
from sinkside.desk.ports import Archive
from sinkside.language import number
from sinkside.records import Row

#: So many open ones are listed; of more their number is told.
_MOST_LISTED: Final = 15
_MOST_BARS: Final = 6
#: The last moment of a month lies just before the next begins.
_A_MOMENT: Final = timedelta(seconds=1)
#: Rates of one kind alone are drawn lower than those of all of them.
_LOW: Final = 95.0
_HIGH: Final = 150.0

_HEADINGS: Final = {
    By.found: "By stage where found",
    By.device: "By device or set",
    By.machine: "By machine",
    By.hour: "By hour of the day",
}


def month_paper(archive: Archive, who: Visitor, month: str, *, now: datetime, live_url: str = "") -> bytes:
    """The deviations of a month as PDF.

    Args:
        archive: where everything is kept.
        who: who prints it.
        month: which, such as 2026-03; this one where nothing is said.
        now: the moment.
        live_url: where the list of the same is; empty without a server.

    Raises:
        NotAllowed: without the right.
        BadInput: if it is no month, or has not begun.
        NotForTheFloor: if a sign cannot be shown.
    """
    return month_pdf(_request(archive, who, month_of(archive, who, month, now=now), now, live_url))


def _request(
    archive: Archive, who: Visitor, seen: MonthOfDeviations, now: datetime, live_url: str
) -> MonthRequest:
    with archive.unit(writes=False) as unit:
        site, department = unit.sites.get(who.department), department_in(unit, who.department)
    told = [department.hospital or "", department.name] if department else [site.name if site else ""]
    last = (seen.span.before - _A_MOMENT).astimezone(ZoneInfo(who.zone))
    until = "" if seen.span.is_over else f" until {last.strftime('%H:%M')}; the month is not over"
    month = seen.span.day
    return MonthRequest(
        title=f"Deviations, {month.strftime('%B %Y')}",
        about=(
            ", ".join(filter(None, told)),
            f"{month.isoformat()} to {last.date().isoformat()}{until}",
            f"Moments are local time, {who.zone}.",
        ),
        figures=tuple(_figures(seen, now)),
        first=tuple(_first(seen)),
        tables=(_open_table(seen, who, now), _looked_table(seen, who)),
        charts=tuple(_otherwise(one, seen) for one in seen.otherwise if one.bars and one.by in _HEADINGS),
        made=f"Made {_minute(now, who)}",
        code=f"sinkside deviations {month.isoformat()[:7]}",
        live_url=live_url,
    )


def _figures(seen: MonthOfDeviations, now: datetime) -> Iterator[MonthFigure]:
    """What is read first: how many, at which rate, what is open, how long cases waited."""
    found, sets = len(seen.found.rows), _sets(seen.found)
    last, last_sets = len(seen.before.rows), _sets(seen.before)
    yield MonthFigure("Found", str(found), f"the month before: {last}")
    before = f"; the month before: {_rate(last, last_sets)}" if last_sets else ""
    yield MonthFigure(f"Per {PER} sets packed", _rate(found, sets), f"{counted(sets, 'set')}{before}")
    overdue = sum(row.due is not None and row.due <= now for row in seen.open)
    yield MonthFigure("Open now, of any age", str(len(seen.open)), f"{overdue} overdue")
    known = f"of {seen.found.delays} known, of {found - seen.found.delays} nobody said so"
    yield MonthFigure("Cases waited", f"{seen.found.delay_min} min", known)


def _first(seen: MonthOfDeviations) -> Iterator[MonthChart]:
    names = [name_of(one, By.fault, seen.machines) for one in seen.found.bars]
    if names:
        title = "Kinds of deviations, the most frequent first"
        svg = pareto_svg(seen.found.bars, names, title=title)
        said = tuple(filter(None, (few_words(seen.found, names), delay_words(seen.found))))
        yield MonthChart("What is most frequent", (MonthPicture(chart_on_paper(svg), title, said),))
    else:
        said = ("No deviation was found in this month.",)
        yield MonthChart("What is most frequent", (MonthPicture("", "", said),))
    pictures = [_weeks(seen.weeks, "all of them", height=_HIGH)]
    kinds = next(one for one in seen.otherwise if one.by is By.fault)
    if kinds.weeks is not None:
        most = policy().faults[kinds.first].words
        pictures.append(_weeks(kinds.weeks, most, height=_LOW))
    yield MonthChart(f"Week by week, {WEEKS} weeks", tuple(pictures))


def _otherwise(one: Otherwise, seen: MonthOfDeviations) -> MonthChart:
    """One way of counting: its bars, then the most frequent of it from week to week."""
    names = [name_of(bar, one.by, seen.machines) for bar in one.bars]
    heading = _HEADINGS[one.by]
    svg = pareto_svg(one.bars, names, title=heading, most_bars=_MOST_BARS)
    left = f"The first {_MOST_BARS} of {len(names)} are drawn." if len(names) > _MOST_BARS else ""
    pictures = [MonthPicture(chart_on_paper(svg), heading, tuple(filter(None, (left,))))]
    if one.weeks is not None:
        first = next(name for bar, name in zip(one.bars, names, strict=True) if bar.name == one.first)
        of = "sets in its loads" if one.by is By.machine else "sets packed"
        pictures.append(_weeks(one.weeks, first, height=_LOW, of=of))
    return MonthChart(heading, tuple(pictures))


def _weeks(seen: Charted, what: str, *, height: float, of: str = "sets packed") -> MonthPicture:
    """Rates from week to week, with what the rules of run charts say of them."""
    svg = run_chart_of(seen, Every.week, of=what, height=height)
    said = (
        f"{what[:1].upper()}{what[1:]}: {counted(len(seen.rows), 'deviation')}, per {PER} {of}.",
        *signals_of(seen, Every.week),
    )
    alt = f"{what} per {PER} {of}, week by week"
    return MonthPicture(chart_on_paper(svg) if svg else "", alt, (" ".join(said),))


def _open_table(seen: MonthOfDeviations, who: Visitor, now: datetime) -> MonthTable:
    left = len(seen.open) - _MOST_LISTED
    return MonthTable(
        heading=f"Open now ({len(seen.open)})",
        columns=("What", "Of", "Found", "What is next", "Due"),
        widths=(2.7, 1.7, 0.85, 1.5, 1.0),
        rows=tuple(_open_row(row, who, now) for row in seen.open[:_MOST_LISTED]),
        empty="No deviation is open.",
        more=f"{left} more are open; the list in the house has them." if left > 0 else "",
    )


def _open_row(row: Row, who: Visitor, now: datetime) -> tuple[str, ...]:
    kind = policy().faults[str(row.fields["fault"])].words
    what = f"{kind}\n" if row.title == kind else f"{kind}\n{row.title}"
    of = [str(row.fields[name] or "") for name in ("set", "code", "machine_name")]
    due = _day(row.due, who) if row.due else ""
    overdue = row.due is not None and row.due <= now
    return (
        what,
        ", ".join(filter(None, of)),
        _day(row.updated, who),
        str(row.fields["next"] or ""),
        f"■\N{NO-BREAK SPACE}{due}" if overdue else due,
    )


def _looked_table(seen: MonthOfDeviations, who: Visitor) -> MonthTable:
    return MonthTable(
        heading="What corrections came to",
        columns=("Of", "What was changed", "Before", "Since", "Came to"),
        widths=(1.5, 2.4, 1.2, 1.2, 1.5),
        rows=tuple(_looked_row(one, who) for one in seen.looked),
        empty="No effect was looked at in this month, and no correction waits for that.",
    )


def _looked_row(one: Looked, who: Visitor) -> tuple[str, ...]:
    kind, effect = f"{policy().faults[one.report.fault].words}\n", one.correction.effect
    if effect is None:
        waits = f"to be looked at from {_day(one.due, who)}" if one.due else "to be looked at"
        return kind, one.correction.what.words, "", "", waits
    held = "It held" if effect.held else "■\N{NO-BREAK SPACE}It did not hold"
    return (
        kind,
        one.correction.what.words,
        _counted_words(effect.before),
        _counted_words(effect.after),
        f"{held}: {effect.told.words}",
    )


def _counted_words(one: Counted) -> str:
    """How often in how many sets and days."""
    return f"{one.found} in {counted(one.sets, 'set')}, {counted(one.days, 'day')}"


def _sets(seen: Charted) -> int:
    return sum(one.sets for one in seen.stretches)


def _rate(count: int, sets: int) -> str:
    return number(PER * count / sets, decimals=1) if sets else "–"


def _day(moment: datetime, who: Visitor) -> str:
    return moment.astimezone(ZoneInfo(who.zone)).date().isoformat()


def _minute(moment: datetime, who: Visitor) -> str:
    return moment.astimezone(ZoneInfo(who.zone)).strftime("%Y-%m-%d %H:%M")
