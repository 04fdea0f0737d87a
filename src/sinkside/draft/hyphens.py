"""Words that were broken at the end of a line, made whole."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from sinkside.draft.lexicon import lexicon_for

_LONGEST_WORD = 60


def joined(pieces: Iterable[str], language: str = "en") -> str:
    """Lines as one text; a hyphen at the end of a line goes unless the word is written with it.

    >>> joined(["Rinse with demin-", "eralised water, then use a lint-", "free cloth."])
    'Rinse with demineralised water, then use a lint-free cloth.'
    >>> joined(["a 4-", "minute rinse"])
    'a 4-minute rinse'
    """
    last = deque(_growing(pieces, language), maxlen=1)
    return last[0] if last else ""


def ends_of_lines(pieces: Iterable[str], language: str = "en") -> list[int]:
    """How long the joined text is after each line.

    >>> ends_of_lines(["Rinse with demin-", "eralised water."])
    [17, 31]
    """
    return [len(whole) for whole in _growing(pieces, language)]


def _growing(pieces: Iterable[str], language: str) -> Iterator[str]:
    whole = ""
    for piece in pieces:
        folded = " ".join(piece.split())
        if not whole or not folded:
            whole = whole or folded
        elif _is_broken(whole, folded):
            whole = whole[: None if _keeps_hyphen(whole, folded, language) else -1] + folded
        else:
            whole = f"{whole} {folded}"
        yield whole


def _is_broken(whole: str, folded: str) -> bool:
    return whole.endswith("-") and whole[-2:-1].isalnum() and folded[:1].islower()


def _keeps_hyphen(whole: str, folded: str, language: str) -> bool:
    if whole[-2:-1].isdigit():
        return True
    word = whole[-_LONGEST_WORD:].rsplit(maxsplit=1)[-1] + folded.split(maxsplit=1)[0].rstrip("-.,;:)")
    return lexicon_for(language).knows_hyphenated(word.lower().lstrip("("))
