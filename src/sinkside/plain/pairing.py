"""Which figures belong together: a count with its volume, a figure with its step, use with bound."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.instruction import FigureRole, Step
from sinkside.quantities import Bound, Figure, FigureQuantity, Quantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import ChosenFigure, Operation


def figures_by_step(
    operation: Operation, steps: Iterable[Step]
) -> tuple[tuple[Step | None, tuple[ChosenFigure, ...]], ...]:
    """The figures of an operation by the step that each belongs to; none for those of no step.

    A machine program carries out several steps in one go, and each figure must say which.
    """
    left = list(operation.figures)
    phases: list[tuple[Step | None, tuple[ChosenFigure, ...]]] = []
    for step in steps:
        own = []
        for figure in step.figures:
            chosen = next((one for one in left if one.required == figure), None)
            if chosen is not None:
                left.remove(chosen)
                own.append(chosen)
        phases.append((step, tuple(own)))
    return (*phases, (None, tuple(left))) if left else tuple(phases)


def says_the_same(use: Quantity, required: Figure) -> bool:
    """Whether the bound already names the figure that will be used, in the unit it was written in."""
    if required.bound is Bound.between or use.unit != required.unit:
        return False
    return use.value == required.number()


def dose_sign(figure: FigureValue) -> str:
    """A0 is counted in seconds and F0 in minutes; nothing before what is no dose of heat.

    >>> dose_sign(FigureValue(quantity="lethality", min=3000, unit="s"))
    'A0'
    """
    if figure.quantity is not FigureQuantity.lethality:
        return ""
    return "F0" if figure.unit == "min" or "F0" in figure.as_written else "A0"


def repeats(chosen: ChosenFigure) -> bool:
    """Whether a figure says how often."""
    required = chosen.required
    is_count = required.quantity is FigureQuantity.counted and required.role in {None, FigureRole.repeats}
    return is_count and chosen.use is None


def repeated(chosen: ChosenFigure) -> bool:
    """Whether a figure says how much each time."""
    return chosen.required.quantity is FigureQuantity.volume and chosen.required.role is None
