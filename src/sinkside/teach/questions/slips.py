"""Wrong figures that somebody might believe: the bound turned, another unit, a neighbour's figure, a slip."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.teach.questions import templates
from sinkside.teach.questions.case import Case, ToldStep
from sinkside.teach.questions.spans import is_wrong, same_span

_UNIT_SLIPS: Final[Mapping[str, tuple[str, ...]]] = {
    "s": ("min", "h"),
    "min": ("s", "h"),
    "h": ("min", "d"),
    "d": ("h", "week"),
    "°C": ("°F",),
    "°F": ("°C",),
    "mL": ("L",),
    "ml": ("L",),
    "L": ("mL",),
    "bar": ("mbar", "kPa"),
    "kg": ("g",),
    "mm": ("cm",),
    "kV": ("V",),
    "kHz": ("Hz",),
}
#: How far temperatures and pH are moved; everything else is made larger or smaller by a factor.
_SHIFTS: Final[Mapping[FigureQuantity, tuple[float, ...]]] = {
    FigureQuantity.temperature: (-10.0, 10.0, -20.0, 20.0, -30.0, 30.0),
    FigureQuantity.ph: (-1.0, 1.0, -2.0, 2.0),
}
_FACTORS: Final = (0.5, 2.0, 0.1, 10.0, 0.2, 5.0, 3.0, 0.75)
_LARGEST: Final[Mapping[FigureQuantity, float]] = {FigureQuantity.ph: 14.0, FigureQuantity.percent: 100.0}
_DIGITS: Final = 4


@dataclass(frozen=True)
class Slip:
    """A wrong figure, and what is wrong with it as a template; of a neighbour's figure, the neighbour."""

    figure: Figure
    why: str
    neighbour: ToldStep | None = None


def slips(right: Figure, told: ToldStep, case: Case, allowed: Iterable[Figure]) -> Iterator[Slip]:
    """Wrong figures in place of a right one, no two alike, one of each sort before a second of any.

    Args:
        right: the figure of the instruction.
        told: its step.
        case: whose other steps lend their figures.
        allowed: every figure that is right as well: of alternatives, of steps called alike.
    """
    refused = tuple(allowed)
    sorts = (_neighbours(right, told, case), _turned(right), _other_units(right), _other_numbers(right))
    kept: list[Slip] = []
    for slip in _in_turn(sorts):
        is_new = not any(same_span(slip.figure, one.figure) for one in kept)
        if is_new and is_possible(slip.figure) and is_wrong(slip.figure, refused):
            kept.append(slip)
            yield slip


def is_possible(figure: Figure) -> bool:
    """Whether a figure could stand in a text at all: no negative time, no half drop, no pH of 15."""
    ends = [end for end in (figure.value, figure.min, figure.max) if end is not None]
    if figure.quantity is FigureQuantity.counted and any(end != int(end) or end < 1 for end in ends):
        return False
    return all(0 < end <= _LARGEST.get(figure.quantity, float("inf")) for end in ends)


def _in_turn(sorts: Iterable[Iterator[Slip]]) -> Iterator[Slip]:
    waiting = list(sorts)
    while waiting:
        for sort in list(waiting):
            slip = next(sort, None)
            if slip is None:
                waiting.remove(sort)
            else:
                yield slip


def _changed(figure: Figure, **ends: float | None) -> Figure:
    """A figure with other ends, written anew."""
    bare = {"value": None, "min": None, "max": None, "strict": None, "as_written": "", "also": ()}
    return Figure.model_validate({**figure.model_dump(), **bare, **ends})


def _turned(figure: Figure) -> Iterator[Slip]:
    if figure.bound is Bound.at_least:
        yield Slip(_changed(figure, max=figure.min), templates.TURNED)
    elif figure.bound is Bound.at_most:
        yield Slip(_changed(figure, min=figure.max), templates.TURNED)
    elif figure.bound is Bound.between:
        yield Slip(_changed(figure, max=figure.min), templates.TURNED)
        yield Slip(_changed(figure, min=figure.max), templates.TURNED)


def _other_units(figure: Figure) -> Iterator[Slip]:
    for unit in _UNIT_SLIPS.get(figure.unit, ()):
        ends = {"value": figure.value, "min": figure.min, "max": figure.max}
        yield Slip(_changed(figure, **ends).model_copy(update={"unit": unit}), templates.OTHER_UNIT)


def _neighbours(figure: Figure, told: ToldStep, case: Case) -> Iterator[Slip]:
    """Figures of the same quantity from other steps, the nearest first, with their own bound."""
    nearest = sorted(case.told, key=lambda one: (abs(one.index - told.index), one.index))
    for other in nearest:
        for lent in other.step.figures_of(figure.quantity):
            if other is told or lent.reference != figure.reference or dose_differs(lent, figure):
                continue
            ends = {"value": lent.value, "min": lent.min, "max": lent.max}
            moved = _changed(figure, **ends).model_copy(update={"unit": lent.unit, "strict": lent.strict})
            yield Slip(moved, templates.OTHER_STEP, other)


def dose_differs(one: Figure, other: Figure) -> bool:
    """Whether only one of two counts is of the kind that the other is, so that neither stands in for it."""
    return one.quantity is FigureQuantity.counted and one.role != other.role


def _other_numbers(figure: Figure) -> Iterator[Slip]:
    ends = {"value": figure.value, "min": figure.min, "max": figure.max}
    stated = {name: end for name, end in ends.items() if end is not None}
    shifts = _SHIFTS.get(figure.quantity)
    if shifts:
        scale = 1.8 if figure.unit == "°F" else 1.0
        moves = [{name: round(end + by * scale) + 0.0 for name, end in stated.items()} for by in shifts]
        if figure.quantity is FigureQuantity.ph:
            moves = [{name: round(end + by, 2) for name, end in stated.items()} for by in shifts]
    else:
        moves = [{name: _rounded(end * by) for name, end in stated.items()} for by in _FACTORS]
    for moved in moves:
        yield Slip(_changed(figure, **moved), templates.OTHER_NUMBER)


def _rounded(value: float) -> float:
    """A number with so few digits that somebody could have meant it."""
    return float(f"{value:.{_DIGITS}g}")
