"""The phrases of a lexicon as one tree of words: a text is looked up word by word, not phrase by phrase."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

from sinkside.draft.tokens import Token, TokenKind

#: In a phrase of the lexicon: some other words may stand here ("keep … moist").
GAP = "…"
#: Before a word that must stand exactly as it is spelled, capitals and all.
_EXACTLY = "="


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words that mean something: `exact` ones count as they are spelled, `closing` ones end their clause."""

    words: tuple[str, ...]
    category: str
    value: str
    exact: bool
    closing: bool = False


#: How well a phrase fits a place, best last: its length, its form (plainer is higher), its place in the
#: files (earlier is higher); then what it means and where it ends.
Match: TypeAlias = tuple[int, int, int, str, int]


@dataclass(slots=True)
class _Node:
    """A place in the tree: the words that go on from here, and the phrases that end here."""

    onward: dict[str, _Node] = field(default_factory=dict)
    gap: _Node | None = None
    ends: list[tuple[int, int, str, str, bool]] = field(default_factory=list)


class PhraseTree:
    """All phrases of a language; what a gap may hold depends on the language."""

    def __init__(
        self,
        phrases: Iterable[Phrase],
        *,
        longest_gap: int,
        gap_marks: frozenset[str],
        clause_ends: frozenset[str] = frozenset(),
    ) -> None:
        self._root = _Node()
        self._clause_ends = clause_ends
        self._longest_gap = longest_gap
        self._gap_marks = gap_marks
        for order, phrase in enumerate(phrases):
            self._plant(phrase, order)

    def _plant(self, phrase: Phrase, order: int) -> None:
        node = self._root
        for word in phrase.words:
            if word == GAP:
                node.gap = node.gap or _Node()
                node = node.gap
            else:
                key = f"{_EXACTLY}{word}" if phrase.exact else word
                node = node.onward.setdefault(key, _Node())
        node.ends.append((len(phrase.words), order, phrase.category, phrase.value, phrase.closing))

    def at(self, walk: Walk, first: int) -> dict[str, Match]:
        """The best phrase of each category that begins at a token."""
        best: dict[str, Match] = {}
        for form, key in enumerate(walk.keys[first]):
            node = self._root.onward.get(key)
            if node is not None:
                self._arrive(node, first + 1, walk, form, best)
        return best

    def _arrive(self, node: _Node, place: int, walk: Walk, form: int, best: dict[str, Match]) -> None:
        for length, order, category, value, closing in node.ends:
            if closing and not self._ends_clause(walk, place):
                continue
            match = (length, -form, -order, value, place)
            if category not in best or match > best[category]:
                best[category] = match
        if place >= len(walk.keys):
            return
        if node.onward:
            self._go_on(node, place, walk, form, best)
        if node.gap is not None:
            self._over_gap(node.gap, place, walk, form, best)

    def _ends_clause(self, walk: Walk, place: int) -> bool:
        """Whether a clause ends before a token: '… ziehen Sie ab und', and not 'ab 60 °C'."""
        if place >= len(walk.tokens):
            return True
        token = walk.tokens[place]
        return token.kind is TokenKind.mark or token.norm in self._clause_ends

    def _go_on(self, node: _Node, place: int, walk: Walk, form: int, best: dict[str, Match]) -> None:
        """To the next word; a full stop between two words of a phrase does not count ("fig. 3")."""
        onward = node.onward
        if walk.tokens[place].norm == ".":
            child = onward.get(".")
            if child is not None:
                self._arrive(child, place + 1, walk, form, best)
            place += 1
            if place >= len(walk.keys):
                return
        for key in walk.keys[place]:
            child = onward.get(key)
            if child is not None:
                self._arrive(child, place + 1, walk, form, best)

    def _over_gap(self, gap: _Node, place: int, walk: Walk, form: int, best: dict[str, Match]) -> None:
        """To the first place of each word that may stand behind the gap."""
        seen: set[str] = set()
        for here in range(place, min(place + self._longest_gap + 1, len(walk.keys))):
            token = walk.tokens[here]
            if token.kind is TokenKind.mark and token.norm not in self._gap_marks:
                return
            for key in walk.keys[here]:
                child = gap.onward.get(key)
                if child is not None and key not in seen:
                    seen.add(key)
                    self._arrive(child, here + 1, walk, form, best)


@dataclass(frozen=True, slots=True)
class Walk:
    """Tokens with the keys under which each may stand in the tree: as spelled, plain, and in its forms."""

    tokens: tuple[Token, ...]
    keys: list[tuple[str, ...]]


def keys_of(token: Token, forms: tuple[str, ...]) -> tuple[str, ...]:
    """The keys of a token whose forms are known."""
    return (f"{_EXACTLY}{token.text}", *forms)
