"""What the report's template is given: one dataclass for each thing that it shows.

Everything is text for people and is escaped on the page, except `style` and the drawings (`line`, `mark` of a
stop, `plot`), which are markup of our own making.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class FindingView:
    """A finding: its level by mark and word, sentence, arithmetic, words it concerns, remedy."""

    level: str
    word: str
    message: str
    evidence: tuple[tuple[str, str, str], ...]
    quotes: tuple[tuple[str, str], ...]
    source: str
    remedy: str


@dataclass(frozen=True)
class FigureView:
    """One figure of an operation: number, unit, what it is of, what it must lie in."""

    number: str
    unit: str
    label: str
    must: str


@dataclass(frozen=True)
class AttachedView:
    """An operation that completes the one before: its letter, and its words on one line."""

    letter: str
    headline: str
    details: tuple[str, ...]


@dataclass(frozen=True)
class OperationView:
    """One operation in plain words with its figures; those of a machine's program stand by phase."""

    letter: str
    headline: str
    details: tuple[str, ...]
    cautions: tuple[str, ...]
    figures: tuple[FigureView, ...]
    phases: tuple[tuple[str, tuple[FigureView, ...]], ...]
    attached: tuple[AttachedView, ...]
    why: str
    origin: str


@dataclass(frozen=True)
class StationView:
    """The operations at one station."""

    name: str
    operations: tuple[OperationView, ...]


@dataclass(frozen=True)
class StopView:
    """One stop of the route line as a list shows it."""

    label: str
    figure: str
    mark: str
    level: str
    word: str


@dataclass(frozen=True)
class DeviceView:
    """One device: who made it, its route line, what was found, what is to be done."""

    key: str
    name: str
    about: str
    summary: str
    counts: tuple[tuple[str, str], ...]
    route_word: str
    line: str
    stops: tuple[StopView, ...]
    findings: tuple[FindingView, ...]
    conflicts: tuple[FindingView, ...]
    changes: tuple[str, ...]
    stations: tuple[StationView, ...]
    is_resolved: bool


@dataclass(frozen=True)
class CriterionView:
    """One criterion: what was required, what was measured, by how much, and whether it was met."""

    name: str
    required: str
    measured: str
    margin: str
    sign: str
    word: str


@dataclass(frozen=True)
class CycleView:
    """One machine cycle: its verdict, its picture, its criteria, its values, what was not evidenced."""

    key: str
    name: str
    program: str
    answer: str
    sign: str
    word: str
    summary: str
    plot: str
    criteria: tuple[CriterionView, ...]
    values: tuple[tuple[str, str, str], ...]
    evidence: tuple[tuple[str, str], ...]
    recorder: tuple[str, ...]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True)
class NextView:
    """One thing to do next: where it is shown, what it is about, how pressing, in one sentence."""

    key: str
    name: str
    sign: str
    words: str


@dataclass(frozen=True)
class OverviewView:
    """The first screen: what was read, what is wrong, what to do next."""

    read: str
    wrong: tuple[tuple[str, str], ...]
    todo: tuple[NextView, ...]
    more: str


@dataclass(frozen=True)
class ReportPage:
    """Everything that the template may use."""

    language: str
    title: str
    about: tuple[str, ...]
    style: str
    overview: OverviewView
    devices: tuple[DeviceView, ...]
    cycles: tuple[CycleView, ...]
    unread: tuple[tuple[str, str], ...]
    printed: str
    profile: str
    say: Callable[[str], str]
