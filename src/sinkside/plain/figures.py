"""The figures of an operation in words: bound, number, unit and what it is of, apart and together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from sinkside.instruction import Action, FigureRole, Step
from sinkside.language import number
from sinkside.language.numbers import NO_BREAK, with_unit
from sinkside.plain.bounds import bound_sign, bound_words
from sinkside.plain.counted import COUNTED, TIMES, UNITS_IN_WORDS
from sinkside.plain.pairing import dose_sign, figures_by_step, repeated, repeats, says_the_same
from sinkside.plain.units import in_units
from sinkside.plain.voice import Voice
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import ChosenFigure, Operation

_TIMES_SIGN = "×"
_EN_DASH = "\u2013"

#: What tells one figure from another of the same unit.
LABELS: Mapping[str, str] = {
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

#: How a pressure is measured, where the text says so.
REFERENCES: Mapping[str, str] = {"absolute": "absolute", "gauge": "gauge"}


@dataclass(frozen=True)
class PlainFigure:
    """One figure for the eye and the ear.

    Attributes:
        quantity: what it measures.
        role: the part that it plays in its step; empty where the quantity alone tells.
        bound: how it binds.
        bound_word: "at least" in the reader's language; empty for a value or a range.
        sign: the sign of the bound.
        number: the number, or both ends of a range, as the language writes them.
        unit: the unit, or what is counted.
        label: what it is of.
        text: all of it in words: "at least 30 min".
        short: all of it in signs: "≥ 30 min".
        must: what it must lie in, in words, where the figure itself is the one that this department uses.
        makers: the maker's own figure, where this department reads another unit.
        approved: the figures of the instruction that it shows, and shows alone.
        used: the figure of the department, where one stands in the place of the approved one.
    """

    quantity: FigureQuantity
    role: str
    bound: Bound
    bound_word: str
    sign: str
    number: str
    unit: str
    label: str
    text: str
    short: str
    must: str
    makers: str
    approved: tuple[Figure, ...]
    used: Figure | None = None


def plain_figures(
    figures: Iterable[ChosenFigure], voice: Voice, *, action: Action | None = None
) -> tuple[PlainFigure, ...]:
    r"""Figures in their order; `3 × 20 mL` is shown as one.

    Raises:
        NotForTheFloor: if a word has no translation.

    >>> volume = ChosenFigure(required=Figure(quantity="volume", min=20, unit="mL"))
    >>> [figure.text for figure in plain_figures([volume], Voice())]
    ['at least 20\xa0mL']
    """
    shown: list[PlainFigure] = []
    chosen = list(figures)
    while chosen:
        first = chosen.pop(0)
        if chosen and repeats(first) and repeated(chosen[0]):
            shown.append(_together(first, chosen.pop(0), voice))
        else:
            shown.append(_plain(first, voice, is_dried=action is Action.dry))
    return tuple(shown)


def plain_phases(
    operation: Operation, steps: Iterable[Step], voice: Voice
) -> tuple[tuple[Step | None, tuple[PlainFigure, ...]], ...]:
    """The figures of an operation by the step that each belongs to; none for those of no step."""
    return tuple(
        (step, plain_figures(own, voice, action=step.action if step else operation.action))
        for step, own in figures_by_step(operation, steps)
    )


@dataclass(frozen=True)
class _Written:
    """A figure value as the reader's language writes it."""

    bound_word: str
    sign: str
    number: str
    unit: str
    text: str
    short: str


def figure_words(figure: FigureValue, voice: Voice, *, role: str = "") -> str:
    r"""A figure value in words, in the units that people here read.

    >>> figure_words(Figure(quantity="time", min=30, unit="min"), Voice())
    'at least 30\xa0min'
    """
    return _written(in_units(figure, voice.habits.units), voice, role or _role(figure)).text


