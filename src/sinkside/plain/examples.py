"""A template filled with what could stand in it, so that a reviewer reads a sentence and no fields."""

from __future__ import annotations

import string
from collections.abc import Mapping
from decimal import Decimal

from sinkside.language import REFERENCE_LANGUAGE, filled, locale_of, number
from sinkside.language.numbers import NO_BREAK
from sinkside.plain.counted import ENGLISH_ONE
from sinkside.plain.voice import Template

#: What could stand in a field, from the demo's own steps; names stay as a maker writes them.
_COULD_BE: Mapping[str, object] = {
    "on": ("shaft lumen", "jaw"),
    "program": "Instruments 90",
    "ended": "“the water is clear”",
    "condition": "“soil is seen”",
}

#: One of these numbers asks for each plural that CLDR knows.
_NUMBERS = (1.0, 2.0, 3.0, 5.0, 11.0, 100.0, 0.0, 1.5, 1_000_000.0)


def example(template: Template) -> tuple[str, str]:
    """What a template says, filled: in its own language, and in the reference.

    >>> example(Template("pl", "Flush the {on}", "Przepłucz: {on}"))
    ('Przepłucz: shaft lumen i jaw', 'Flush the shaft lumen and jaw')
    >>> [text.replace(NO_BREAK, " ") for text in example(Template("pl", "strokes", "pociągnięcia", "few"))]
    ['2 pociągnięcia', '2 strokes']
    """
    return _filled(template, template.language), _filled(template, REFERENCE_LANGUAGE)


def _filled(template: Template, language: str) -> str:
    text = template.text if language == template.language else template.english
    if template.plural:
        count = _number_for(template)
        text = ENGLISH_ONE.get(text, text) if language == REFERENCE_LANGUAGE and count == 1 else text
        return f"{number(count, language)}{NO_BREAK}{text}"
    fields = [field for _, field, _, _ in string.Formatter().parse(text) if field]
    figure = f"{number(2.5, language)}{NO_BREAK}L"
    values = {field: figure if field == "figure" else _COULD_BE.get(field, "…") for field in fields}
    return filled(text, values, language, template=template.english)


def _number_for(template: Template) -> float:
    """A number whose plural in the language is the template's."""
    rule = locale_of(template.language).plural_form
    found = (one for one in _NUMBERS if rule(Decimal(repr(one)).normalize()) == template.plural)
    return next(found, _NUMBERS[0])
