"""How easily sentences read, by the published formula of each language; syllables from hyphenation patterns.

Hyphenation breaks no single letter off a word, so that a word such as "open" may count one syllable less
than it has when spoken: a text may be a little harder than its figure says.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sinkside.sources import Source, source

if TYPE_CHECKING:
    from pyphen import Pyphen

#: A word has letters, and may have a sign or a digit among them.
_WORD = re.compile(r"[^\W\d_](?:[\w’'-]*\w)?")

#: Words of more letters are long (Björnsson); of so many syllables hard (Bamberger and Vanecek).
_LETTERS_OF_A_SHORT_WORD = 6
_SYLLABLES_OF_A_HARD_WORD = 3

_PATTERNS = {"en": "en_US", "de": "de_DE", "fr": "fr", "es": "es", "pl": "pl_PL"}

#: Björnsson's bands, from the easiest; below the first number a text is for children.
_LIX_BANDS = ((30, "very easy"), (40, "easy"), (50, "middling"), (60, "hard"))


@dataclass(frozen=True)
class Counts:
    """What formulas count in a text: sentences, words, long, hard and one-syllable words, syllables."""

    sentences: int
    words: int
    long: int
    hard: int
    short: int
    syllables: int

    @property
    def words_per_sentence(self) -> float:
        """The mean length of a sentence."""
        return self.words / self.sentences

    @property
    def syllables_per_word(self) -> float:
        """The mean number of syllables of a word."""
        return self.syllables / self.words


@dataclass(frozen=True)
class ReadingEase:
    """How easily a text reads by one formula: its name, the value, what that means, and who published it."""

    name: str
    value: float
    means: str
    source: Source


def reading_ease(sentences: Iterable[str], language: str) -> tuple[ReadingEase, ...]:
    """How easily some sentences read, by every formula that was published for their language.

    LIX was made for European languages; where syllables are words, as in Vietnamese, in Chinese, which
    has no spaces, and in Arabic, whose words carry articles and endings, no formula of these applies, and
    none is given.

    Args:
        sentences: each counts as one, whatever stops it holds.
        language: their language's code.

    >>> [(one.name, round(one.value, 2)) for one in reading_ease(["Cool dogs wear da sunglasses."], "en")]
    [('Flesch-Kincaid grade', 2.88), ('LIX', 25.0)]
    """
    if language not in _PATTERNS:
        return ()
    found = counts(sentences, language)
    if not found.words:
        return ()
    own = (_OWN[language](found),) if language in _OWN else ()
    return (*own, _lix(found))


def counts(sentences: Iterable[str], language: str) -> Counts:
    """What formulas count in some sentences of a language that has hyphenation patterns."""
    found = [words for words in map(_WORD.findall, sentences) if words]
    words = [word for sentence in found for word in sentence]
    spoken = [_syllables(word, language) for word in words]
    return Counts(
        sentences=len(found),
        words=len(words),
        long=sum(len(word) > _LETTERS_OF_A_SHORT_WORD for word in words),
        hard=sum(count >= _SYLLABLES_OF_A_HARD_WORD for count in spoken),
        short=sum(count == 1 for count in spoken),
        syllables=sum(spoken),
    )


def flesch_kincaid(found: Counts) -> float:
    """American school year: 0.39 words per sentence + 11.8 syllables per word - 15.59 (Kincaid, 1975)."""
    return 0.39 * found.words_per_sentence + 11.8 * found.syllables_per_word - 15.59


def lix(found: Counts) -> float:
    """Words per sentence and percent of words with more than six letters (Björnsson, 1968)."""
    return found.words_per_sentence + 100 * found.long / found.words


def fernandez_huerta(found: Counts) -> float:
    """Ease to 100: 206.84 - 60 syllables per word - 1.02 words per sentence (Fernández Huerta, 1959)."""
    return 206.84 - 60 * found.syllables_per_word - 1.02 * found.words_per_sentence


def kandel_moles(found: Counts) -> float:
    """Ease to 100: 207 - 1.015 words per sentence - 73.6 syllables per word (Kandel and Moles, 1958)."""
    return 207 - 1.015 * found.words_per_sentence - 73.6 * found.syllables_per_word


def wiener_sachtextformel(found: Counts) -> float:
    """School years by the first Vienna formula for factual texts (Bamberger and Vanecek, 1984).

    0.1935 hard + 0.1672 words per sentence + 0.1297 long - 0.0327 one-syllable words - 0.875, in percent.
    """
    hard, long, short = (100 * count / found.words for count in (found.hard, found.long, found.short))
    return 0.1935 * hard + 0.1672 * found.words_per_sentence + 0.1297 * long - 0.0327 * short - 0.875


def _lix(found: Counts) -> ReadingEase:
    value = lix(found)
    means = next((words for below, words in _LIX_BANDS if value < below), "very hard")
    return ReadingEase("LIX", value, means, source("bjornsson-lix"))


def _school(value: float) -> str:
    return f"school year {max(1, round(value))}"


def _ease(value: float) -> str:
    """Flesch's bands, which the Spanish and the French formula keep."""
    bands = ((90, "very easy"), (80, "easy"), (60, "middling"), (50, "rather hard"), (30, "hard"))
    return next((words for from_, words in bands if value >= from_), "very hard")


def _english(found: Counts) -> ReadingEase:
    value = flesch_kincaid(found)
    return ReadingEase("Flesch-Kincaid grade", value, _school(value), source("flesch-kincaid"))


def _german(found: Counts) -> ReadingEase:
    value = wiener_sachtextformel(found)
    return ReadingEase("First Wiener Sachtextformel", value, _school(value), source("wiener-sachtextformel"))


def _spanish(found: Counts) -> ReadingEase:
    value = fernandez_huerta(found)
    return ReadingEase("Fernández Huerta", value, _ease(value), source("fernandez-huerta"))


def _french(found: Counts) -> ReadingEase:
    value = kandel_moles(found)
    return ReadingEase("Kandel-Moles", value, _ease(value), source("kandel-moles"))


_OWN: Mapping[str, Callable[[Counts], ReadingEase]] = {
    "en": _english,
    "de": _german,
    "es": _spanish,
    "fr": _french,
}


@functools.lru_cache(maxsize=8_192)
def _syllables(word: str, language: str) -> int:
    """How many pieces hyphenation makes of a word: never fewer than one."""
    return len(_patterns(language).positions(word.lower())) + 1


@functools.cache
def _patterns(language: str) -> Pyphen:
    """The hyphenation patterns of a language; reading them costs more than counting."""
    from pyphen import Pyphen

    return Pyphen(lang=_PATTERNS[language])
