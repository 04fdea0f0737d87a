"""Sentences made of a template and the values that fill it, in the reader's language."""

from __future__ import annotations

import string
from collections.abc import Mapping
from typing import Protocol, runtime_checkable

from sinkside.errors import SinksideError
from sinkside.language.catalogue import catalogue
from sinkside.language.figures import figure_text
from sinkside.language.numbers import measure, number
from sinkside.quantities.figure import FigureValue


@runtime_checkable
class MeasureLike(Protocol):
    """Anything that has a value and a unit."""

    @property
    def value(self) -> float:
        """The number."""
        ...

    @property
    def unit(self) -> str:
        """Its unit."""
        ...


def render(template: str, values: Mapping[str, object], language: str = "en") -> str:
    """The sentence that a template makes of some values, in a language.

    Args:
        template: the English text, with `{name}` where a value goes and `{name:.1}` for at most one decimal.
        values: text, whole numbers, floats, figures, or anything with a value and a unit; lists are joined.
        language: the language's code; a template without translation stays English.

    Raises:
        BadInput: if the language is unknown.
        SinksideError: if a field has no value, or one that cannot be written.

    >>> render("Held for {held:.1} s at {set} °C.", {"held": 247.04, "set": 132.0})
    'Held for 247 s at 132 °C.'
    """
    return filled(catalogue(language).message(template).text, values, language, template=template)


def filled(text: str, values: Mapping[str, object], language: str, *, template: str) -> str:
    """A text in some language with its fields filled in; `template` is the English that errors name.

    Raises:
        BadInput: if the language is unknown.
        SinksideError: if a field has no value, or one that cannot be written.

    >>> filled("{n} Hübe", {"n": 3}, "de", template="{n} strokes")
    '3 Hübe'
    """
    pieces = []
    for literal, field, spec, _ in string.Formatter().parse(text):
        pieces.append(literal)
        if field is not None:
            if values.get(field) is None:
                raise SinksideError(f"the field '{field}' has no value in '{template}'", resource=field)
            pieces.append(_written(values[field], field=field, decimals=_decimals(spec), language=language))
    return "".join(pieces)


def _decimals(spec: str | None) -> int | None:
    return int(spec.removeprefix(".")) if spec else None


def _written(value: object, *, field: str, decimals: int | None, language: str) -> str:
    """One value as the language writes it."""
    if isinstance(value, str):
        return value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return number(value, language, decimals=decimals)
    if isinstance(value, FigureValue):
        return figure_text(value, language)
    if isinstance(value, MeasureLike):
        return measure(value.value, value.unit, language, decimals=decimals)
    if isinstance(value, (list, tuple)):
        return _listed(
            [_written(item, field=field, decimals=decimals, language=language) for item in value], language
        )
    raise SinksideError(f"the field '{field}' has a value that cannot be written: {value!r}", resource=field)


def _listed(items: list[str], language: str) -> str:
    """Several things in one sentence: brush, syringe and air."""
    from babel.lists import format_list

    from sinkside.language.numbers import locale_of

    return format_list(items, locale=locale_of(language))
