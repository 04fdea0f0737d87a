"""How verbs ask in languages that put them elsewhere than English: at the end, or before the person asked."""

from __future__ import annotations

from sinkside.draft.lexicon import Lexeme, Reading

_CLAUSE_ENDS = {",", ";", ".", ":", "!", ")", "-", "/", "and", "or", "then"}
#: The ways of asking that put what is said about a verb before it.
_BEFORE_THE_VERB = {"infinitive", "passive"}


def asks_by_order(reading: Reading, verb: Lexeme) -> str:
    """How a verb asks by its place, where the language has such places; empty if it does not.

    >>> from sinkside.draft.lexicon import read_words
    >>> words = read_words("Das Maul mindestens 30 s bürsten.", "de")
    >>> asks_by_order(words, words.all("action")[0])
    'infinitive'
    """
    grammar = reading.grammar
    if _is_said_to_somebody(reading, verb.first):
        return "imperative"
    if not grammar.verb_last or not _is_small(reading, verb.last - 1):
        return ""
    if reading.at(verb.last, "auxiliary"):
        return "passive" if _ends(reading, verb.last + 1) else ""
    if not _ends(reading, verb.last):
        return ""
    if _is_plain(reading, verb.last - 1):
        return "infinitive"
    return "passive" if any(_is_auxiliary(reading, place) for place in range(verb.last)) else ""


def _is_said_to_somebody(reading: Reading, place: int) -> bool:
    """'Spülen Sie', 'spült man', 'on rince': the person stands beside the verb."""
    before, behind = reading.tokens[place - 1 : place], reading.tokens[place + 1 : place + 2]
    asking = any(token.norm in reading.grammar.asking_pronouns for token in behind)
    return asking or any(token.norm in reading.grammar.asking_before for token in before)


def first_of_stretch(pattern: str, ended: int, start: int) -> int:
    """Where the words that belong to a verb begin: behind the verb before it, or where it starts itself."""
    return ended if pattern in _BEFORE_THE_VERB else start


def _ends(reading: Reading, place: int) -> bool:
    """Whether a clause ends before a token."""
    return place >= len(reading.tokens) or reading.tokens[place].norm in _CLAUSE_ENDS


def _is_small(reading: Reading, place: int) -> bool:
    """No noun: these have capitals where verbs stand last; at the very start every word has one."""
    return place == 0 or not reading.tokens[place].text[:1].isupper()


def _is_plain(reading: Reading, place: int) -> bool:
    """'spülen', 'abspülen', 'sterilisieren'; 'gespült' is none, and 'eingelegen' does not exist."""
    return reading.tokens[place].norm.endswith("n")


def _is_auxiliary(reading: Reading, place: int) -> bool:
    return reading.at(place, "auxiliary") is not None
