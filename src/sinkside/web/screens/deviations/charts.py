"""Deviations drawn together: what is most frequent, and how the rate goes, each with a table in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.desk.deviations.charting import PER, By, Charted, Every, Stretch, charts
from sinkside.desk.deviations.charts_told import (
    counted,
    delay_words,
    few_words,
    name_of,
    percent,
    rate_words,
    run_chart_of,
    signals_of,
)
from sinkside.desk.deviations.drawing import pareto_svg
from sinkside.desk.deviations.finding import machines_here
from sinkside.desk.deviations.kept import READ
from sinkside.language import number
from sinkside.science.counts import Ranked
from sinkside.web.asked import Asked
from sinkside.web.screen import Option
from sinkside.web.screens.deviations.place import (
    CHART_DAYS,
    PLACE,
    Asking,
    SoughtShown,
    screen,
    shown_sought,
    sought_of,
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
    told = [name_of(one, asking.by, names) for one in seen.bars]
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
        counts=f"{counted(len(seen.rows), 'deviation')}, {counted(sets, 'set')} {of}"
        + rate_words(len(seen.rows), sets),
        few=few_words(seen, told),
        pareto=pareto_svg(seen.bars, told, title="Deviations, the most frequent first") if told else "",
        bars=tuple(
            _bar(asked, one, name, plain, asking.by) for one, name in zip(seen.bars, told, strict=True)
        ),
        signals=signals_of(seen, asking.every),
        chart=run_chart_of(seen, asking.every),
        stretches=tuple(_stretch(one, seen) for one in reversed(seen.stretches)),
        delays=delay_words(seen),
        per=f"per {PER} sets {of}",
    )


def _bar(asked: Asked, one: Ranked, name: str, plain: Asking, by: By) -> BarShown:
    address = asked.at(f"/deviations{plain.query(**{by.value: one.name})}") if one.name else ""
    return BarShown(name, address, one.count, percent(one.share), percent(one.cumulated))


def _stretch(one: Stretch, seen: Charted) -> StretchShown:
    rate = number(one.rate, decimals=1) if one.sets else "no sets"
    return StretchShown(one.begins.isoformat(), one.count, one.sets, rate, one in seen.outside)
