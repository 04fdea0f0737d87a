"""The numbers and bullets of lists in a word-processor file, which stand in no text.

Source: ISO/IEC 29500-1, 17.9 (from memory).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sinkside.draft.word_markup import attribute, children, find

_LEVELS = 9
_LETTERS = 26
_ROMAN = ((10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))


@dataclass(frozen=True, slots=True)
class _Level:
    form: str
    pattern: str
    start: int


@dataclass(slots=True)
class ListNumbers:
    """Counts the items of every list in the order in which they are asked for."""

    lists: dict[str, tuple[str, dict[int, _Level]]]
    counts: dict[str, list[int]] = field(default_factory=dict)

    @classmethod
    def of(cls, numbering: Any | None) -> ListNumbers:
        """The lists that the part of a file with its numbering defines; none without that part."""
        if numbering is None:
            return cls({})
        patterns = {attribute(x, "abstractNumId"): _levels(x) for x in children(numbering, "abstractNum")}
        lists: dict[str, tuple[str, dict[int, _Level]]] = {}
        for one in children(numbering, "num"):
            name = attribute(one, "numId")
            pattern = attribute(find(one, "abstractNumId"), "val")
            overrides = {int(attribute(x, "ilvl") or 0): x for x in children(one, "lvlOverride")}
            levels = dict(patterns.get(pattern, {}))
            for place, override in overrides.items():
                levels.update(_overridden(levels, place, override))
            # Lists with a start of their own count for themselves; others go on with their pattern.
            lists[name] = (f"{name}!" if overrides else pattern, levels)
        return cls(lists)

    def label(self, name: str, level: int) -> str:
        """The label of the next item of a list on a level; empty if it has none.

        Args:
            name: the list's id.
            level: from 0.
        """
        counter, levels = self.lists.get(name, ("", {}))
        if level not in levels or not 0 <= level < _LEVELS:
            return ""
        counts = self.counts.setdefault(counter, [-1] * _LEVELS)
        counts[level] = counts[level] + 1 if counts[level] >= 0 else levels[level].start
        counts[level + 1 :] = [-1] * (_LEVELS - level - 1)
        form = levels[level].form
        if form == "bullet":
            return "-"
        if form == "none":
            return ""
        return re.sub(
            r"%(\d)", lambda match: self._shown(levels, counts, int(match[1]) - 1), levels[level].pattern
        )

    @staticmethod
    def _shown(levels: dict[int, _Level], counts: list[int], level: int) -> str:
        if level not in levels:
            return ""
        count = counts[level] if counts[level] >= 0 else levels[level].start
        counts[level] = count
        return _FORMS[levels[level].form](count)


def _levels(pattern: Any) -> dict[int, _Level]:
    return {int(attribute(x, "ilvl") or 0): _level(x) for x in children(pattern, "lvl")}


def _level(level: Any) -> _Level:
    start = attribute(find(level, "start"), "val")
    return _Level(
        attribute(find(level, "numFmt"), "val") or "decimal",
        attribute(find(level, "lvlText"), "val"),
        int(start) if start.isdigit() else 1,
    )


def _overridden(levels: dict[int, _Level], place: int, override: Any) -> dict[int, _Level]:
    own = find(override, "lvl")
    level = _level(own) if own is not None else levels.get(place)
    start = attribute(find(override, "startOverride"), "val")
    if level is None:
        return {}
    return {place: _Level(level.form, level.pattern, int(start) if start.isdigit() else level.start)}


def _letters(count: int) -> str:
    """One letter for each item, doubled after z."""
    place = max(count - 1, 0)
    return chr(ord("a") + place % _LETTERS) * (place // _LETTERS + 1)


def _roman(count: int) -> str:
    written = ""
    for value, sign in _ROMAN:
        while count >= value:
            written += sign
            count -= value
    return written


_FORMS: dict[str, Callable[[int], str]] = defaultdict(
    lambda: str,
    {
        "lowerLetter": _letters,
        "upperLetter": lambda count: _letters(count).upper(),
        "lowerRoman": _roman,
        "upperRoman": lambda count: _roman(count).upper(),
        "decimalZero": lambda count: f"{count:02d}",
    },
)
