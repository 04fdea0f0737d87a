"""The words that the grammar knows, read from data files: one folder a language, units shared by all.

A phrase is found by its words; each word of the text counts in the forms that the language's endings allow
('rinsed', 'rinsing' and 'rinses' are 'rinse'; what else a language does to its words is in `forms`). A new
language is a new folder, no new code.
"""

from __future__ import annotations

import functools
import tomllib
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from importlib import resources
from typing import Any

from sinkside.draft.forms import Forms
from sinkside.draft.phrases import GAP, Phrase, PhraseTree, Walk, keys_of
from sinkside.draft.tokens import Token, TokenKind, tokenize

#: The languages that have a lexicon; the one that the others are measured by comes first.
LANGUAGES = ("en", "de", "fr", "es")

#: Up to this many other words may stand in the gap of a phrase ("keep … moist").
_LONGEST_GAP = 6
#: Of a verb that parts: 'tun' is too short to be told from an ending.
_SHORTEST_PARTED_VERB = 5
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
class Grammar:
    """What a language does that its phrases do not tell.

    Attributes:
        language: its code.
        decimal_comma: whether 0,5 is a half and 3.000 three thousand.
        verb_last: whether what is to be done stands at the end: 'das Maul 30 s bürsten'.
        asking_pronouns: words behind a verb that make it ask: 'Spülen Sie'.
        asking_before: words before a verb that tell what is done and so ask: 'man spült', 'on rince'.
        object_pronouns: words between the start of a sentence and its verb: 'la rincer'.
        longest_gap: how many words may stand in the gap of a phrase.
        clause_ends: words before which a clause ends.
        joining: the language's small joining words, each with the English one that the grammar names.
    """

    language: str
    decimal_comma: bool = False
    verb_last: bool = False
    asking_pronouns: frozenset[str] = frozenset()
    asking_before: frozenset[str] = frozenset()
    object_pronouns: frozenset[str] = frozenset()
    longest_gap: int = _LONGEST_GAP
    clause_ends: frozenset[str] = frozenset()
    joining: Mapping[str, str] = field(default_factory=dict)


class Lexicon:
    """The phrases of one language, and what else it does with its words."""

    def __init__(self, phrases: list[Phrase], *, forms: Forms, grammar: Grammar) -> None:
        self.grammar = grammar
        marks = _MARKS_IN_A_LONG_GAP
        self._tree = PhraseTree(
            phrases, longest_gap=grammar.longest_gap, gap_marks=marks, clause_ends=grammar.clause_ends
        )
        self._forms = forms
        self._single: dict[str, list[Phrase]] = defaultdict(list)
        for phrase in phrases:
            if len(phrase.words) == 1:
                self._single[phrase.words[0]].append(phrase)
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
        walk = Walk(tokens, [self._keys(token) for token in tokens])
        for first, token in enumerate(tokens):
            best = self._tree.at(walk, first)
            for category, (_, _, _, value, last) in best.items():
                yield Lexeme(category, value, first, last)
            if self._forms.joins_words and token.kind is TokenKind.word:
                yield from self._last_pieces(token, first, set(best))

    def _keys(self, token: Token) -> tuple[str, ...]:
        forms = self._forms.of(token.norm) if token.kind is TokenKind.word else (token.norm,)
        return keys_of(token, forms)

    def _last_pieces(self, token: Token, place: int, taken: set[str]) -> Iterator[Lexeme]:
        """'Blattgelenk' is a joint, if the language joins its words and the whole is in no phrase."""
        for head in self._forms.heads_of(token.norm):
            for phrase in self._single.get(head, ()):
                if phrase.category not in taken and self._forms.compounds(phrase.category):
                    taken.add(phrase.category)
                    yield Lexeme(phrase.category, phrase.value, place, place + 1)


def _first_token(lexeme: Lexeme) -> int:
    return lexeme.first


