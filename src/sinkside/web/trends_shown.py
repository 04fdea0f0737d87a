"""Trends of a machine as its page shows them: the finding first, then the chart, and a table behind it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sinkside.cycles import ChartRules, Trend
from sinkside.desk.machine_chart import ChartPoint, trend_chart
from sinkside.desk.machine_trends import ProgramTrends
from sinkside.findings import Finding
from sinkside.language import measure
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment

_OPENING: Final = ChartRules().opening
_ROWS: Final = 200


@dataclass(frozen=True)
class TrendRow:
    """One cycle of a trend: when, the value, its recorder's file and where it is, whether it is outside."""

    at: str
    value: str
    file: str
    address: str
    is_outside: bool


@dataclass(frozen=True)
class TrendShown:
    """One figure of one program, from cycle to cycle.

    Attributes:
        key: what makes its ids unique on the page.
        name: the figure.
        level: of the finding; empty without one.
        message: what the finding says.
        remedy: what would settle it.
        standing: how far the charts are, where they are not drawn yet.
        chart: drawn.
        points: where each cycle lies on the drawing, in the order of the rows from the last to the first.
        latest: the last value.
        rows: the cycles, the latest first.
    """

    key: str
    name: str
    level: str
    message: str
    remedy: str
    standing: str
    chart: str
    points: tuple[ChartPoint, ...]
    latest: str
    rows: tuple[TrendRow, ...]


@dataclass(frozen=True)
class ProgramShown:
    """One program of a machine: its name and its trends, those that have something to say first."""

    program: str
    trends: tuple[TrendShown, ...]


def programs_shown(asked: Asked, known: Iterable[ProgramTrends]) -> tuple[ProgramShown, ...]:
    """Every program's trends, those with findings first."""
    ordered = sorted(known, key=lambda one: (not one.findings, one.program))
    return tuple(
        ProgramShown(
            one.program,
            tuple(
                _trend(asked, one, trend, key=f"trend-{number}-{place}")
                for place, trend in enumerate(one.trends)
            ),
        )
        for number, one in enumerate(ordered)
    )


def message_of(finding: Finding, when: dict[str, str]) -> str:
    """What a finding says, with a cycle named by when it ran."""
    cycle = str(finding.evidence.get("since", ""))
    return (
        finding.message.replace(f"cycle {cycle}", f"the cycle of {when[cycle]}")
        if cycle in when
        else finding.message
    )


def _trend(asked: Asked, program: ProgramTrends, trend: Trend, *, key: str) -> TrendShown:
    zone = asked.visitor.zone
    at = [shown_moment(moment, zone) for moment in trend.at]
    name = trend.title.removeprefix("the ")
    chart = trend_chart(
        trend, key=key, title=f"{name.capitalize()}, {program.program}", days=[one[5:10] for one in at]
    )
    values = [measure(value, trend.unit, decimals=trend.decimals) for value in trend.values]
    rows = [
        TrendRow(
            when,
            value,
            program.cycles[cycle].file_name,
            asked.at(f"/cycles/{cycle}"),
            point.is_outside,
        )
        for when, value, cycle, point in zip(at, values, trend.cycles, chart.points, strict=True)
    ]
    finding = trend.finding
    return TrendShown(
        key=key,
        name=name.capitalize(),
        level=finding.level.value if finding else "",
        message=message_of(finding, dict(zip(trend.cycles, at, strict=True))) if finding else "",
        remedy=finding.remedy if finding else "",
        standing="" if trend.settled else _standing(len(values)),
        chart=chart.svg,
        points=chart.points,
        latest=values[-1],
        rows=tuple(reversed(rows))[:_ROWS],
    )


def _standing(cycles: int) -> str:
    return f"So far {cycles} of {_OPENING} cycles: what is usual here is told once there are so many."
