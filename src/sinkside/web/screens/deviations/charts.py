"""Deviations drawn together: what is most frequent, and how the rate goes, each with a table in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.bench.faults import policy
from sinkside.desk.deviations.charting import PER, By, Charted, Every, Stretch, charts
from sinkside.desk.deviations.drawing import MOST_BARS, MOST_OF_IT, pareto_svg, run_svg
from sinkside.desk.deviations.finding import machines_here
from sinkside.desk.deviations.kept import READ
from sinkside.language import number
from sinkside.science.counts import Ranked
from sinkside.science.run_chart import FEWEST_USEFUL, RunChart
from sinkside.web.asked import Asked
from sinkside.web.screen import Option
from sinkside.web.screens.deviations.place import (
    CHART_DAYS,
    PLACE,
    Asking,
    SoughtShown,
    hour_words,
    screen,
    shown_sought,
    sought_of,
    stage_words,
)

_BY_WORDS: Final = (
    Option(By.fault, "kind"),
    Option(By.found, "stage where found"),
    Option(By.began, "stage where it began"),
    Option(By.device, "device or set"),
    Option(By.machine, "machine"),
    Option(By.hour, "hour of the day"),
)
_EVERY_WORDS: Final = (Option(Every.day, "day"), Option(Every.week, "week"), Option(Every.month, "month"))


class AskingCharts(Asking):
    """What the charts may be asked for beside what is sought: by what they count, and how long a point is."""

    by: By = By.fault
    every: Every = Every.week


_USUAL: Final = AskingCharts()


@dataclass(frozen=True)
class BarShown:
    """One line of the Pareto table: its name, where it is listed, count, share, and the share so far."""

    name: str
    address: str
    count: int
    share: str
    so_far: str


@dataclass(frozen=True)
class StretchShown:
    """One line of the table of rates: from when, how many over how many sets, the rate, whether outside."""

    begins: str
    count: int
    sets: int
    rate: str
    is_outside: bool


@dataclass(frozen=True)
class DeviationChartsPage:
    """Charts of what is sought.

    Attributes:
        title: the heading.
        back: the list of the same.
        here: the address of this page.
        sought: what is sought.
        by: by what is counted; `bys` what it may be.
        bys: what deviations may be counted by.
        every: how long one point is.
        everys: how long it may be.
        counts: how many there are over how many sets, in one sentence.
        few: which few make most of them, in one sentence.
        pareto: drawn.
        bars: the same as a table.
        signals: what the chart of rates says, worst first; that it says nothing, too.
        chart: drawn; empty where no set was processed.
        stretches: the same as a table, the latest first.
        delays: how long cases waited, in one sentence.
        per: what the rate is of, in words.
    """

    title: str
    back: str
    here: str
    sought: SoughtShown
    by: str
    bys: tuple[Option, ...]
    every: str
    everys: tuple[Option, ...]
    counts: str
    few: str
    pareto: str
    bars: tuple[BarShown, ...]
    signals: tuple[str, ...]
    chart: str
    stretches: tuple[StretchShown, ...]
    delays: str
    per: str


@screen.page(f"{PLACE}/charts", right=READ, template="deviation_charts.html")
def charts_page(asked: Asked, *, asking: Annotated[AskingCharts, Query()] = _USUAL) -> DeviationChartsPage:
    """Pareto and run chart of what is sought."""
    machines = machines_here(asked.archive, asked.visitor)
    sought = sought_of(asked, asking, days=CHART_DAYS)
    seen = charts(asked.archive, asked.visitor, sought, by=asking.by, every=asking.every)
    names = dict(machines)
    sets = sum(one.sets for one in seen.stretches)
    of = f"in loads of {names.get(asking.machine, asking.machine)}" if asking.machine else "packed"
    told = [_name(one, asking.by, names) for one in seen.bars]
    plain = Asking(**asking.model_dump(exclude={"by", "every"}))
    return DeviationChartsPage(
        title="Deviations drawn together",
        back=asked.at(f"/deviations{plain.query()}"),
        here=asked.at("/deviations/charts"),
        sought=shown_sought(asking, machines),
        by=asking.by.value,
        bys=_BY_WORDS,
        every=asking.every.value,
        everys=_EVERY_WORDS,
        counts=f"{_number(len(seen.rows), 'deviation')}, {_number(sets, 'set')} {of}"
        + _rate_words(len(seen.rows), sets),
        few=_few(seen, told),
        pareto=pareto_svg(seen.bars, told, title="Deviations, the most frequent first") if told else "",
        bars=tuple(
            _bar(asked, one, name, plain, asking.by) for one, name in zip(seen.bars, told, strict=True)
        ),
        signals=_signals(seen, asking.every),
        chart=_chart(seen, asking.every),
        stretches=tuple(_stretch(one, seen) for one in reversed(seen.stretches)),
        delays=_delays(seen),
        per=f"per {PER} sets {of}",
    )


def _name(one: Ranked, by: By, machines: Mapping[str, str]) -> str:
    if by is By.fault:
        return policy().faults[one.name].words
    if not one.name:
        return "not known" if by is By.began else "none"
    if by in {By.found, By.began}:
        return stage_words(one.name)
    if by is By.machine:
        return machines.get(one.name, one.name)
    return hour_words(one.name) if by is By.hour else one.name


def _bar(asked: Asked, one: Ranked, name: str, plain: Asking, by: By) -> BarShown:
    address = asked.at(f"/deviations{plain.query(**{by.value: one.name})}") if one.name else ""
    return BarShown(name, address, one.count, _percent(one.share), _percent(one.cumulated))


def _number(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"


def _percent(share: float) -> str:
    return f"{number(100 * share, decimals=0)} %"


def _few(seen: Charted, names: list[str]) -> str:
    """The few that make most of it."""
    few = [name for one, name in zip(seen.bars, names, strict=True) if one.cumulated - one.share < MOST_OF_IT]
    if not few:
        return ""
    share = seen.bars[len(few) - 1].cumulated
    more = f" The first {MOST_BARS} of {len(names)} are drawn." if len(names) > MOST_BARS else ""
    verb = "makes" if len(few) == 1 else "make"
    return f"{len(few)} of {len(names)} {verb} {_percent(share)} of them: {', '.join(few[:MOST_BARS])}.{more}"


def _rate_words(count: int, sets: int) -> str:
    return f": {number(PER * count / sets, decimals=2)} per {PER}" if sets else ""


def _signals(seen: Charted, every: Every) -> tuple[str, ...]:
    """What the chart says, by the published rules, in sentences."""
    if seen.run is None:
        return ("No set was processed in this time, so there is no rate to draw.",)
    told = [_outside(one, every) for one in seen.outside]
    told += _runs(seen.run)
    missing = len(seen.stretches) - len(seen.drawn)
    if missing:
        were = (
            f"1 {every.value} without a set is"
            if missing == 1
            else f"{missing} {every.value}s without a set are"
        )
        told.append(f"{were} left out.")
    return tuple(told)


def _outside(one: Stretch, every: Every) -> str:
    rate = number(one.rate, decimals=1)
    return f"The {every.value} of {one.begins.isoformat()} lies outside the usual: {rate} per {PER} sets."


def _runs(run: RunChart) -> list[str]:
    if not run.can_say:
        few = f"{run.useful} points lie off the median"
        return [f"{few}; with {FEWEST_USEFUL} or more, runs and crossings are told."]
    told = []
    if run.run_is_long:
        row = f"{run.longest_run} points in a row lie on one side of the median"
        told.append(f"{row}, chance allows {run.longest_allowed}: the rate has shifted.")
    if run.crossings_are_few:
        crosses = f"The line crosses its median {run.crossings} times"
        told.append(f"{crosses}, chance asks for {run.crossings_needed}: the rate has shifted or drifts.")
    row = f"at most {run.longest_run} points in a row on one side (chance allows {run.longest_allowed})"
    crossed = f"{run.crossings} crossings (chance asks for {run.crossings_needed})"
    return told or [f"No sign of a shift: {row}, {crossed}."]


def _chart(seen: Charted, every: Every) -> str:
    if seen.run is None:
        return ""
    rates = [one.rate for one in seen.drawn]
    description = (
        f"{len(rates)} {every.value}s from {number(min(rates), decimals=1)} to "
        f"{number(max(rates), decimals=1)} per {PER} sets, median {number(seen.run.median, decimals=1)}."
    )
    return run_svg(
        seen, title=f"Deviations per {PER} sets, {every.value} by {every.value}", description=description
    )


def _stretch(one: Stretch, seen: Charted) -> StretchShown:
    rate = number(one.rate, decimals=1) if one.sets else "no sets"
    return StretchShown(one.begins.isoformat(), one.count, one.sets, rate, one in seen.outside)


def _delays(seen: Charted) -> str:
    if not seen.delays:
        return "Of none of them is it known how long a case waited."
    late = sum(bool(row.fields["delay"]) for row in seen.rows)
    known = f"in {late} of the {seen.delays} of which it is known"
    unknown = len(seen.rows) - seen.delays
    return f"Cases waited {seen.delay_min} min in all, {known}; of {unknown} nobody said so."
