"""What plain words say, against what was approved: every figure of a step, in every language."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from sinkside.errors import SinksideError
from sinkside.language import figure_text
from sinkside.plain.counted import COUNTED, TIMES
from sinkside.plain.figures import PlainFigure
from sinkside.plain.pairing import dose_sign
from sinkside.plain.reading_back import ReadFigure, figures_read
from sinkside.plain.units import makers_own
from sinkside.quantities import Bound, Figure
from sinkside.quantities.figure import FigureValue

if TYPE_CHECKING:
    from sinkside.plain.steps import PlainStep

#: Numbers are written to six significant digits.
_SAME = 5e-6

#: How far a converted figure may stand from the maker's: one step of its rounding, in the converted unit.
_STEP = {"°C": 0.1, "°F": 0.1, "bar": 0.01, "kPa": 1.0, "mbar": 1.0, "psi": 0.1}


def refuse_changed_figures(step: PlainStep) -> None:
    """Refuse a step whose figures are not those that were approved; no paper is made of them.

    Raises:
        SinksideError: naming the first that differs.
    """
    for told in differing(step):
        raise SinksideError(told, resource=f"{step.letter}, {step.language}")


def differing(step: PlainStep) -> tuple[str, ...]:
    """What a step's figures say otherwise than was approved, a sentence for each; none where all agree."""
    return tuple(
        f"the text says “{text}” where “{approved.as_written or figure_text(approved)}” was approved"
        for figure in step.figures
        for text, approved in _differing(figure, step.language)
    )


def expected(figure: FigureValue) -> ReadFigure:
    """What a reader must find where a figure is written.

    >>> expected(Figure(quantity="time", min=5, unit="min"))
    ReadFigure(low=5.0, high=inf, strict=False, unit='min', dose='', reference='')
    """
    low, high = figure.ends()
    role = getattr(figure, "role", None) or ""
    counted = "×" if role in TIMES else COUNTED.get(role, "1")
    dose = dose_sign(figure)
    unit = counted if figure.unit in {"1", "ratio"} else figure.unit
    reference = figure.reference if figure.reference in {"gauge", "absolute"} else ""
    return ReadFigure(
        low=low,
        high=high,
        strict=bool(figure.strict) and figure.bound in {Bound.at_least, Bound.at_most},
        unit="1" if dose and unit == "s" else unit,
        dose=dose,
        reference=reference or "",
    )


def _differing(figure: PlainFigure, language: str) -> Iterator[tuple[str, Figure]]:
    """Each text of a figure that does not say what it should, with the approved figure."""
    *counts, approved = figure.approved
    for text in (figure.text, figure.short):
        read = list(figures_read(text, language))
        asked: list[FigureValue] = [*counts, figure.used or approved]
        if len(read) != len(asked) or not all(map(_agrees, read, asked)):
            yield text, approved
    for text, must_be_exact in ((figure.must, False), (figure.makers, True)):
        read = list(figures_read(text, language)) if text else []
        if text and (len(read) != 1 or not _agrees(read[0], approved, exact=must_be_exact)):
            yield text, approved


def _agrees(read: ReadFigure, approved: FigureValue, *, exact: bool = False) -> bool:
    """Whether a text says a figure: the same, or, in another unit, one that is not laxer by its rounding."""
    wanted = expected(approved)
    if read.unit == wanted.unit:
        return _alike(read, wanted) and _same_ends(read, approved)
    if exact or read.unit not in _STEP or not _alike(read, wanted):
        return False
    own = makers_own(approved, read.unit)
    if own is not None and _same_ends(read, own):
        return True
    low, high = approved.ends(read.unit)
    step = _STEP[read.unit] * (1 + _SAME)
    if approved.bound is Bound.value:
        return _within(read.low, low, step) and read.low == read.high
    is_kept = read.low >= low - _SAME * abs(low or 1) and read.high <= high + _SAME * abs(high or 1)
    return is_kept and _within(read.low, low, step) and _within(read.high, high, step)


def _same_ends(read: ReadFigure, figure: FigureValue) -> bool:
    low, high = figure.ends()
    return math.isclose(read.low, low, rel_tol=_SAME) and math.isclose(read.high, high, rel_tol=_SAME)


def _within(one: float, other: float, step: float) -> bool:
    return one == other or abs(one - other) <= step + _SAME * abs(other)


def _alike(read: ReadFigure, wanted: ReadFigure) -> bool:
    """Whether all but the numbers and the unit are the same."""
    told = (read.strict, read.dose, read.reference)
    return told == (wanted.strict, wanted.dose, wanted.reference)
