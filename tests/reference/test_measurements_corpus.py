"""The figure reader against figures that other people annotated, in texts that are not about our work.

The corpora are read where their packages are installed (both are test dependencies); nothing of them is
kept here:

* quantulum3 0.10.0 (MIT): 121 English sentences, mostly from encyclopaedias and news, each with its
  quantities;
* Duckling 0.4.23 (BSD), in the wheel of the package duckling 1.8.0: phrases with lengths, volumes, masses
  and temperatures in English, French and Spanish, and number words in those and in German.

Which annotated figures are asked for was laid down before anything was read, and nothing was left out for
how it is read: all whose unit is one that `contracts.md` ("Quantities") gives a figure. So miles,
dollars, inches and milligrams are not asked for, nor counts without a unit (ours are counts of something
done), nor degrees of which the corpus does not say whose. A figure is found when its value and unit are
right, for a range or a value with its uncertainty both ends, and each reading is taken for one annotation
only. A reading in one of those units that nothing was annotated for is false. Number words are set before
"min", whole ones from 1 to 1000; what the corpus calls an ordinal is no amount, and was left out
after the first run.

The bars are what was measured; they may rise, not fall. What is missed or read wrong: the sign of values
below zero; number words of several words in German, French and Spanish ("vingt et un" is read as 1);
degrees named apart ("70 ° Fahrenheit", "70 grados F"); "half liter"; "8- to 16-meter"; rates ("10 l/km"),
decades ("1960s") and powers of ten, which are no figures of ours.

Looked at as well, and without annotated texts in what they install: the packages
recognizers-text-number-with-unit, quinex, CQE and marve.
"""

from __future__ import annotations

import json
import math
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import distribution
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words
from sinkside.quantities.figure import FigureValue

#: Units of annotated sentences by the name that their package has for them, and how we write them.
SENTENCE_UNITS = {
    "degree Celsius": "°C",
    "degree fahrenheit": "°F",
    "degree Fahrenheit": "°F",
    "kelvin": "K",
    "second": "s",
    "minute": "min",
    "hour": "h",
    "day": "d",
    "month": "month",
    "year": "year",
    "cubic centimetre": "mL",
    "millilitre": "mL",
    "litre": "L",
    "bar": "bar",
    "millibar": "mbar",
    "kilopascal": "kPa",
    "megapascal": "MPa",
    "pound-force per square inch": "psi",
    "percentage": "%",
    "millimetre": "mm",
    "centimetre": "cm",
    "metre": "m",
    "hertz": "Hz",
    "kilohertz": "kHz",
    "megahertz": "MHz",
    "kilogram": "kg",
    "gram": "g",
    "pound-mass": "lb",
    "degree angle": "deg",
    "volt": "V",
    "kilovolt": "kV",
}
#: The same for the phrases.
PHRASE_UNITS = {
    "celsius": "°C",
    "C": "°C",
    "fahrenheit": "°F",
    "F": "°F",
    "m": "m",
    "metre": "m",
    "centimetre": "cm",
    "millilitre": "mL",
    "litre": "L",
    "pound": "lb",
}
_EXAMPLE = re.compile(
    r';[^\n]*|"(?P<phrase>[^"]*)"|\((?P<kind>[a-z]+)\s+(?P<value>-?[\d.]+)(?:\s+"(?P<unit>[^"]*)")?[^()]*\)'
)
_MOST_IN_WORDS = 1000


@dataclass(frozen=True, slots=True)
class Value:
    """A value or range with its unit."""

    low: float
    high: float
    unit: str

    def agrees(self, other: Value) -> bool:
        """Whether both say the same, but for rounding."""
        near = math.isclose(self.low, other.low, abs_tol=1e-9) and math.isclose(
            self.high, other.high, abs_tol=1e-9
        )
        return near and self.unit == other.unit


def _value(figure: FigureValue) -> Value:
    """The ends of a figure as read."""
    said = [end for end in (figure.min, figure.value, figure.max) if end is not None]
    return Value(said[0], said[-1], figure.unit)


def _read(text: str, language: str) -> list[Value]:
    """Every figure that the grammar reads, a second unit of the same value too."""
    found = FigureGrammar(read_words(text, language)).read()
    figures = chain.from_iterable(one.figures for one in found)
    return [_value(said) for figure in figures for said in (figure, *figure.also)]