class Reading:
    """A sentence as tokens and lexemes."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.grammar = lexicon.grammar
        tokens = tokenize(text, decimal_comma=lexicon.grammar.decimal_comma)
        self.lexemes = tuple(lexicon.find(tokens))
        self.tokens = _with_joining_words(tokens, lexicon.grammar.joining)
        self._at: dict[tuple[int, str], Lexeme] = {}
        self._of_category: dict[str, list[Lexeme]] = {}
        for lexeme in self.lexemes:
            self._at.setdefault((lexeme.first, lexeme.category), lexeme)
            self._of_category.setdefault(lexeme.category, []).append(lexeme)

    def at(self, place: int, category: str) -> Lexeme | None:
        """The phrase of a category that begins at a token, or none."""
        return self._at.get((place, category))

    def all(self, category: str, *, first: int = 0, last: int | None = None) -> list[Lexeme]:
        """The phrases of a category between two tokens, longest wins where they overlap."""
        end = len(self.tokens) if last is None else last
        chosen: list[Lexeme] = []
        found = self._of_category.get(category, ())
        start = bisect_left(found, first, key=_first_token) if first else 0
        for lexeme in found[start:]:
            if lexeme.first >= end:
                break
            if lexeme.last <= end and not (chosen and lexeme.first < chosen[-1].last):
                chosen.append(lexeme)
        return chosen

    def has(self, category: str, value: str | None = None) -> bool:
        """Whether a phrase of a category (and meaning) stands in the sentence."""
        found = self._of_category.get(category, ())
        return bool(found) if value is None else any(x.value == value for x in found)

    def words(self, first: int, last: int) -> str:
        """The text from a token up to, not including, another."""
        if last <= first or first >= len(self.tokens):
            return ""
        return self.text[self.tokens[first].start : self.tokens[last - 1].end]


def _phrases(table: dict[str, Any]) -> Iterator[Phrase]:
    for category, meanings in table.items():
        for value, written in meanings.items():
            for phrase in written:
                marked = phrase.startswith("=") and phrase[1:].isalpha()
                exact = marked or (len(phrase) == 1 and phrase.isalpha())
                text = phrase.removeprefix("=") if marked else phrase
                tokens = tokenize(text)
                words = tuple(token.text if exact else token.norm for token in tokens)
                yield Phrase(words, category, value, exact)


def _parted(phrases: Iterable[Phrase], particles: tuple[str, ...]) -> Iterator[Phrase]:
    """'abziehen' stands as 'ziehen … ab' in a main clause, and its last word ends the clause."""
    for phrase in phrases:
        if phrase.category != "action" or len(phrase.words) != 1:
            continue
        word = phrase.words[0]
        particle = next((one for one in particles if word.startswith(one)), "")
        verb = word.removeprefix(particle)
        if particle and verb.endswith("n") and len(verb) >= _SHORTEST_PARTED_VERB:
            yield Phrase((verb, GAP, particle), phrase.category, phrase.value, exact=False, closing=True)


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
        for name, value in table.pop("grammar", {}).items():
            said[name] = {**said.get(name, {}), **value} if isinstance(value, dict) else value
    # What is a unit in one language ("in") may be a small word of another.
    foreign = set(said.get("foreign_words", ()))
    units = [phrase for phrase in _phrases(tables[0]) if foreign.isdisjoint(phrase.words[:1])]
    phrases = [*units, *(phrase for table in tables[1:] for phrase in _phrases(table))]
    phrases += list(_parted(phrases, tuple(sorted(said.get("parting", ()), key=len, reverse=True))))
    first_words = frozenset(phrase.words[0] for phrase in phrases)
    return Lexicon(phrases, forms=Forms.of_grammar(said, first_words), grammar=_grammar(said, language))


def _grammar(said: Mapping[str, Any], language: str) -> Grammar:
    joining = {word: english for english, words in said.get("joining", {}).items() for word in words}
    return Grammar(
        language=language,
        decimal_comma=bool(said.get("decimal_comma", False)),
        verb_last=bool(said.get("verb_last", False)),
        asking_pronouns=frozenset(said.get("asking_pronouns", ())),
        asking_before=frozenset(said.get("asking_before", ())),
        object_pronouns=frozenset(said.get("object_pronouns", ())),
        longest_gap=int(said.get("longest_gap", _LONGEST_GAP)),
        clause_ends=frozenset(said.get("clause_ends", ())),
        joining=joining,
    )


@functools.lru_cache(maxsize=4096)
def read_words(text: str, language: str = "en") -> Reading:
    """A sentence read with a language's lexicon."""
    return Reading(text, lexicon_for(language))