def _plain(chosen: ChosenFigure, voice: Voice, *, is_dried: bool) -> PlainFigure:
    required, role = chosen.required, chosen.required.role or ""
    used = _used(chosen)
    said = in_units(used or required, voice.habits.units)
    written = _written(said, voice, role)
    label = "" if is_dried and role == FigureRole.drying else LABELS.get(role, "")
    own = _written(required, voice, role).text
    must = _written(in_units(required, voice.habits.units), voice, role).text if used else ""
    is_turned = in_units(required, voice.habits.units).unit != required.unit
    return PlainFigure(
        quantity=required.quantity,
        role=role,
        bound=said.bound,
        bound_word=written.bound_word,
        sign=written.sign,
        number=written.number,
        unit=written.unit,
        label=voice.say(label),
        text=written.text,
        short=written.short,
        must=must,
        makers=own if is_turned else "",
        approved=(required,),
        used=used,
    )


def _together(count: ChosenFigure, volume: ChosenFigure, voice: Voice) -> PlainFigure:
    """How often, and how much each time, as one: 3 × 20 mL."""
    times = _plain(count, voice, is_dried=False)
    each = _plain(volume, voice, is_dried=False)
    return replace(
        each,
        number=f"{times.short} {each.sign}{NO_BREAK if each.sign else ''}{each.number}",
        text=f"{times.text} {each.text}",
        short=f"{times.short} {each.short}",
        approved=(count.required, volume.required),
    )


def _used(chosen: ChosenFigure) -> Figure | None:
    """The figure that will be used, where the bound does not already name it."""
    use, required = chosen.use, chosen.required
    if use is None or says_the_same(use, required):
        return None
    return Figure(quantity=required.quantity, value=use.value, unit=use.unit, role=required.role)


def _written(figure: FigureValue, voice: Voice, role: str) -> _Written:
    numbers = _numbers(figure, voice.language)
    unit, whole = _unit(figure, voice, role, numbers)
    bounded = voice.isolated(whole)
    words, sign = bound_words(figure), bound_sign(figure)
    signed = f"{sign}{NO_BREAK}{whole}" if sign else whole
    dose = dose_sign(figure)
    text = voice.say(words, figure=bounded) if words else bounded
    return _Written(
        bound_word=" ".join(voice.say(words, figure="").split()) if words else "",
        sign=sign,
        number=numbers,
        unit=unit,
        text=f"{dose}{NO_BREAK}{text}" if dose else text,
        short=voice.isolated(f"{dose}{NO_BREAK}{signed}" if dose else signed),
    )


def _numbers(figure: FigureValue, language: str) -> str:
    """The number without bound and unit; both ends of a range."""
    if figure.bound is not Bound.between:
        return number(figure.number(), language)
    low, high = figure.ends()
    # A minus sign beside a dash is hard to read at two metres.
    dash = f"{NO_BREAK}{_EN_DASH}{NO_BREAK}" if low < 0 else _EN_DASH
    return f"{number(low, language)}{dash}{number(high, language)}"


def _unit(figure: FigureValue, voice: Voice, role: str, numbers: str) -> tuple[str, str]:
    """The unit alone, and number and unit together as the language joins them."""
    largest = figure.max if figure.max is not None else figure.number()
    unit = figure.unit
    if figure.quantity is FigureQuantity.lethality and unit == "s":
        return "", numbers
    if unit in UNITS_IN_WORDS:
        return _beside(numbers, voice.counted(UNITS_IN_WORDS[unit], largest))
    if unit == "1" and role in TIMES:
        return _beside(numbers, _TIMES_SIGN)
    if unit == "1" and role in COUNTED:
        return _beside(numbers, voice.counted(COUNTED[role], largest))
    whole = with_unit(numbers, unit, voice.language, plural_of=Decimal(repr(float(largest))))
    alone = whole.replace(numbers, "").strip(NO_BREAK)
    reference = REFERENCES.get(figure.reference or "", "")
    if reference:
        how = voice.say(reference)
        return f"{alone}{NO_BREAK}{how}", f"{whole}{NO_BREAK}{how}"
    return alone, whole


def _beside(numbers: str, unit: str) -> tuple[str, str]:
    return unit, f"{numbers}{NO_BREAK}{unit}"


def _role(figure: FigureValue) -> str:
    return getattr(figure, "role", None) or ""
