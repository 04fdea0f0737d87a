"""In which position a sentence wants each moving part: "with the jaw open", "release the ratchet"."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.tokens import TokenKind

_WIDEST_REACH = 9
#: A state before its feature, with its own words.
_WIDEST_SPAN = _WIDEST_REACH + 9
_REACH_OF_A_DENIAL = 3
#: "Close the small suction valve": words between the article and the feature.
_MOST_MODIFIERS = 2

#: Which state words fit which feature, and what they mean there.
_MEANINGS: dict[str, dict[str, str]] = {
    "jaw": {"open": "open", "closed": "closed", "apart": "open", "engaged": "closed"},
    "ratchet": {
        "engaged": "engaged",
        "closed": "engaged",
        "released": "released",
        "open": "released",
    },
    "sliding-sleeve": {"forward": "forward", "back": "back"},
    "lumen": {"connected": "connected"},
    "port": {
        "capped": "capped",
        "closed": "capped",
        "connected": "connected",
        "open": "open",
    },
    "knob": {"straight": "straight", "deflected": "deflected"},
}
_OPPOSITES: tuple[set[str], ...] = (
    {"open", "closed"},
    {"engaged", "released"},
    {"forward", "back"},
    {"straight", "deflected"},
    {"assembled", "apart"},
)
_FEATURE_NAMES = {"sliding-sleeve": "sleeve", "lumen": "port"}
#: What was named before, in the languages that are read.
_PRONOUNS = {"it", "them", "es", "sie", "ihn", "le", "la", "les", "los", "las", "lo"}
#: "With", in the languages that are read.
_LEADS_IN = {"with", "mit", "bei", "avec", "con"}
#: "Cap the port", "cap it": behind these words a thing is asked for.
_ASKED_FOR = {"the", "it", "them", "its", "each", "every", "a", "an", "all", "both"}
#: What stands between things, in the languages that are read.
_LISTS = {",", "and", "und", "et", "y"}
#: State words that speak of the whole device.
_WHOLE = {"assembled": "assembled", "apart": "apart"}


@dataclass(frozen=True, slots=True)
class _Claim:
    feature: str
    position: str
    distance: int
    behind: bool
    state: Lexeme


def positions_in(reading: Reading, first: int = 0, last: int | None = None) -> dict[str, str]:
    """The positions that a stretch of a sentence asks for.

    >>> from sinkside.draft.lexicon import read_words
    >>> positions_in(read_words("Lock the ratchet in the released position and open the jaws."))
    {'ratchet': 'released', 'jaw': 'open'}
    >>> positions_in(read_words("Open and close the jaw 10 times."))
    {}
    """
    end = len(reading.tokens) if last is None else last
    unmet = _only_if(reading, first, end)
    states = [x for x in _states(reading, first, end) if not _is_denied(reading, x) and x.first not in unmet]
    chosen: dict[str, _Claim] = {}
    starts = [state.first for state in states]
    for feature in _features(reading, first, end):
        near = bisect_left(starts, feature.first - _WIDEST_SPAN)
        for state in states[near : bisect_right(starts, feature.last + _WIDEST_REACH)]:
            claim = _claim(reading, feature, state)
            if claim and (claim.feature not in chosen or _stronger(claim, chosen[claim.feature])):
                chosen[claim.feature] = claim
    _leave_to_ratchet(chosen)
    found = {claim.feature: claim.position for claim in chosen.values()}
    taken = {place for claim in chosen.values() for place in range(claim.state.first, claim.state.last)}
    for phrase in reading.all("position", first=first, last=end):
        own = taken.isdisjoint(range(phrase.first, phrase.last)) or not phrase.value.startswith("jaw")
        if own and not _is_denied(reading, phrase) and phrase.first not in unmet:
            name, position = phrase.value.split(":")
            found.setdefault(name, position)
            # On a nozzle a port is connected, whatever a valve or jaw beside it is.
            found |= {name: position} if position == "connected" else {}
    told = {claim.state for claim in chosen.values()}
    for state in states:
        for name, position in _of_pronoun(reading, state).items():
            found.setdefault(name, position)
        if state.value in _WHOLE and state not in told and _stands_alone(reading, state):
            found.setdefault("part", _WHOLE[state.value])
    return found


def _of_pronoun(reading: Reading, state: Lexeme) -> dict[str, str]:
    """'Work the jaw 15 times and then leave it open': what 'it' is was named before."""
    if state.first == 0 or reading.tokens[state.first - 1].norm not in _PRONOUNS:
        return {}
    named = _features(reading, 0, state.first)
    kinds = [x.value for x in sorted(named, key=lambda x: x.first) if x.value in _MEANINGS]
    meant = _MEANINGS[kinds[-1]].get(state.value) if kinds else None
    return {_FEATURE_NAMES.get(kinds[-1], kinds[-1]): meant} if meant else {}


def _leave_to_ratchet(chosen: dict[str, _Claim]) -> None:
    """'Needle holder: ratchet at the first step' locks the ratchet, and says nothing of the jaw."""
    jaw, ratchet = chosen.get("jaw"), chosen.get("ratchet")
    if jaw and ratchet and jaw.state == ratchet.state and jaw.state.value == "engaged":
        del chosen["jaw"]


def _features(reading: Reading, first: int, last: int) -> list[Lexeme]:
    """Features, and nouns that mean one where a position is told: 'open the scissors', 'stopcock shut'."""
    features = reading.all("feature", first=first, last=last)
    covered = {place for x in features if x.value in _MEANINGS for place in range(x.first, x.last)}
    nouns = reading.all("position_noun", first=first, last=last)
    return [*features, *(x for x in nouns if covered.isdisjoint(range(x.first, x.last)))]


def _only_if(reading: Reading, first: int, last: int) -> set[int]:
    """Tokens of conditions and ends: 'until the jaw is open', 'if the port is capped' ask for no position."""
    places: set[int] = set()
    for category in ("condition", "until", "criterion"):
        for lexeme in reading.all(category, first=first, last=last):
            place = lexeme.first
            while place < last and reading.tokens[place].norm not in {",", ";", "."}:
                places.add(place)
                place += 1
    return places


def _states(reading: Reading, first: int, last: int) -> list[Lexeme]:
    """State words, without pairs of opposites: 'open and close' is a movement, no position."""
    states = reading.all("state", first=first, last=last)
    moving: set[int] = set()
    for one, other in itertools.pairwise(states):
        between = range(one.last, other.first)
        paired = bool(between) and all(reading.at(place, "pair_link") for place in between)
        if {one.value, other.value} in _OPPOSITES and paired:
            moving |= {one.first, other.first}
    return [state for state in states if state.first not in moving]


def _is_denied(reading: Reading, state: Lexeme) -> bool:
    """'without the cap', 'must not be closed', 'do not pack with the ratchet locked'."""
    near = range(max(0, state.first - _REACH_OF_A_DENIAL), state.first)
    if any(reading.at(place, "negation") for place in near):
        return True
    start = max((x for x in range(state.first) if reading.tokens[x].norm in {",", ";", "."}), default=0)
    return bool(reading.all("prohibition", first=start, last=state.first)) and not reading.has("omission")


def _claim(reading: Reading, feature: Lexeme, state: Lexeme) -> _Claim | None:
    meanings = _MEANINGS.get(feature.value, {})
    if state.value not in meanings or (state.first < feature.last and feature.first < state.last):
        return None
    if state.value == "apart" and reading.at(feature.first, "device_noun"):
        return None
    behind = state.first >= feature.last
    if _is_of_another(reading, feature, state):
        return None
    between = (feature.last, state.first) if behind else (state.last, feature.first)
    distance = between[1] - between[0]
    if distance > _WIDEST_REACH:
        return None
    posture = reading.at(state.last - 1, "posture") is not None
    linked = (behind and posture) or _linked(reading, between, behind=behind)
    if not linked or (behind and _describes_another(reading, state)):
        return None
    name = _FEATURE_NAMES.get(feature.value, feature.value)
    return _Claim(name, meanings[state.value], distance, behind, state)


def _is_a_closure(reading: Reading, state: Lexeme) -> bool:
    """'port cap' is a thing that may lie anywhere; 'port cap on' tells of the port."""
    closure = reading.at(state.first, "closure")
    return closure is not None and closure.last == state.last


def _describes_another(reading: Reading, state: Lexeme) -> bool:
    """'the scissors in a closed box': the box is closed."""
    if not state.first or state.last >= len(reading.tokens):
        return False
    behind = reading.tokens[state.last]
    led = reading.at(state.first - 1, "article") or reading.at(state.first - 1, "determiner")
    known = any(reading.at(state.last, kind) for kind in ("state_link", "state", "feature", "determiner"))
    return bool(led) and behind.kind is TokenKind.word and not known


def _linked(reading: Reading, between: tuple[int, int], *, behind: bool) -> bool:
    """Whether only linking words, part letters and other features stand between feature and state."""
    place = between[0]
    while place < between[1]:
        token = reading.tokens[place]
        feature = reading.at(place, "feature")
        if feature and feature.last <= between[1]:
            place = feature.last
            continue
        link = reading.at(place, "state_link")
        letter = token.kind is TokenKind.label or (len(token.text) == 1 and token.text.isupper())
        letter = letter or (behind and reading.at(place, "part_noun") is not None)
        state = reading.at(place, "state") if behind else None
        modifier = not behind and token.kind is TokenKind.word and between[1] - place <= _MOST_MODIFIERS
        modifier = modifier and not (reading.at(place, "action") and reading.at(place - 1, "adverb"))
        led = modifier and any(reading.at(x, "determiner") for x in range(between[0], place))
        led = led or (behind and place >= between[1] - _MOST_MODIFIERS and _says_how(reading, place))
        if not (link or letter or state or led or token.norm in {":", "=", "("}):
            return False
        place = state.last if state and not link else place + 1
    return True


def _is_of_another(reading: Reading, feature: Lexeme, state: Lexeme) -> bool:
    """Whether a word names a thing, or the state of a feature that stands nearer and begins anew."""
    if _is_listed(reading, state):
        return True
    if state.first < feature.last:
        return False
    return (state.first == feature.last and _is_a_closure(reading, state)) or _begins_anew(
        reading, feature, state
    )


def _begins_anew(reading: Reading, feature: Lexeme, state: Lexeme) -> bool:
    """'Flush the port with the jaw open': what stands behind 'with' has its state for itself."""
    for other in reading.all("feature", first=feature.last, last=state.first):
        for place in range(other.first - 1, feature.last - 1, -1):
            if reading.tokens[place].norm in _LEADS_IN:
                return True
            if not (reading.at(place, "determiner") or reading.at(place, "article")):
                break
    return False


def _is_listed(reading: Reading, state: Lexeme) -> bool:
    """'Brush jaw, latch, ratchet', 'port and cap': beside things such a word is a thing; 'open' is none."""
    before = reading.tokens[state.first - 1].norm if state.first else ""
    behind = reading.tokens[state.last].norm if state.last < len(reading.tokens) else ""
    is_bare = state.last - state.first == 1 and not reading.tokens[state.first].norm.endswith("ed")
    if state.value == "capped":
        return is_bare and before in _LISTS and behind not in _ASKED_FOR
    return state.value == "engaged" and is_bare and before == "," == behind


def _says_how(reading: Reading, place: int) -> bool:
    """'propped open', 'left slightly open', 'stand apart': how a feature comes to its state, or stays so."""
    word = reading.tokens[place].norm
    held = reading.grammar.language == "en" and word.endswith(("ed", "ly"))
    return held or reading.at(place, "holds") is not None or reading.at(place, "adverb") is not None


def _stronger(new: _Claim, old: _Claim) -> bool:
    """'Lock the ratchet in the released position': what stands behind says the position; then the nearer."""
    if new.behind != old.behind and new.position != old.position:
        return new.behind and new.distance <= _WIDEST_REACH
    return new.distance < old.distance


def _stands_alone(reading: Reading, state: Lexeme) -> bool:
    """'assembled, jaw open', 'in the disassembled state', 'parts separate'."""
    before = reading.tokens[state.first - 1].norm if state.first else ""
    behind = reading.tokens[state.last].norm if state.last < len(reading.tokens) else ""
    verb = state.first == 0 and behind not in {"", ",", ".", ";"} and not reading.grammar.verb_last
    verb = verb and reading.at(state.first, "action") is not None
    return not verb and before not in {"to", "be", "and", "then", "from"}
