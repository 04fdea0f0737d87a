"""The words that the grammar knows, read from data files: one folder a language, units shared by all.

A phrase is found by its words; each word of the text counts in the forms that the language's endings allow
('rinsed', 'rinsing' and 'rinses' are 'rinse'; what else a language does to its words is in `forms`). A new
language is a new folder, no new code.
"""

from __future__ import annotations

import functools
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from importlib import resources
from typing import Any

from sinkside.draft.forms import Forms
from sinkside.draft.tokens import Token, TokenKind, tokenize

#: The languages that have a lexicon; the one that the others are measured by comes first.
LANGUAGES = ("en", "de", "fr", "es")

#: In a phrase of the lexicon: up to this many other words may stand here ("keep … moist").
_GAP = "…"
_LONGEST_GAP = 5
_MARKS_IN_A_GAP = frozenset(",-")
#: Where the verb stands last, the figures stand in the gap: "den Anschluss mit 5 × 20 mL spülen".
_MARKS_IN_A_LONG_GAP = frozenset(",-×%°/()+")


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


@dataclass(frozen=True, slots=True)
class Grammar:
    """What a language does that its phrases do not tell.

    Attributes:
        language: its code.
        decimal_comma: whether 0,5 is a half and 3.000 three thousand.
        verb_last: whether what is to be done stands at the end: 'das Maul 30 s bürsten'.
        asking_pronouns: words behind a verb that make it ask: 'Spülen Sie'.
        longest_gap: how many words may stand in the gap of a phrase.
        joining: the language's small joining words, each with the English one that the grammar names.
    """

    language: str
    decimal_comma: bool = False
    verb_last: bool = False
    asking_pronouns: frozenset[str] = frozenset()
    longest_gap: int = _LONGEST_GAP
    joining: Mapping[str, str] = field(default_factory=dict)


class Lexicon:
    """The phrases of one language, found by their first word."""

    def __init__(self, phrases: list[_Phrase], *, forms: Forms, grammar: Grammar) -> None:
        self.grammar = grammar
        self._gap_marks = _MARKS_IN_A_LONG_GAP if grammar.verb_last else _MARKS_IN_A_GAP
        self._forms = forms
        self._by_first: dict[str, list[_Phrase]] = defaultdict(list)
        for phrase in phrases:
            self._by_first[phrase.words[0]].append(phrase)
        for same_first in self._by_first.values():
            same_first.sort(key=lambda phrase: -len(phrase.words))
        #: Every word of letters that stands in a phrase.
        self.vocabulary = frozenset(
            word.lower() for phrase in phrases for word in phrase.words if word.isalpha() and len(word) > 1
        )
        self._hyphenated = {word for phrase in phrases for word in phrase.words if "-" in word}

    def knows_hyphenated(self, beginning: str) -> bool:
        """Whether a word with a hyphen begins so in some phrase."""
        return any(word.startswith(beginning) for word in self._hyphenated)

    def find(self, tokens: tuple[Token, ...]) -> Iterator[Lexeme]:
        """Every phrase that stands in the tokens, the longest of each category at each place."""
        for first, token in enumerate(tokens):
            taken: set[str] = set()
            for form in (token.text, *self._forms.of(token.norm)):
                for phrase in self._by_first.get(form, ()):
                    if phrase.category in taken:
                        continue
                    if len(phrase.words) > 1 and not self._may_go_on(phrase, tokens, first + 1):
                        continue
                    last = self._end(phrase, tokens, first)
                    if last is not None:
                        taken.add(phrase.category)
                        yield Lexeme(phrase.category, phrase.value, first, last)
            yield from self._last_pieces(token, first, taken)

    def _last_pieces(self, token: Token, place: int, taken: set[str]) -> Iterator[Lexeme]:
        """'Blattgelenk' is a joint, if the language joins its words and the whole is in no phrase."""
        for head in self._forms.heads_of(token.norm):
            for phrase in self._by_first[head]:
                known = phrase.category in taken or not self._forms.compounds(phrase.category)
                if len(phrase.words) == 1 and not known:
                    taken.add(phrase.category)
                    yield Lexeme(phrase.category, phrase.value, place, place + 1)

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
        for here in range(place, min(place + self.grammar.longest_gap + 1, len(tokens))):
            if tokens[here].kind is TokenKind.mark and tokens[here].norm not in self._gap_marks:
                break
            if self._is(tokens[here], word, exact=False):
                return here
        return len(tokens)

    def _is(self, token: Token, word: str, *, exact: bool) -> bool:
        if exact:
            return token.text == word
        return token.norm == word or (token.kind is TokenKind.word and word in self._forms.of(token.norm))


class Reading:
    """A sentence as tokens and lexemes."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.grammar = lexicon.grammar
        tokens = tokenize(text, decimal_comma=lexicon.grammar.decimal_comma)
        self.lexemes = tuple(lexicon.find(tokens))
        self.tokens = _with_joining_words(tokens, lexicon.grammar.joining)
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


def _with_joining_words(tokens: tuple[Token, ...], joining: Mapping[str, str]) -> tuple[Token, ...]:
    """Tokens whose small joining words are said as the grammar names them: 'und' is 'and'."""
    if not joining:
        return tokens
    return tuple(
        replace(token, norm=joining[token.norm]) if token.norm in joining else token for token in tokens
    )


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
    tables = [tomllib.loads(file.read_text(encoding="utf-8")) for file in files]
    said: dict[str, Any] = {}
    for table in tables:
        said.update(table.pop("grammar", {}))
    # What is a unit in one language ("in") may be a small word of another.
    foreign = set(said.get("foreign_words", ()))
    units = [phrase for phrase in _phrases(tables[0]) if foreign.isdisjoint(phrase.words[:1])]
    phrases = [*units, *(phrase for table in tables[1:] for phrase in _phrases(table))]
    first_words = frozenset(phrase.words[0] for phrase in phrases)
    return Lexicon(phrases, forms=Forms.of_grammar(said, first_words), grammar=_grammar(said, language))


def _grammar(said: Mapping[str, Any], language: str) -> Grammar:
    joining = {word: english for english, words in said.get("joining", {}).items() for word in words}
    return Grammar(
        language=language,
        decimal_comma=bool(said.get("decimal_comma", False)),
        verb_last=bool(said.get("verb_last", False)),
        asking_pronouns=frozenset(said.get("asking_pronouns", ())),
        longest_gap=int(said.get("longest_gap", _LONGEST_GAP)),
        joining=joining,
    )


@functools.lru_cache(maxsize=4096)
def read_words(text: str, language: str = "en") -> Reading:
    """A sentence read with a language's lexicon."""
    return Reading(text, lexicon_for(language))
