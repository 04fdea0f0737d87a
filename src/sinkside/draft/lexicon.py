"""The words that the grammar knows, read from data files: one folder a language, units shared by all.

A phrase is found by its words; each word of the text counts in the forms that the language's endings allow
('rinsed', 'rinsing' and 'rinses' are 'rinse'). A new language is a new folder, no new code.
"""

from __future__ import annotations

import functools
import tomllib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.draft.tokens import Token, TokenKind, tokenize

LANGUAGES = ("en",)

_SHORTEST_STEM = 3

#: In a phrase of the lexicon: up to this many other words may stand here ("keep … moist").
_GAP = "…"
_LONGEST_GAP = 5


@dataclass(frozen=True, slots=True)
class Lexeme:
    """A phrase of the lexicon found in a text: what kind, what it means, from which token to which."""

    category: str
    value: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Phrase:
    words: tuple[str, ...]
    category: str
    value: str
    exact: bool


class Lexicon:
    """The phrases of one language, found by their first word."""

    def __init__(
        self, phrases: list[_Phrase], *, endings: tuple[tuple[str, str], ...], decimal_comma: bool
    ) -> None:
        self.decimal_comma = decimal_comma
        self._endings = endings
        self._by_first: dict[str, list[_Phrase]] = defaultdict(list)
        for phrase in phrases:
            self._by_first[phrase.words[0]].append(phrase)
        for same_first in self._by_first.values():
            same_first.sort(key=lambda phrase: -len(phrase.words))
        self._hyphenated = {word for phrase in phrases for word in phrase.words if "-" in word}
        self._forms = functools.lru_cache(maxsize=20_000)(self._forms_of)

    def knows_hyphenated(self, beginning: str) -> bool:
        """Whether a word with a hyphen begins so in some phrase."""
        return any(word.startswith(beginning) for word in self._hyphenated)

    def _forms_of(self, norm: str) -> tuple[str, ...]:
        forms = [norm]
        for ending, instead in self._endings:
            if norm.endswith(ending) and len(norm) - len(ending) + len(instead) >= _SHORTEST_STEM:
                stem = norm[: len(norm) - len(ending)]
                forms.append(stem + instead)
                if stem[-1] == stem[-2] and not instead:
                    forms.append(stem[:-1])
        return tuple(dict.fromkeys(forms))

    def find(self, tokens: tuple[Token, ...]) -> Iterator[Lexeme]:
        """Every phrase that stands in the tokens, the longest of each category at each place."""
        for first, token in enumerate(tokens):
            taken: set[str] = set()
            for form in (token.text, *self._forms(token.norm)):
                for phrase in self._by_first.get(form, ()):
                    if phrase.category in taken:
                        continue
                    if len(phrase.words) > 1 and not self._may_go_on(phrase, tokens, first + 1):
                        continue
                    last = self._end(phrase, tokens, first)
                    if last is not None:
                        taken.add(phrase.category)
                        yield Lexeme(phrase.category, phrase.value, first, last)

    def _may_go_on(self, phrase: _Phrase, tokens: tuple[Token, ...], place: int) -> bool:
        """A quick look at the second word, which rules out most phrases."""
        word = phrase.words[1]
        if word == _GAP:
            return True
        return place < len(tokens) and (
            tokens[place].norm in {word, "."} or self._is(tokens[place], word, exact=False)
        )

    def _end(self, phrase: _Phrase, tokens: tuple[Token, ...], first: int) -> int | None:
        place = first
        for count, word in enumerate(phrase.words):
            if word == _GAP:
                continue
            if count and phrase.words[count - 1] == _GAP:
                place = self._behind_gap(tokens, place, word)
            elif count and place < len(tokens) and tokens[place].norm == "." and word != ".":
                place += 1
            if place >= len(tokens) or not self._is(tokens[place], word, exact=phrase.exact):
                return None
            place += 1
        return place

    def _behind_gap(self, tokens: tuple[Token, ...], place: int, word: str) -> int:
        for here in range(place, min(place + _LONGEST_GAP + 1, len(tokens))):
            if tokens[here].kind is TokenKind.mark and tokens[here].norm not in {",", "-"}:
                break
            if self._is(tokens[here], word, exact=False):
                return here
        return len(tokens)

    def _is(self, token: Token, word: str, *, exact: bool) -> bool:
        if exact:
            return token.text == word
        return token.norm == word or (token.kind is TokenKind.word and word in self._forms(token.norm))


class Reading:
    """A sentence as tokens and lexemes."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.tokens = tokenize(text, decimal_comma=lexicon.decimal_comma)
        self.lexemes = tuple(lexicon.find(self.tokens))
        self._at: dict[tuple[int, str], Lexeme] = {}
        for lexeme in self.lexemes:
            self._at.setdefault((lexeme.first, lexeme.category), lexeme)

    def at(self, place: int, category: str) -> Lexeme | None:
        """The phrase of a category that begins at a token, or none."""
        return self._at.get((place, category))

    def all(self, category: str, *, first: int = 0, last: int | None = None) -> list[Lexeme]:
        """The phrases of a category between two tokens, longest wins where they overlap."""
        end = len(self.tokens) if last is None else last
        chosen: list[Lexeme] = []
        for lexeme in self.lexemes:
            if lexeme.category == category and lexeme.first >= first and lexeme.last <= end:
                if chosen and lexeme.first < chosen[-1].last:
                    continue
                chosen.append(lexeme)
        return chosen

    def has(self, category: str, value: str | None = None) -> bool:
        """Whether a phrase of a category (and meaning) stands in the sentence."""
        return any(x.category == category and (value is None or x.value == value) for x in self.lexemes)

    def words(self, first: int, last: int) -> str:
        """The text from a token up to, not including, another."""
        if last <= first or first >= len(self.tokens):
            return ""
        return self.text[self.tokens[first].start : self.tokens[last - 1].end]


def _phrases(table: dict[str, Any]) -> Iterator[_Phrase]:
    for category, meanings in table.items():
        for value, written in meanings.items():
            for phrase in written:
                marked = phrase.startswith("=") and phrase[1:].isalpha()
                exact = marked or (len(phrase) == 1 and phrase.isalpha())
                text = phrase.removeprefix("=") if marked else phrase
                tokens = tokenize(text)
                words = tuple(token.text if exact else token.norm for token in tokens)
                yield _Phrase(words, category, value, exact)


@functools.cache
def lexicon_for(language: str = "en") -> Lexicon:
    """The lexicon of a language, with the units that all languages share.

    Raises:
        KeyError: if there is none for the language.
    """
    if language not in LANGUAGES:
        raise KeyError(language)
    root = resources.files("sinkside") / "draft" / "lexicons"
    files = [root / "units.toml", *sorted((root / language).iterdir(), key=lambda file: file.name)]
    phrases: list[_Phrase] = []
    grammar: dict[str, Any] = {}
    for file in files:
        table = tomllib.loads(file.read_text(encoding="utf-8"))
        grammar.update(table.pop("grammar", {}))
        phrases.extend(_phrases(table))
    endings = tuple((ending, instead) for ending, instead in grammar.get("endings", []))
    return Lexicon(phrases, endings=endings, decimal_comma=bool(grammar.get("decimal_comma", False)))


@functools.lru_cache(maxsize=4096)
def read_words(text: str, language: str = "en") -> Reading:
    """A sentence read with a language's lexicon."""
    return Reading(text, lexicon_for(language))
