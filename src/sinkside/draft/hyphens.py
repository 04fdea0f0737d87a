"""Words that were broken at the end of a line, made whole."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.draft.lexicon import lexicon_for


def joined(pieces: Iterable[str], language: str = "en") -> str:
    """Lines as one text; a hyphen at the end of a line goes unless the word is written with it.

    >>> joined(["Rinse with demin-", "eralised water, then use a lint-", "free cloth."])
    'Rinse with demineralised water, then use a lint-free cloth.'
    >>> joined(["a 4-", "minute rinse"])
    'a 4-minute rinse'
    """
    whole = ""
    for piece in pieces:
        folded = " ".join(piece.split())
        if not whole or not folded:
            whole = whole or folded
        elif _is_broken(whole, folded):
            whole = whole[: None if _keeps_hyphen(whole, folded, language) else -1] + folded
        else:
            whole = f"{whole} {folded}"
    return whole


def _is_broken(whole: str, folded: str) -> bool:
    return whole.endswith("-") and whole[-2:-1].isalnum() and folded[:1].islower()


def _keeps_hyphen(whole: str, folded: str, language: str) -> bool:
    if whole[-2:-1].isdigit():
        return True
    word = whole.rsplit(maxsplit=1)[-1] + folded.split(maxsplit=1)[0].rstrip("-.,;:)")
    return lexicon_for(language).knows_hyphenated(word.lower().lstrip("("))
