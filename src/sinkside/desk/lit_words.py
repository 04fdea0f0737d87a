"""Which words of a page a step was read from."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Final

_SIGNS_ASIDE: Final = re.compile(r"[^\w°%≤≥<>=]+")

#: Words between two that fit are lit with them: signs that were read otherwise than they stand.
_MOST_WORDS_BETWEEN: Final = 3


@dataclass(frozen=True)
class Box:
    """A rectangle on a page, in points from the top left."""

    left: float
    top: float
    right: float
    bottom: float


@functools.lru_cache(maxsize=512)
def lit_words(page: tuple[str, ...], wanted: str) -> tuple[int, ...]:
    """The places of the words on a page that say what a step was read from, in reading order.

    What was lit last is remembered: whoever works through a text opens the same page for each of its steps.

    Args:
        page: the words of the page in reading order.
        wanted: the words as they were read, white space folded.

    >>> lit_words(("Rinse", "it.", "Dry", "it", "for", "30", "s."), "Dry it for 30 s.")
    (2, 3, 4, 5, 6)
    """
    places = _whole_words(page)
    words = [_bare("".join(page[place] for place in whole)) for whole in places]
    sought = [bare for bare in map(_bare, wanted.split()) if bare]
    if not sought:
        return ()
    matcher = SequenceMatcher(None, words, sought, autojunk=False)
    longest = matcher.find_longest_match()
    if longest.size == 0 or longest.size < min(len(sought), 2):
        return ()
    first = max(longest.a - longest.b - _MOST_WORDS_BETWEEN, 0)
    last = longest.a - longest.b + len(sought) + _MOST_WORDS_BETWEEN
    near = SequenceMatcher(None, words[first:last], sought, autojunk=False)
    found: list[int] = []
    for block in near.get_matching_blocks():
        if block.size:
            begin = first + block.a
            if found and begin - found[-1] - 1 <= _MOST_WORDS_BETWEEN:
                found.extend(range(found[-1] + 1, begin))
            found.extend(range(begin, begin + block.size))
    return tuple(place for whole in found for place in places[whole])


def _whole_words(page: Sequence[str]) -> list[tuple[int, ...]]:
    """The places of each word; one that is broken at the end of a line has two."""
    whole: list[tuple[int, ...]] = []
    for place, word in enumerate(page):
        if whole and whole[-1][-1] == place - 1 and page[place - 1].endswith("-") and _bare(page[place - 1]):
            whole[-1] = (*whole[-1], place)
        elif _bare(word):
            whole.append((place,))
    return whole


def boxes_of(boxes: Sequence[Box]) -> tuple[Box, ...]:
    """Boxes of words in reading order, those of one line as one.

    >>> boxes_of([Box(0, 0, 10, 8), Box(12, 0, 20, 8), Box(0, 12, 9, 20)])
    (Box(left=0, top=0, right=20, bottom=8), Box(left=0, top=12, right=9, bottom=20))
    """
    lines: list[Box] = []
    for box in boxes:
        last = lines[-1] if lines else None
        if last and box.left >= last.left and abs(box.bottom - last.bottom) < (box.bottom - box.top) / 2:
            lines[-1] = Box(
                last.left,
                min(last.top, box.top),
                max(last.right, box.right),
                max(last.bottom, box.bottom),
            )
        else:
            lines.append(box)
    return tuple(lines)


def lit_parts(line: str, lit: frozenset[int], first_word: int) -> tuple[tuple[str, bool], ...]:
    """A line of text in parts, lit or not; words are counted from `first_word`.

    >>> lit_parts("Rinse it. Dry it.", frozenset({7, 8}), 5)
    (('Rinse it. ', False), ('Dry it.', True))
    """
    parts: list[tuple[str, bool]] = []
    for number, piece in enumerate(re.findall(r"\S+\s*|^\s+", line)):
        is_lit = bool(piece.strip()) and (first_word + number) in lit
        if parts and parts[-1][1] == is_lit:
            parts[-1] = (parts[-1][0] + piece, is_lit)
        else:
            parts.append((piece, is_lit))
    return tuple(parts)


def _bare(word: str) -> str:
    return _SIGNS_ASIDE.sub("", word.casefold())
