"""Figures read back out of a text in any language, to be compared with what was approved.

The reader shares nothing with the writer but the catalogue: numbers are found by their language's signs,
parsed by Babel, and told apart by bound and unit as they stand.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from sinkside.language import REFERENCE_LANGUAGE, catalogue, locale_of
from sinkside.language.numbers import MINUS
from sinkside.plain.bounds import BOUND_WORDS
from sinkside.plain.counted import COUNTED, ENGLISH_ONE, UNITS_IN_WORDS
from sinkside.plain.voice import COLLECTION
from sinkside.quantities import Bound
from sinkside.quantities.units import PINT_NAMES

#: Units that stand before their number, or without a space after it, or nowhere.
_ODD_UNITS = frozenset({"pH", "deg", "1", "ratio", *UNITS_IN_WORDS})

_SIGNS = {
    "≥": (Bound.at_least, False),
    ">": (Bound.at_least, True),
    "≤": (Bound.at_most, False),
    "<": (Bound.at_most, True),
}
#: What makes a longer word of a number or unit that it touches: letters and digits, but no Chinese character,
#: because no space stands between words there.
_GOES_ON = r"[^\W\u3400-\u9fff]"

#: Marks of direction, whoever set them: from LEFT-TO-RIGHT ISOLATE to POP DIRECTIONAL ISOLATE.
_ISOLATES = re.compile("[\u2066-\u2069]")


@dataclass(frozen=True)
class ReadFigure:
    """A figure as a text says it.

    Attributes:
        low: its lower end; the same as `high` for a single value, infinite where it is open.
        high: its upper end.
        strict: whether a single end is itself left out.
        unit: its unit as our files write it, what is counted ("strokes", "×"), or "1".
        dose: A0 or F0 where it is one.
        reference: 'gauge' or 'absolute' where the text says so.
    """

    low: float
    high: float
    strict: bool = False
    unit: str = "1"
    dose: str = ""
    reference: str = ""


@dataclass(frozen=True)
class _Reader:
    """How figures stand in texts of one language: the pattern, and what its words mean."""

    pattern: re.Pattern[str]
    bounds: dict[str, tuple[Bound, bool]]
    units: dict[str, str]
    references: dict[str, str]


def figures_read(text: str, language: str = "en") -> tuple[ReadFigure, ...]:
    """Every figure of a text, in its order.

    Raises:
        BadInput: if the language is unknown.

    >>> figures_read("mindestens 2.500,5 mL", "de")
    (ReadFigure(low=2500.5, high=inf, strict=False, unit='mL', dose='', reference=''),)
    >>> [(one.low, one.unit) for one in figures_read("3 × 20 mL")]
    [(3.0, '×'), (20.0, 'mL')]
    """
    reader = _reader(language)
    plain = _ISOLATES.sub("", text)
    return tuple(_figure(match, reader, language) for match in reader.pattern.finditer(plain))


def _figure(match: re.Match[str], reader: _Reader, language: str) -> ReadFigure:
    first = _parsed(match["first"], language)
    second = _parsed(match["second"], language) if match["second"] else first
    said = (match["before"] or match["after"] or "").strip()
    bound, strict = reader.bounds.get("" if match["second"] else _spaced(said), (Bound.value, False))
    unit = "pH" if match["ph"] else reader.units.get(_spaced(match["unit"] or ""), "1")
    return ReadFigure(
        low=-math.inf if bound is Bound.at_most else first,
        high=math.inf if bound is Bound.at_least else second,
        strict=strict,
        unit=unit,
        dose=match["dose"] or "",
        reference=reader.references.get(_spaced(match["reference"] or ""), ""),
    )


def _parsed(written: str, language: str) -> float:
    from babel.numbers import parse_decimal

    return float(parse_decimal(written.replace(MINUS, "-"), locale=locale_of(language), strict=True))


@functools.cache
def _reader(language: str) -> _Reader:
    bounds = {**_SIGNS, **_bounds(language)}
    units = _units(language)
    references = {_translated(word, language): word for word in ("gauge", "absolute")}
    number = _number_pattern(language)
    before = _any_of(bounds)
    pattern = re.compile(
        rf"(?:(?P<dose>A0|F0)\s)?(?:(?P<before>{before})\s?)?(?P<ph>pH\s)?"
        rf"(?<!{_GOES_ON})(?<![.,])(?P<first>{number})(?:\s?–\s?(?P<second>{number}))?"
        rf"(?:\s?(?P<unit>{_any_of(units)})(?!{_GOES_ON}))?(?:\s(?P<reference>{_any_of(references)})(?!{_GOES_ON}))?"
        rf"(?:\s?(?P<after>{before})(?!{_GOES_ON}))?"
    )
    return _Reader(pattern, bounds, units, references)


def _number_pattern(language: str) -> str:
    """A number by the language's own signs for grouping and decimals."""
    symbols = locale_of(language).number_symbols["latn"]
    group, point = re.escape(symbols["group"]), re.escape(symbols["decimal"])
    return rf"[{MINUS}-]?\d{{1,3}}(?:{group}\d{{3}})+(?:{point}\d+)?|[{MINUS}-]?\d+(?:{point}\d+)?"


def _bounds(language: str) -> dict[str, tuple[Bound, bool]]:
    """What each bound's words are, without the figure that they stand by."""
    return {
        _spaced(_translated(template, language).replace("{figure}", "")): bound
        for bound, template in BOUND_WORDS.items()
    }


def _units(language: str) -> dict[str, str]:
    """Every way in which a unit or what is counted may stand, and what files call it."""
    units = {symbol: symbol for symbol in PINT_NAMES if symbol not in _ODD_UNITS}
    # The one unit that no registry knows: texts that dose so are questioned, and their proof must print.
    units |= {"×": "×", "°": "deg", "mL/mL": "mL/mL"}
    for unit, words in UNITS_IN_WORDS.items():
        units |= dict.fromkeys(_plurals(words, language), unit)
    for words in COUNTED.values():
        units |= dict.fromkeys(_plurals(words, language), words)
    return units


def _plurals(words: str, language: str) -> set[str]:
    if language == REFERENCE_LANGUAGE:
        return {words, ENGLISH_ONE.get(words, words)}
    known = catalogue(language, COLLECTION)
    forms = (known.found(words, plural) for plural in ("zero", "one", "two", "few", "many", "other"))
    return {_spaced(form.text) for form in forms if form is not None}


def _translated(template: str, language: str) -> str:
    if language == REFERENCE_LANGUAGE:
        return template
    found = catalogue(language, COLLECTION).found(template)
    return found.text if found else template


def _any_of(words: Mapping[str, object]) -> str:
    """The longest first, so that none is mistaken for its own beginning; spaces as any kind of space."""
    ordered = sorted(words, key=len, reverse=True)
    return "|".join(r"\s".join(map(re.escape, word.split())) for word in ordered)


def _spaced(text: str) -> str:
    return " ".join(text.split())
