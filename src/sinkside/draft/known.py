"""What a whole document tells about the numbers of its sentences: names, labels of items, ways of writing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from sinkside.draft.clocks import Clock, clock_of
from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Passage

_JOINED_LABEL = re.compile(r"\d{1,2}(?:[-.]\d{1,2})+[a-z]?")
#: "(4) shaft tube" at the beginning of a line or cell: a number that calls out a part.
_CALLOUT = re.compile(r"(?:^|\|\s*)\(?(\d{1,2})\)\s*\|?\s*[^\W\d_]")
_HEAT = re.compile(r"°\s?([CF])\b")


@dataclass(frozen=True, slots=True)
class Known:
    """What the document tells.

    Attributes:
        names: words, in small letters, behind which a number belongs to a name.
        labels: numbers of items that are written with a point or hyphen: '7.4', '3-3'.
        callouts: numbers by which parts are called in parentheses.
        clock: what '00:10' counts.
        heat: the unit of all its temperatures, if there is only one.
    """

    names: frozenset[str] = frozenset()
    labels: frozenset[str] = frozenset()
    callouts: frozenset[str] = frozenset()
    clock: Clock | None = None
    heat: str | None = None

    @classmethod
    def of(cls, passages: Iterable[Passage], names: frozenset[str], language: str) -> Known:
        """What the passages of a document tell; `names` are the words of its title."""
        told = list(passages)
        texts = [passage.text for passage in told]
        heads = {cell.head for passage in told for cell in passage.cells if cell.head}
        rows = {passage.number for passage in told if passage.number and _lists_parts(passage, language)}
        numbers = {passage.number for passage in told if passage.number}
        whole = "\n".join([*texts, *sorted(heads)])
        heats = set(_HEAT.findall(whole))
        return cls(
            names=names,
            labels=frozenset(number for number in numbers if _JOINED_LABEL.fullmatch(number)),
            callouts=frozenset([*(number for text in texts for number in _CALLOUT.findall(text)), *rows]),
            clock=clock_of(whole),
            heat=f"°{heats.pop()}" if len(heats) == 1 else None,
        )


def _lists_parts(row: Passage, language: str) -> bool:
    """Whether a row stands in a table that lists parts, by the words over its columns."""
    return any(read_words(cell.head.lower(), language).has("column", "part") for cell in row.cells)
