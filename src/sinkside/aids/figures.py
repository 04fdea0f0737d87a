"""The figures of an operation as paper shows them: the one to use large, what it must lie in beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from sinkside.instruction import Action, FigureRole, Step
from sinkside.language import figure_text, render
from sinkside.language.numbers import NO_BREAK
from sinkside.plain.counted import COUNTED, ENGLISH_ONE, TIMES
from sinkside.plain.figures import LABELS
from sinkside.plain.pairing import dose_sign, figures_by_step, repeated, repeats, says_the_same
from sinkside.quantities import Figure, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import ChosenFigure, Operation

#: What a bare number counts; a sign that stays beside the number.
_COUNTED: Mapping[str, str] = {**dict.fromkeys(TIMES, "×"), **COUNTED}


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
    return tuple(
        (step, _shown(own, step.action if step else operation.action, language))
        for step, own in figures_by_step(operation, steps)
    )


def _shown(figures: Iterable[ChosenFigure], action: Action, language: str) -> tuple[ShownFigure, ...]:
    """Figures in their order, a count and its volume as one; a step that dries names no time as such."""
    shown: list[ShownFigure] = []
    chosen = list(figures)
    while chosen:
        first = chosen.pop(0)
        figure = shown_figure(first, language)
        if chosen and repeats(first) and repeated(chosen[0]):
            volume = shown_figure(chosen.pop(0), language)
            figure = ShownFigure(f"{figure.text} {volume.number}", volume.unit, volume.label, volume.must)
        is_plain = action is Action.dry and first.required.role == FigureRole.drying
        shown.append(replace(figure, label="") if is_plain else figure)
    return tuple(shown)


def shown_figure(chosen: ChosenFigure, language: str = "en") -> ShownFigure:
    """One figure: what will be used, and what it must lie in where that says more."""
    required = chosen.required
    label = render(LABELS.get(required.role or "", ""), {}, language)
    number, unit = split_figure(required, language)
    if chosen.use is None or says_the_same(chosen.use, required):
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
        return f"{dose_sign(figure)}{NO_BREAK}{bare}", unit if unit != "s" else ""
    counted = _COUNTED.get(role or "", "")
    word = ENGLISH_ONE.get(counted, counted) if figure.value == 1 else counted
    return bare, unit or render(word, {}, language)
