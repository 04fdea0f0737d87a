"""In which position a sentence wants each moving part: "with the jaw open", "release the ratchet"."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.tokens import TokenKind

_WIDEST_REACH = 9

#: Which state words fit which feature, and what they mean there.
_MEANINGS: dict[str, dict[str, str]] = {
    "jaw": {"open": "open", "closed": "closed"},
    "ratchet": {
        "engaged": "engaged",
        "closed": "engaged",
        "released": "released",
        "open": "released",
    },
    "sliding-sleeve": {"forward": "forward", "back": "back"},
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
_FEATURE_NAMES = {"sliding-sleeve": "sleeve"}
#: State words that speak of the whole device.
_WHOLE = {"assembled": "assembled", "apart": "apart"}


@dataclass(frozen=True, slots=True)
class _Claim:
    feature: str
    position: str
    distance: int
    behind: bool


def positions_in(reading: Reading, first: int = 0, last: int | None = None) -> dict[str, str]:
    """The positions that a stretch of a sentence asks for.

    >>> from sinkside.draft.lexicon import read_words
    >>> positions_in(read_words("Lock the ratchet in the released position and open the jaws."))
    {'ratchet': 'released', 'jaw': 'open'}
    >>> positions_in(read_words("Open and close the jaw 10 times."))
    {}
    """
    end = len(reading.tokens) if last is None else last
    states = [x for x in _states(reading, first, end) if not _is_denied(reading, x)]
    chosen: dict[str, _Claim] = {}
    for feature in reading.all("feature", first=first, last=end):
        for state in states:
            claim = _claim(reading, feature, state)
            if claim and (claim.feature not in chosen or _stronger(claim, chosen[claim.feature])):
                chosen[claim.feature] = claim
    found = {claim.feature: claim.position for claim in chosen.values()}
    for phrase in reading.all("position", first=first, last=end):
        name, position = phrase.value.split(":")
        found.setdefault(name, position)
    for state in states:
        if state.value in _WHOLE and _stands_alone(reading, state):
            found.setdefault("part", _WHOLE[state.value])
    return found


def _states(reading: Reading, first: int, last: int) -> list[Lexeme]:
    """State words, without pairs of opposites: 'open and close' is a movement, no position."""
    states = reading.all("state", first=first, last=last)
    moving: set[int] = set()
    for one, other in itertools.pairwise(states):
        between = [token.norm for token in reading.tokens[one.last : other.first]]
        if {one.value, other.value} in _OPPOSITES and between in (
            ["and"],
            ["/"],
            ["or"],
            ["-"],
            ["and", "then"],
        ):
            moving |= {one.first, other.first}
    return [state for state in states if state.first not in moving]


def _is_denied(reading: Reading, state: Lexeme) -> bool:
    before = [token.norm for token in reading.tokens[max(0, state.first - 3) : state.first]]
    return any(word in {"not", "never", "no", "don't", "cannot", "without"} for word in before)


def _claim(reading: Reading, feature: Lexeme, state: Lexeme) -> _Claim | None:
    meanings = _MEANINGS.get(feature.value, {})
    if state.value not in meanings or (state.first < feature.last and feature.first < state.last):
        return None
    behind = state.first >= feature.last
    between = (feature.last, state.first) if behind else (state.last, feature.first)
    distance = between[1] - between[0]
    if distance > _WIDEST_REACH or not _linked(reading, between, behind=behind):
        return None
    name = _FEATURE_NAMES.get(feature.value, feature.value)
    return _Claim(name, meanings[state.value], distance, behind)


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
        state = reading.at(place, "state") if behind else None
        if not (link or letter or state):
            return False
        place = state.last if state and not link else place + 1
    return True


def _stronger(new: _Claim, old: _Claim) -> bool:
    """'Lock the ratchet in the released position': what stands behind says the position; then the nearer."""
    if new.behind != old.behind and new.position != old.position:
        return new.behind and new.distance <= _WIDEST_REACH
    return new.distance < old.distance


def _stands_alone(reading: Reading, state: Lexeme) -> bool:
    """'assembled, jaw open', 'in the disassembled state', 'parts separate'."""
    before = reading.tokens[state.first - 1].norm if state.first else ""
    behind = reading.tokens[state.last].norm if state.last < len(reading.tokens) else ""
    verb = state.first == 0 and behind not in {"", ",", ".", ";"}
    return not verb and before not in {"to", "be", "and", "then", "from"}
