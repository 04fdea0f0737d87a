"""Leader dots: 'Bath ..... 34 °C' is a parameter and its value, 'Cleaning ..... 5' a line of contents."""

from __future__ import annotations

import re
from dataclasses import replace

from sinkside.draft.lines import Line

_LEADER = re.compile(
    r"^(?P<label>.*?\S)\s*(?:(?:\.\s?){4,}|\s\.{3,}\s|(?:…\s?){2,}|_{4,}|(?:·\s?){4,})\s*(?P<value>\S.*)$"
)
_PAGE_NUMBER = re.compile(r"\d{1,3}")
_LEAST_ENTRIES = 3


def with_leaders(lines: list[Line]) -> list[Line]:
    """Lines with leader dots as 'label: value'; the entries of a list of contents are left out."""
    parted = [_LEADER.match(line.text) for line in lines]
    contents = _contents(parted)
    made: list[Line] = []
    for place, (line, match) in enumerate(zip(lines, parted, strict=True)):
        if place in contents:
            continue
        made.append(line if match is None else replace(line, text=_parameter(match)))
    return made


def _parameter(match: re.Match[str]) -> str:
    label, value = match["label"].rstrip(" :"), match["value"]
    return f"{label}: {value}"


def _contents(parted: list[re.Match[str] | None]) -> set[int]:
    """The places of entries of a list of contents: three or more whose values are page numbers that rise."""
    entries = [
        (place, int(match["value"]))
        for place, match in enumerate(parted)
        if match and _PAGE_NUMBER.fullmatch(match["value"].strip())
    ]
    numbers = [number for _, number in entries]
    others = sum(1 for match in parted if match) - len(entries)
    rises = numbers == sorted(numbers) and len(set(numbers)) > 1
    return (
        {place for place, _ in entries} if len(entries) >= _LEAST_ENTRIES and rises and not others else set()
    )
