"""Columns of two pages, one pair under the other: the numbers of the items tell where the upper ends."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

from sinkside.draft.gutters import Region
from sinkside.draft.sidebyside import Columns, Told

_COLUMNS = 2
_LEAST_NUMBERS = 4
#: "4.6 Rinse", "10. Store", "(3) Soak", "4-2 Rinse".
_NUMBER = re.compile(r"\s*\(?(\d{1,2}(?:[.-]\d{1,2})*)[.)]?\s+[^\W\d_]")


def stacked(region: Region, read: Columns) -> list[Columns]:
    """The columns of a region, cut where the numbers of the items show that another page begins.

    Args:
        region: the lines and their gutter.
        read: the columns as they are read without a cut.
    """
    if len(read.texts) != _COLUMNS or any(read.heads):
        return [read]
    best, least = None, _falls([read])
    for cut, line in enumerate(region.lines):
        if not cut or not line.gap_before or not least:
            continue
        parts = _cut(read, region.lines[cut].number)
        falls = _falls(parts)
        if falls < least:
            best, least = (cut, parts), falls
    if best is None:
        return [read]
    cut, parts = best
    lower = replace(region, lines=region.lines[cut:])
    return [parts[0], *stacked(lower, parts[1])]


def _cut(read: Columns, number: int) -> list[Columns]:
    """What stands above the line with a number, and what does not."""
    above = tuple(tuple(told for told in texts if told.line.number < number) for texts in read.texts)
    below = tuple(tuple(told for told in texts if told.line.number >= number) for texts in read.texts)
    return [replace(read, texts=above), replace(read, texts=below)]


def _falls(parts: Sequence[Columns]) -> int:
    """How often the number of an item is smaller than that before it, read column by column."""
    numbers = [
        number
        for part in parts
        for texts in part.texts
        for told in texts
        if (number := _number_of(told)) is not None
    ]
    if len(numbers) < _LEAST_NUMBERS:
        return 0
    return sum(1 for one, other in itertools.pairwise(numbers) if other < one)


def _number_of(told: Told) -> tuple[int, ...] | None:
    match = _NUMBER.match(told.text)
    return tuple(map(int, re.split(r"[.-]", match[1]))) if match else None