def _sentences() -> Iterator[dict[str, Any]]:
    """The annotated sentences of quantulum3."""
    for name in ("quantities.json", "quantities.ambiguity.json"):
        place = distribution("quantulum3").locate_file(f"quantulum3/_lang/en_US/tests/{name}")
        yield from json.loads(Path(str(place)).read_text(encoding="utf-8"))


def _phrases(language: str, *topics: str) -> Iterator[tuple[str, float, str | None]]:
    """The annotated phrases of Duckling: words, value, name of the unit; "fourth" is no amount."""
    jar = distribution("duckling").locate_file("duckling/jars/duckling-0.4.23.jar")
    with zipfile.ZipFile(str(jar)) as packed:
        texts = [packed.read(f"languages/{language}/corpus/{topic}.clj").decode() for topic in topics]
    waiting: list[str] = []
    for part in chain.from_iterable(map(_EXAMPLE.finditer, texts)):
        if part["phrase"] is not None:
            waiting.append(part["phrase"])
        elif part["kind"]:
            if part["kind"] != "ordinal":
                yield from ((phrase, float(part["value"]), part["unit"]) for phrase in waiting)
            waiting = []


def _asked(sentence: dict[str, Any]) -> list[Value]:
    """The annotated figures of a sentence whose unit is one of ours."""
    return [
        Value(
            one["value"] - (one.get("uncertainty") or 0.0),
            one["value"] + (one.get("uncertainty") or 0.0),
            SENTENCE_UNITS[one["unit"]],
        )
        for one in sentence["res"]
        if one["unit"] in SENTENCE_UNITS
    ]


def _compared(asked: list[Value], read: list[Value]) -> tuple[int, list[Value]]:
    """How many asked values were read, and the readings that nothing asked for."""
    rest = list(read)
    found = 0
    for wanted in asked:
        right = next((one for one in rest if wanted.agrees(one)), None)
        if right:
            rest.remove(right)
            found += 1
    return found, rest


def test_figures_in_english_sentences() -> None:
    """Of 42 annotated figures in units of ours at least 30 are found, and at most 15 readings are false."""
    asked = found = 0
    false: list[Value] = []
    for sentence in _sentences():
        wanted = _asked(sentence)
        right, rest = _compared(wanted, _read(sentence["req"], "en"))
        asked, found = asked + len(wanted), found + right
        false += [one for one in rest if one.unit in SENTENCE_UNITS.values()]
    assert asked == 42
    assert found >= 30
    assert len(false) <= 15


def _counted(cases: list[tuple[str, Value]], language: str) -> tuple[int, int]:
    """How many texts are read as asked, and how many as something else instead; the rest is not read."""
    right = wrong = 0
    for text, wanted in cases:
        read = _read(text, language)
        found, rest = _compared([wanted], read)
        right, wrong = right + found, wrong + bool(rest and not found)
    return right, wrong


@pytest.mark.parametrize(
    ("language", "asked", "bar", "most_wrong"), [("en", 21, 17, 1), ("fr", 22, 14, 3), ("es", 21, 15, 3)]
)
def test_figures_in_phrases(language: str, asked: int, bar: int, most_wrong: int) -> None:
    """Of the annotated phrases with a unit of ours at least so many are read right, and so few wrong."""
    phrases = [
        (phrase, Value(value, value, PHRASE_UNITS[unit]))
        for phrase, value, unit in _phrases(language, "measure", "temperature")
        if unit in PHRASE_UNITS
    ]
    right, wrong = _counted(phrases, language)
    assert len(phrases) == asked
    assert right >= bar
    assert wrong <= most_wrong


@pytest.mark.parametrize(
    ("language", "asked", "bar", "most_wrong"),
    [("en", 18, 15, 1), ("de", 22, 13, 2), ("fr", 22, 5, 12), ("es", 20, 6, 6)],
)
def test_number_words(language: str, asked: int, bar: int, most_wrong: int) -> None:
    """Of the annotated whole numbers at least so many are read right before 'min', and so few wrong."""
    numbers = [
        (f"{phrase} min", Value(value, value, "min"))
        for phrase, value, _ in _phrases(language, "numbers")
        if value.is_integer() and 1 <= value <= _MOST_IN_WORDS
    ]
    right, wrong = _counted(numbers, language)
    assert len(numbers) == asked
    assert right >= bar
    assert wrong <= most_wrong
