"""The first screen of a report: what was read, what is wrong, what to do next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sinkside.aids.reading_words import read_words
from sinkside.aids.report.request import CycleReport, DeviceReport, ReportInput
from sinkside.aids.report.views import CycleView, DeviceView, NextView, OverviewView
from sinkside.cycles import Verdict
from sinkside.findings import LEVELS, Finding, Level, count_by_level, worst_first
from sinkside.language import render

#: More than this no longer fits the first screen.
_NEXT_TOLD = 8

_LEVELS = {
    Level.stop: ("{n} stop", "{n} stops"),
    Level.concern: ("{n} concern", "{n} concerns"),
    Level.note: ("{n} note", "{n} notes"),
}
_ANSWERS = {
    "fails": ("{n} cycle fails", "{n} cycles fail"),
    "unclear": ("{n} cycle is unclear", "{n} cycles are unclear"),
}
_SIGNS = {"fails": "stop", "unclear": "concern"}


def level_words(level: Level, count: int, language: str = "en") -> str:
    """How many findings of a level there are.

    >>> level_words(Level.stop, 1), level_words(Level.note, 3)
    ('1 stop', '3 notes')
    """
    return counted(_LEVELS[level], count, language)


def counted(forms: tuple[str, str], count: int, language: str = "en") -> str:
    """A count with its noun, one or many."""
    return render(forms[count != 1], {"n": count}, language)


def overview(
    report: ReportInput, devices: tuple[DeviceView, ...], cycles: tuple[CycleView, ...]
) -> OverviewView:
    """What the first screen of a report says.

    Args:
        report: what the report is made from.
        devices: its devices as shown, in the same order.
        cycles: its cycles as shown, in the same order.

    Raises:
        BadInput: if the language is unknown.
    """
    todo = [*_next_of_cycles(report.cycles, cycles), *_next_of_devices(report.devices, devices)]
    todo.sort(key=lambda one: LEVELS.index(Level(one.sign)))
    left = len(todo) - _NEXT_TOLD
    return OverviewView(
        read="; ".join(_read(report)),
        wrong=tuple(_wrong(report)),
        todo=tuple(todo[:_NEXT_TOLD]),
        more=counted(("and {n} more below", "and {n} more below"), left, report.language) if left > 0 else "",
    )


def findings_of(device: DeviceReport) -> tuple[Finding, ...]:
    """Everything that was found about a device: by the review, then by its route."""
    route = device.route
    return (*device.findings, *(route.findings if route else ()), *(route.conflicts if route else ()))


def _read(report: ReportInput) -> Iterator[str]:
    language = report.language
    instructions = [device.instruction for device in report.devices]
    if instructions:
        number = counted(("{n} instruction", "{n} instructions"), len(instructions), language)
        yield f"{number}: {read_words(instructions, language=language)}"
    if report.cycles:
        yield counted(("{n} machine record", "{n} machine records"), len(report.cycles), language)
    if report.unread:
        yield counted(("{n} file not read", "{n} files not read"), len(report.unread), language)


def _wrong(report: ReportInput) -> Iterator[tuple[str, str]]:
    """What is wrong, each with its sign: findings by level, routes that are missing, cycles by verdict."""
    language = report.language
    counts = count_by_level([finding for device in report.devices for finding in findings_of(device)])
    for level in LEVELS:
        if counts[level]:
            yield level.value, level_words(level, counts[level], language)
    without = sum(device.route is not None and not device.route.resolved for device in report.devices)
    if without:
        yield "stop", counted(("{n} device has no route", "{n} devices have no route"), without, language)
    for answer, forms in _ANSWERS.items():
        count = sum(cycle.verdict.verdict == answer for cycle in report.cycles)
        if count:
            yield _SIGNS[answer], counted(forms, count, language)


def _next_of_devices(reports: Iterable[DeviceReport], views: Iterable[DeviceView]) -> Iterator[NextView]:
    """The remedy of each device's worst finding; a note asks for nothing now."""
    for report, view in zip(reports, views, strict=True):
        pressing = [one for one in worst_first(findings_of(report)) if one.level is not Level.note]
        remedy = next((one for one in pressing if one.remedy), None)
        if remedy is not None:
            yield NextView(view.key, view.name, remedy.level.value, remedy.remedy)


def _next_of_cycles(reports: Iterable[CycleReport], views: Iterable[CycleView]) -> Iterator[NextView]:
    for report, view in zip(reports, views, strict=True):
        if report.verdict.verdict in _SIGNS:
            yield NextView(view.key, view.name, _SIGNS[report.verdict.verdict], _words(report.verdict))


def _words(verdict: Verdict) -> str:
    """The remedy of a verdict's worst finding, else what the verdict says."""
    remedies = (finding.remedy for finding in worst_first(verdict.findings) if finding.remedy)
    return next(remedies, verdict.summary)
