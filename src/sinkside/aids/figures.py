"""The figures of an operation as paper shows them: the one to use large, what it must lie in beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from sinkside.instruction import Action, FigureRole, Step
from sinkside.language import figure_text, render
from sinkside.language.numbers import NO_BREAK
from sinkside.quantities import Bound, Figure, FigureQuantity, Quantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import ChosenFigure, Operation

#: What a bare number counts; a sign that stays beside the number.
_COUNTED: Mapping[str, str] = {
    FigureRole.repeats: "×",
    FigureRole.actuations: "×",
    FigureRole.magnification: "×",
    FigureRole.strokes: "strokes",
    FigureRole.drops: "drops",
    FigureRole.pulses: "pulses",
    FigureRole.life: "uses",
}
_COUNTED_ONCE: Mapping[str, str] = {
    FigureRole.strokes: "stroke",
    FigureRole.drops: "drop",
    FigureRole.pulses: "pulse",
    FigureRole.life: "use",
}

#: What tells one figure from another of the same unit.
_LABELS: Mapping[str, str] = {
    FigureRole.total: "in total",
    FigureRole.drying: "to dry",
    FigureRole.dose: "dose",
    FigureRole.brush_diameter: "brush across",
    FigureRole.brush_length: "brush length",
    FigureRole.time_since_use: "after use",
    FigureRole.set_mass: "whole set",
    FigureRole.magnification: "lens",
    FigureRole.actuations: "to and fro",
}


@dataclass(frozen=True)
class ShownFigure:
    """One figure ready for the eye: number with its bound mark, unit, what it is of, what it must lie in."""

    number: str
    unit: str = ""
    label: str = ""
    must: str = ""

    @property
    def text(self) -> str:
        """Number and unit on one line."""
        return f"{self.number}{NO_BREAK}{self.unit}" if self.unit else self.number


def shown_figures(operation: Operation, language: str = "en") -> tuple[ShownFigure, ...]:
    r"""Every figure of an operation, in its order; `3 × 20 mL` is shown as one.

    Raises:
        BadInput: if the language is unknown.

    >>> from sinkside.route import Station
    >>> flush = Operation(letter="A", stage="cleaning", station=Station.sink, steps=(), action="flush",
    ...     figures=(ChosenFigure(required=Figure(quantity="count", value=3, unit="1", role="repeats")),
    ...              ChosenFigure(required=Figure(quantity="volume", min=20, unit="mL"))))
    >>> [figure.text for figure in shown_figures(flush)]
    ['3\xa0× ≥\xa020\xa0mL']
    """
    return _shown(operation.figures, operation.action, language)


def shown_phases(
    operation: Operation, steps: Iterable[Step], language: str = "en"
) -> tuple[tuple[Step | None, tuple[ShownFigure, ...]], ...]:
    """The figures of an operation by the step that each belongs to; none for those of no step.

    A machine program carries out several steps in one go, and each figure must say which.
    """
    left = list(operation.figures)
    phases: list[tuple[Step | None, tuple[ShownFigure, ...]]] = []
    for step in steps:
        own = []
        for figure in step.figures:
            chosen = next((one for one in left if one.required == figure), None)
            if chosen is not None:
                left.remove(chosen)
                own.append(chosen)
        phases.append((step, _shown(own, step.action, language)))
    return (*phases, (None, _shown(left, operation.action, language))) if left else tuple(phases)


def _shown(figures: Iterable[ChosenFigure], action: Action, language: str) -> tuple[ShownFigure, ...]:
    """Figures in their order, a count and its volume as one; a step that dries names no time as such."""
    shown: list[ShownFigure] = []
    chosen = list(figures)
    while chosen:
        first = chosen.pop(0)
        figure = shown_figure(first, language)
        if chosen and _repeats(first) and _repeated(chosen[0]):
            volume = shown_figure(chosen.pop(0), language)
            figure = ShownFigure(f"{figure.text} {volume.number}", volume.unit, volume.label, volume.must)
        is_plain = action is Action.dry and first.required.role == FigureRole.drying
        shown.append(replace(figure, label="") if is_plain else figure)
    return tuple(shown)


def shown_figure(chosen: ChosenFigure, language: str = "en") -> ShownFigure:
    """One figure: what will be used, and what it must lie in where that says more."""
    required = chosen.required
    label = render(_LABELS.get(required.role or "", ""), {}, language)
    number, unit = split_figure(required, language)
    if chosen.use is None or _says_the_same(chosen.use, required):
        return ShownFigure(number, unit, label)
    used = FigureValue(quantity=required.quantity, value=chosen.use.value, unit=chosen.use.unit)
    number, unit = split_figure(used, language, role=required.role)
    return ShownFigure(number, unit, label, must=figure_in_words(required, language))


def figure_in_words(figure: Figure, language: str = "en") -> str:
    """A figure on one line, with what it counts: ≥ 10 min, A0 ≥ 3,000, 4 pulses."""
    number, unit = split_figure(figure, language)
    return ShownFigure(number, unit).text


def split_figure(figure: FigureValue, language: str = "en", *, role: str | None = None) -> tuple[str, str]:
    """A figure's number with its bound mark, and its unit apart, so that each gets its own size."""
    role = role or getattr(figure, "role", None)
    whole = figure_text(figure, language)
    bare = figure_text(figure.model_copy(update={"unit": "1", "reference": None}), language)
    if not whole.startswith(bare):
        return whole, ""
    unit = whole.removeprefix(bare).strip(NO_BREAK)
    if figure.quantity is FigureQuantity.lethality:
        return f"{_dose_sign(figure)}{NO_BREAK}{bare}", unit if unit != "s" else ""
    words = _COUNTED_ONCE if figure.value == 1 else {}
    return bare, unit or render({**_COUNTED, **words}.get(role or "", ""), {}, language)


def _dose_sign(figure: FigureValue) -> str:
    """A0 is counted in seconds and F0 in minutes."""
    return "F0" if figure.unit == "min" or "F0" in figure.as_written else "A0"


def _says_the_same(use: Quantity, required: Figure) -> bool:
    """Whether the bound already names the figure that will be used, in the unit it was written in."""
    if required.bound is Bound.between or use.unit != required.unit:
        return False
    return use.value == required.number()


def _repeats(chosen: ChosenFigure) -> bool:
    required = chosen.required
    is_count = required.quantity is FigureQuantity.counted and required.role in {None, FigureRole.repeats}
    return is_count and chosen.use is None


def _repeated(chosen: ChosenFigure) -> bool:
    return chosen.required.quantity is FigureQuantity.volume and chosen.required.role is None
