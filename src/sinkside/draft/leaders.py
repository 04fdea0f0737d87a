"""Leader dots: 'Bath ..... 34 °C' is a parameter and its value, 'Cleaning ..... 5' a line of contents."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from sinkside.draft.lines import Line

_LEADER = re.compile(r"(?:\.\s?){4,}+|(?<=\s)\.{3,}+(?=\s)|(?:…\s?){2,}+|_{4,}+|(?:·\s?){4,}+")
_PAGE_NUMBER = re.compile(r"\d{1,3}")
_LEAST_ENTRIES = 3
_LONGEST_LINE = 400


@dataclass(frozen=True, slots=True)
class _Parameter:
    """What stands before leader dots, and what stands behind them."""

    label: str
    value: str


def with_leaders(lines: list[Line]) -> list[Line]:
    """Lines with leader dots as 'label: value'; the entries of a list of contents are left out."""
    parted = [_parameter(line.text) for line in lines]
    contents = _contents(parted)
    made: list[Line] = []
    for place, (line, found) in enumerate(zip(lines, parted, strict=True)):
        if place in contents:
            continue
        made.append(line if found is None else replace(line, text=f"{found.label}: {found.value}"))
    return made


def _parameter(text: str) -> _Parameter | None:
    """The parts of a line around its leader dots; none without dots, or without words on both sides."""
    dots = _LEADER.search(text) if len(text) <= _LONGEST_LINE else None
    if dots is None:
        return None
    label, value = text[: dots.start()].rstrip(" :"), text[dots.end() :].strip()
    return _Parameter(label, value) if label.strip() and value else None


def _contents(parted: list[_Parameter | None]) -> set[int]:
    """The places of entries of a list of contents: three or more whose values are page numbers that rise."""
    entries = [
        (place, int(found.value))
        for place, found in enumerate(parted)
        if found and _PAGE_NUMBER.fullmatch(found.value)
    ]
    numbers = [number for _, number in entries]
    others = sum(1 for found in parted if found) - len(entries)
    rises = numbers == sorted(numbers) and len(set(numbers)) > 1
    return (
        {place for place, _ in entries} if len(entries) >= _LEAST_ENTRIES and rises and not others else set()
    )
