"""In which language a text is, and which lines of a text in several languages belong to which.

Small words tell it ("the", "der", "le"); each counts the less, the more languages share it. In a text of
several languages the words of the trade help, for a heading has few small ones.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from importlib import resources
from typing import Any

from sinkside.draft.lexicon import LANGUAGES, lexicon_for

_WORD = re.compile(r"[^\W\d_]+")
#: Fewer small words than this show nothing; a second language with a smaller share is a name or a quotation.
_LEAST_WORDS = 4.0
_LEAST_SHARE = 0.15
#: A word of the trade shows less than a small word: makers name parts in other languages.
_WEIGHT_OF_TRADE_WORDS = 0.5

Scores = Mapping[str, float]


def scores(text: str) -> Scores:
    """How much the small words of a text speak for each language.

    >>> found = scores("Das Maul mit der Bürste reinigen.")
    >>> max(found, key=found.__getitem__)
    'de'
    """
    return _weighed(text, _small_words())


def scores_with_trade(text: str) -> Scores:
    """How much the words of a text speak for each language, those of the trade included."""
    found: dict[str, float] = defaultdict(float, scores(text))
    for language, score in _weighed(text, _trade_words()).items():
        found[language] += _WEIGHT_OF_TRADE_WORDS * score
    return found


def languages_of(texts: Iterable[str]) -> tuple[str, ...]:
    """The languages of a document, the one with the most words first; empty where too little is said.

    >>> languages_of(["Rinse the jaw with water for at least 2 min.", "Let it dry under the lamp."])
    ('en',)
    """
    total: dict[str, float] = defaultdict(float)
    for text in texts:
        ranked = sorted(scores(text).items(), key=lambda pair: -pair[1])
        # A line is in one language; words that several share say nothing where none is ahead.
        if ranked and (len(ranked) == 1 or ranked[0][1] > ranked[1][1]):
            total[ranked[0][0]] += ranked[0][1]
    enough = max(_LEAST_WORDS, _LEAST_SHARE * sum(total.values()))
    most = sorted(total, key=lambda language: (-total[language], language))
    return tuple(language for language in most if total[language] >= enough)


def named_language(text: str) -> str | None:
    """The language that a heading names and nothing else; 'English', 'Deutsch', 'FR'.

    >>> named_language("Deutsch"), named_language("German cleaning")
    ('de', None)
    """
    words = _WORD.findall(text.casefold())
    known = {name: language for language, names in _table()["names"].items() for name in names}
    named = {known.get(word) for word in words}
    return next(iter(named)) if len(named) == 1 else None


def _weighed(text: str, known: Mapping[str, tuple[str, ...]]) -> dict[str, float]:
    found: dict[str, float] = defaultdict(float)
    for word in _WORD.findall(text):
        # "A B C" are parts, and no small words of any language.
        languages = () if len(word) == 1 and word.isupper() else known.get(word.casefold(), ())
        for language in languages:
            found[language] += 1.0 / len(languages)
    return found


@functools.cache
def _table() -> dict[str, Any]:
    file = resources.files("sinkside") / "draft" / "lexicons" / "small_words.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


@functools.cache
def _small_words() -> Mapping[str, tuple[str, ...]]:
    return _by_word({language: words for language, words in _table().items() if language != "names"})


@functools.cache
def _trade_words() -> Mapping[str, tuple[str, ...]]:
    return _by_word({language: lexicon_for(language).vocabulary for language in LANGUAGES})


def _by_word(by_language: Mapping[str, Iterable[str]]) -> Mapping[str, tuple[str, ...]]:
    known: dict[str, list[str]] = defaultdict(list)
    for language, words in by_language.items():
        for word in dict.fromkeys(words):
            known[word].append(language)
    return {word: tuple(languages) for word, languages in known.items()}
