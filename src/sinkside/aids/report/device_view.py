"""A device as a report shows it: route line, findings, conflicts with what would resolve them, operations."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.figures import ShownFigure, shown_figures, shown_phases
from sinkside.aids.places import place_words
from sinkside.aids.reading_words import read_words
from sinkside.aids.report.finding_view import finding_views
from sinkside.aids.report.overview import findings_of, level_words
from sinkside.aids.report.request import DeviceReport
from sinkside.aids.report.views import (
    AttachedView,
    DeviceView,
    FigureView,
    OperationView,
    StationView,
    StopView,
)
from sinkside.aids.route_line import MARKS, RouteLine, route_line
from sinkside.aids.route_line_svg import route_line_svg, stop_mark_svg
from sinkside.aids.words import PlainWords, phase_name, plain_words, steps_of
from sinkside.findings import LEVELS, Level, Place, count_by_level
from sinkside.instruction import Instruction
from sinkside.language import render
from sinkside.plain.names import calm_maker, calm_name
from sinkside.plain.operations import Row, by_station, rows_of, shown_operations, station_label
from sinkside.route import Route


def device_view(device: DeviceReport, key: str, language: str = "en") -> DeviceView:
    """One device as the template shows it."""
    instruction, route = device.instruction, device.route
    line = route_line(instruction, route, device.findings, language=language)
    found = (*device.findings, *(route.findings if route else ()))
    conflicts = route.conflicts if route else ()
    counts = count_by_level(findings_of(device))
    operations = shown_operations(route, instruction)
    return DeviceView(
        key=key,
        name=calm_name(instruction.device.name),
        about=_about(instruction, language),
        summary=_summary(instruction, language),
        counts=tuple(
            (level.value, level_words(level, counts[level], language)) for level in LEVELS if counts[level]
        ),
        route_word=render(_route_word(route), {}, language),
        line=route_line_svg(line, key=f"{key}-line", language=language),
        stops=_stops(line, language),
        findings=finding_views(found, language),
        conflicts=finding_views(conflicts, language),
        changes=_changes(route),
        stations=tuple(
            StationView(
                name=station_label(group.station, language),
                operations=tuple(_operation(row, instruction, language) for row in rows_of(group.operations)),
            )
            for group in by_station(operations)
        ),
        is_resolved=route is not None and route.resolved,
    )


def _about(instruction: Instruction, language: str) -> str:
    document = instruction.device.document
    edition = (
        render("edition {edition}", {"edition": document.revision}, language) if document.revision else ""
    )
    return " · ".join(
        part for part in (calm_maker(instruction.device.maker), document.title, edition) if part
    )


def _summary(instruction: Instruction, language: str) -> str:
    """How much was read, and what found no place."""
    return read_words([instruction], language=language)


def _word(level: Level | None, language: str) -> str:
    return render(MARKS[level][1], {}, language) if level else ""


def _route_word(route: Route | None) -> str:
    if route is None:
        return "not asked for"
    return "resolved" if route.resolved else "not resolved"


def _stops(line: RouteLine, language: str) -> tuple[StopView, ...]:
    return tuple(
        StopView(
            label=stop.label,
            figure=stop.figure,
            mark=stop_mark_svg(stop.mark),
            level=stop.mark.value if stop.mark else "",
            word=_word(stop.mark, language) if stop.mark is not Level.note else "",
        )
        for stop in line.stops
    )


def _changes(route: Route | None) -> tuple[str, ...]:
    """What would remove the conflicts, the smallest change first."""
    return tuple(change.sentence for change in sorted(route.changes, key=lambda c: c.size)) if route else ()


def _operation(row: Row, instruction: Instruction, language: str) -> OperationView:
    operation = row.operation
    words = plain_words(operation, instruction, language)
    steps = steps_of(operation, instruction)
    is_block = len(steps) > 1 and any(step.figures for step in steps)
    origin = operation.origin
    place = Place(page=origin.page, line=origin.line) if origin.text else Place()
    return OperationView(
        letter=operation.letter,
        headline=words.headline,
        details=words.details,
        cautions=words.cautions,
        figures=() if is_block else _figures(shown_figures(operation, language), language),
        phases=tuple(
            (phase_name(step, language) if step else "", _figures(figures, language))
            for step, figures in shown_phases(operation, steps, language)
            if figures
        )
        if is_block
        else (),
        attached=tuple(
            AttachedView(one.letter, *_words(plain_words(one, instruction, language))) for one in row.attached
        ),
        why=operation.why if operation.bindings else "",
        origin=place_words(place, language),
    )


def _words(words: PlainWords) -> tuple[str, tuple[str, ...]]:
    return words.headline, (*words.details, *words.cautions)


def _figures(figures: Iterable[ShownFigure], language: str) -> tuple[FigureView, ...]:
    return tuple(
        FigureView(
            number=figure.number,
            unit=figure.unit,
            label=figure.label,
            must=render("must be {range}", {"range": figure.must}, language) if figure.must else "",
        )
        for figure in figures
    )
