"""Many spellings looked for in many texts: a pattern is only compiled for one that a text can hold.

Most spellings of most senses stand in no text at all, and compiling them all costs more than all the rules.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterable, Iterator

_WORD = re.compile(r"\w+")
_BREAKS = re.compile(r"[ *]+|\.\.")


@functools.lru_cache(maxsize=65536)
def folded(text: str) -> str:
    """A text without the difference between capitals and small letters."""
    return text.casefold()


@functools.lru_cache(maxsize=65536)
def _words_in(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(folded(text)))


def _anchor(words: str) -> str:
    """The longest piece of a spelling that has to stand in a text as it is; a star stands for any letters."""
    # Of two that are as long the later one: the first words of many spellings are the same.
    return max(reversed(_BREAKS.split(words)), key=len).casefold()


@functools.cache
def _needed(words: str) -> tuple[frozenset[str], tuple[str, ...]]:
    """The whole words, and the pieces of words, that a text has to hold for a spelling."""
    parts = words.casefold().replace(" .. ", " ").split(" ")
    whole = frozenset(part for part in parts if _WORD.fullmatch(part))
    return whole, tuple(piece for part in parts if part not in whole for piece in part.split("*"))


class Spellings:
    r"""Spellings in the order in which they are tried at one place of a text.

    >>> either = Spellings(["brush", "brush*"], lambda words: words.replace("*", r"\w*"), behind=r"(?!\w)")
    >>> [match[0] for match in either.finditer("a brush, two Brushes, a bush")]
    ['brush', 'Brushes']
    """

    def __init__(self, words: Iterable[str], spelled: Callable[[str], str], *, behind: str) -> None:
        self._all = tuple((_anchor(one), one) for one in words)
        # A word without stars needs no pattern to be seen.
        self._plain = frozenset(one.casefold() for _, one in self._all if _WORD.fullmatch(one))
        self._others = tuple(pair for pair in self._all if not _WORD.fullmatch(pair[1]))
        self._spelled = spelled
        self._behind = behind

    def held(self, text: str) -> list[str]:
        """The spellings that a text may hold."""
        there = folded(text)
        return [words for anchor, words in self._all if anchor in there and _may_hold(text, words)]

    def search(self, text: str) -> re.Match[str] | None:
        """The first match in a text, as one pattern for all spellings would find it."""
        return _first(self._patterns(text), text, 0)

    def is_in(self, text: str) -> bool:
        """Whether any spelling stands in a text."""
        if not self._plain.isdisjoint(_words_in(text)):
            return True
        there = folded(text)
        near = [words for anchor, words in self._others if anchor in there]
        return any(_may_hold(text, words) and self.pattern(words).search(text) is not None for words in near)

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """All matches in a text that do not overlap, as one pattern for all spellings would find them."""
        patterns, at = self._patterns(text), 0
        while match := _first(patterns, text, at):
            yield match
            at = match.end()

    def sub(self, put: Callable[[re.Match[str]], str] | str, text: str) -> str:
        """A text with something else for each match."""
        pieces, at = [], 0
        for match in self.finditer(text):
            pieces += [text[at : match.start()], put if isinstance(put, str) else put(match)]
            at = match.end()
        return "".join([*pieces, text[at:]])

    def pattern(self, words: str) -> re.Pattern[str]:
        """The pattern of one spelling."""
        return _compiled(rf"(?<!\w)(?:{self._spelled(words)}){self._behind}")

    def _patterns(self, text: str) -> list[re.Pattern[str]]:
        return [self.pattern(words) for words in self.held(text)]


def _may_hold(text: str, words: str) -> bool:
    """Whether all that a spelling cannot do without stands in a text."""
    whole, pieces = _needed(words)
    there = folded(text)
    return whole <= _words_in(text) and all(piece in there for piece in pieces)


def _first(patterns: list[re.Pattern[str]], text: str, at: int) -> re.Match[str] | None:
    """The match that begins first; of those at one place that of the first pattern."""
    best: re.Match[str] | None = None
    for pattern in patterns:
        match = pattern.search(text, at)
        if match and (best is None or match.start() < best.start()):
            best = match
    return best


@functools.cache
def _compiled(spelled: str) -> re.Pattern[str]:
    return re.compile(spelled, re.IGNORECASE)
