"""Names as paper shows them: a name that shouts is set in normal case, its codes and units kept."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable

#: Short words that are no acronyms, though a name in capitals makes them look so.
_SMALL_WORDS = frozenset(
    {"a", "an", "and", "arm", "cap", "cup", "for", "in", "jaw", "of", "on", "pin", "rod", "set", "tip", "to"}
    | {"the", "tray", "with", "without"}
)
_UNITS = {unit.upper(): unit for unit in ("mm", "cm", "mL", "kV", "kHz", "mbar", "deg", "Fr")}
_WORD = re.compile(r"[^\W\d_]+")
_LONGEST_ACRONYM = 3


#: Lists show the same names again and again.
_KEPT_NAMES = 4096


@functools.lru_cache(maxsize=_KEPT_NAMES)
def calm_name(name: str) -> str:
    """A name in normal case, if it is written in capitals; codes, digits, acronyms and units stay.

    >>> calm_name("NETTLEBEE 2.8 SMALL-JOINT SUCTION PUNCH")
    'Nettlebee 2.8 small-joint suction punch'
    >>> calm_name("HF ELECTRODE HK-27B, 4 MM"), calm_name("FINKAT 2.7 sinus forceps")
    ('HF electrode HK-27B, 4 mm', 'FINKAT 2.7 sinus forceps')
    """
    return _first_capital(_calmed(name, _lowered)) if _shouts(name) else name


@functools.lru_cache(maxsize=_KEPT_NAMES)
def calm_maker(name: str) -> str:
    """A maker's name with each word capitalised, if it is written in capitals.

    >>> calm_maker("BRACKENHOLME & SONS LTD"), calm_maker("Fennel & Wray")
    ('Brackenholme & Sons Ltd', 'Fennel & Wray')
    """
    return _calmed(name, str.capitalize) if _shouts(name) else name


def _shouts(name: str) -> bool:
    """Whether every word is in capitals and one of them is no acronym; units do not count."""
    words = [word for word in _WORD.findall(name) if word.upper() not in _UNITS]
    return all(word.isupper() for word in words) and any(len(word) > _LONGEST_ACRONYM for word in words)


def _calmed(name: str, calm_word: Callable[[str], str]) -> str:
    """Each word that is no code calmed; a piece with a digit in it is a code."""
    pieces = re.split(r"(\s+)", name)
    return "".join(
        piece if re.search(r"\d", piece) else _WORD.sub(lambda word: calm_word(word[0]), piece)
        for piece in pieces
    )


def _lowered(word: str) -> str:
    if word.upper() in _UNITS:
        return _UNITS[word.upper()]
    is_acronym = len(word) <= _LONGEST_ACRONYM and word.lower() not in _SMALL_WORDS
    return word if is_acronym else word.lower()


def _first_capital(name: str) -> str:
    return name[:1].upper() + name[1:]
