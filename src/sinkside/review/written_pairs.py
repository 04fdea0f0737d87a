"""Figures that words write twice: in two units, in letters and digits, as flow and time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_NUMBER = r"(\d+(?:[.,]\d+)?)"

#: Units that instructions pair, with what they measure and how much of it.
_UNITS = {
    "in": ("length", 25.4),
    "in.": ("length", 25.4),
    "inch": ("length", 25.4),
    "inches": ("length", 25.4),
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "ncm": ("torque", 0.01),
    "nm": ("torque", 1.0),
    "fl oz": ("volume", 29.5735),
    "fl. oz.": ("volume", 29.5735),
    "ml": ("volume", 1.0),
    "l": ("volume", 1000.0),
    "µs/cm": ("conductivity", 1.0),
    "ms/cm": ("conductivity", 1000.0),
    "ms/m": ("conductivity", 10.0),
}
_UNIT = "|".join(sorted((re.escape(unit).replace(r"\ ", r"\s?") for unit in _UNITS), key=len, reverse=True))
_PAIR = re.compile(
    rf"(?<![\d.,]){_NUMBER}\s?({_UNIT}|N[·.\s]?c?m)\s?[(/=]\s?{_NUMBER}\s?({_UNIT}|N[·.\s]?c?m)(?!\w)",
    re.IGNORECASE,
)

_LETTERS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
}
_TWICE = re.compile(
    rf"(?<![\w-])({'|'.join(_LETTERS)})(?:\s+times)?\s+\(\s?(\d+)\s?(?:x|×|times|min|minutes|s|seconds|h|hours)?\s?\)",
    re.IGNORECASE,
)

_FLOW = re.compile(rf"{_NUMBER}\s?(ml|l)\s?(?:/|per)\s?(min|s)(?:ute|econd)?\b", re.IGNORECASE)
_TIME = re.compile(rf"(?:for|×|x|in)\s+{_NUMBER}\s?(s|sec|seconds|min|minutes)\b", re.IGNORECASE)
_VOLUME = re.compile(rf"[(=]\s?{_NUMBER}\s?(ml|l)\b(?!\s?(?:/|per))", re.IGNORECASE)
_AGREES_SHARE = 0.1


@dataclass(frozen=True)
class Twice:
    """A figure that words write twice, and the two do not agree."""

    first: str
    second: str


def pairs_apart(text: str) -> Iterator[Twice]:
    """Values in two units of length, torque, volume or conductivity that do not agree.

    >>> list(pairs_apart("Tighten to 20 N·cm (2 N·m)."))
    [Twice(first='20 N·cm', second='2 N·m')]
    """
    for match in _PAIR.finditer(text):
        one, other = _size(match[1], match[2]), _size(match[3], match[4])
        if not one or not other or one[0] != other[0] or _bare(match[2]) == _bare(match[4]):
            continue
        if abs(one[1] - other[1]) > _AGREES_SHARE * max(one[1], other[1]):
            yield Twice(f"{match[1]} {match[2]}", f"{match[3]} {match[4]}")


def letters_apart(text: str) -> Iterator[Twice]:
    """Numbers in letters with other digits behind them.

    >>> list(letters_apart("at least three (4) pulses, six times (6 ×)"))
    [Twice(first='three', second='4')]
    """
    for match in _TWICE.finditer(text):
        if _LETTERS[match[1].lower()] != int(match[2]):
            yield Twice(match[1], match[2])


def flow_apart(text: str) -> Iterator[Twice]:
    """Flows and times that do not give the volume behind them.

    >>> list(flow_apart("at 200 mL/min for 30 s (1000 mL)"))
    [Twice(first='200 mL/min for 30 s', second='1000 mL')]
    """
    flow, time, volume = _FLOW.search(text), _TIME.search(text), _VOLUME.search(text)
    if not (flow and time and volume and flow.end() <= time.start() <= volume.start()):
        return
    litres = {"ml": 0.001, "l": 1.0}
    seconds = _value(time[1]) * (60.0 if time[2].lower().startswith("m") else 1.0)
    a_second = _value(flow[1]) * litres[flow[2].lower()] / (60.0 if flow[3].lower() == "min" else 1.0)
    stated = _value(volume[1]) * litres[volume[2].lower()]
    if abs(a_second * seconds - stated) > _AGREES_SHARE * stated:
        yield Twice(f"{flow[0]} {time[0]}", volume[0].lstrip("(= "))


def _value(written: str) -> float:
    return float(written.replace(",", "."))


def _bare(unit: str) -> str:
    return re.sub(r"[·\s]", "", unit.lower())


def _size(number: str, unit: str) -> tuple[str, float] | None:
    spelled = re.sub(r"\s+", " ", unit.lower())
    known = _UNITS.get(spelled) or _UNITS.get(_bare(unit)) or _UNITS.get(_bare(unit).replace(".", ""))
    return (known[0], _value(number) * known[1]) if known else None
