"""Which words of a sentence are the things to do, and which stretch of it belongs to each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.positions import positions_in
from sinkside.draft.tokens import TokenKind
from sinkside.draft.word_order import asks_by_order, first_of_stretch
from sinkside.instruction import Action

_STARTS = {",", ";", ":", ")", "-", ".", "/"}
_VOWELS = set("aeiouy")
#: 'Packs are stored', 'rinses off': nobody is asked so in English.
_NO_IMPERATIVE = re.compile(r"[^su]s$")
_PART_LETTER = re.compile(r"[A-Z]\d?")
#: "The key gets a drop of oil": what is done to it.
_GETS = {"get", "gets", "receive", "receives"}
_MODAL_REACH = 5
_LEAST_WORDS = 3
_VERBS_LOOKED_BACK = 8
_LONGEST_SUBJECT = 5
#: "Turn the screw LK out": so many words may stand between.
_REACH_OF_OUT = 5


@dataclass(frozen=True, slots=True)
class Clause:
    """One thing to do: the action, from which token to which it reaches, and how it was recognised.

    `outright` says that a verb asks for it, and that it is not only named.
    """

    action: Action
    verb: int
    first: int
    last: int
    pattern: str
    outright: bool = True


def clauses_of(reading: Reading) -> list[Clause]:
    """The things that a sentence asks for, in order; empty if it asks for none."""
    aside = asides(reading)
    verbs = [x for x in action_words(reading) if x.first not in aside]
    chosen: list[tuple[Lexeme, str]] = []
    for verb in verbs:
        pattern = _asks(reading, verb, [asked for asked, _ in chosen[-_VERBS_LOOKED_BACK:]])
        if not pattern and not chosen and _goes_on_asking(reading, verb):
            pattern = "imperative"
        if pattern:
            chosen.append((verb, pattern))
    if not chosen:
        chosen = [(x, "after an opening phrase") for x in _behind_opener(reading, verbs)]
    if not chosen:
        chosen = [(x, "a noun that is done") for x in _done(reading, verbs)]
    return _with_states_joined(reading, _stretches(reading, _taken_out(reading, chosen)))


def _goes_on_asking(reading: Reading, verb: Lexeme) -> bool:
    """'Spool the cable on a reel and rinse it': behind 'and', the first word asks though none knows it."""
    behind_and = verb.first > _LEAST_WORDS and reading.tokens[verb.first - 1].norm == "and"
    has_object = verb.last < len(reading.tokens) and any(
        reading.at(verb.last, kind) for kind in ("determiner", "pronoun")
    )
    unknown = reading.at(0, "action") is None and looks_imperative(reading)
    return behind_and and has_object and unknown and _is_base(reading, verb)


def _taken_out(reading: Reading, chosen: list[tuple[Lexeme, str]]) -> list[tuple[Lexeme, str]]:
    """'Turn the screw to the left and take it out' unscrews: it takes apart, and moves nothing to and fro."""
    ends = [*(verb.first for verb, _ in chosen[1:]), len(reading.tokens)][: len(chosen)]
    ways: list[tuple[Lexeme, str]] = []
    for place, ((verb, pattern), end) in enumerate(zip(chosen, ends, strict=True)):
        off = place + 1 < len(chosen) and chosen[place + 1][0].value == Action.take_apart
        # Where verbs stand last, what is said of one stands before it.
        begun = chosen[place - 1][0].last if place else 0
        loosened = off and bool(reading.all("loosening", first=begun, last=end))
        if verb.value == Action.actuate and reading.at(verb.first, "turning"):
            apart = loosened or _goes_out(reading, verb.last, end)
            ways.append((replace(verb, value=Action.take_apart.value) if apart else verb, pattern))
        else:
            ways.append((verb, pattern))
    return ways


def _goes_out(reading: Reading, first: int, end: int) -> bool:
    """'Turn the screw LK out.': what is turned comes out; 'out of' and 'so that water runs out' say more."""
    aside = asides(reading)
    for place in range(first, min(end, first + _REACH_OF_OUT)):
        token = reading.tokens[place]
        if token.kind is TokenKind.mark or reading.at(place, "pronoun") or place in aside:
            return False
        if token.norm == "out":
            return place + 1 >= len(reading.tokens) or reading.tokens[place + 1].kind is TokenKind.mark
    return False


def _with_states_joined(reading: Reading, clauses: list[Clause]) -> list[Clause]:
    """'… and keep it below the surface' names no position: it goes on with what is asked before it."""
    joined: list[Clause] = []
    for clause in clauses:
        states = clause.action is Action.set_position and joined
        if states and not positions_in(reading, clause.first, clause.last):
            joined[-1] = replace(joined[-1], last=clause.last)
        else:
            joined.append(clause)
    return joined


def noun_action(reading: Reading, first: int = 0, last: int | None = None) -> Action | None:
    """The action that words without a verb name: 'Gravity displacement: …', 'thermal rinse'."""
    aside = asides(reading)
    end = len(reading.tokens) if last is None else last
    named: list[Action] = []
    for lexeme in action_words(reading):
        beside = lexeme.first in aside or _behind_aside_word(reading, lexeme)
        if first <= lexeme.first < end and not beside and lexeme.value != Action.set_position:
            named.append(Action(lexeme.value))
    # 'Report on the wash' is about the wash; 'Count: 8 clamps' names nothing else.
    return next((action for action in named if action is not Action.other), next(iter(named), None))


def _behind_aside_word(reading: Reading, lexeme: Lexeme) -> bool:
    """'after the rinse', 'for sterilization': a time or a purpose."""
    places = range(max(0, lexeme.first - 2), lexeme.first)
    return any(reading.at(place, "aside_word") and not _behind_amount(reading, place) for place in places)


def _behind_amount(reading: Reading, place: int) -> bool:
    """'ten minutes of vacuum drying' is that drying, and no part of something else."""
    unit = reading.at(place - 1, "unit") if place else None
    return unit is not None and unit.value.startswith("time:") and reading.tokens[place].norm == "of"


def looks_imperative(reading: Reading) -> bool:
    """A plain word at the start before an article or preposition: 'Cover with a towel'."""
    if len(reading.tokens) < _LEAST_WORDS or reading.tokens[0].kind is not TokenKind.word:
        return False
    first = reading.tokens[0].norm
    odd = any(
        reading.at(0, category) for category in ("determiner", "opener", "pronoun", "feature", "substance")
    )
    plain = not odd and not first.endswith(("s", "ing", "ed"))
    # "Swing B upward": the letter of a part is as much an object as "the sleeve" is.
    lettered = (
        _PART_LETTER.fullmatch(reading.tokens[1].text) is not None and reading.tokens[0].text[:1].isupper()
    )
    return plain and (reading.at(1, "determiner") is not None or lettered)


def action_words(reading: Reading) -> list[Lexeme]:
    """Words for actions, but for those inside the name of a thing: 'the wrapped trays', 'dry heat'."""
    things = {place for x in reading.all("thing_name") for place in range(x.first, x.last)}
    return [x for x in reading.all("action") if x.first not in things and not _names_a_thing(reading, x)]


def _names_a_thing(reading: Reading, action: Lexeme) -> bool:
    """'a flush adapter', '1 rinse cap', 'Wrap intact?': a word for an action that is a thing here."""
    if reading.at(action.first, "packed_goods") and reading.at(action.last, "sound"):
        return True
    thing = reading.at(action.last, "tool") or reading.at(action.last, "part_noun")
    if thing is None or action.first == 0 or action.last > action.first + 1:
        return False
    led = reading.at(action.first - 1, "article") or reading.at(action.first - 1, "determiner")
    return bool(led) or reading.tokens[action.first - 1].value is not None


def asides(reading: Reading) -> set[int]:
    """Tokens in purposes, conditions and 'until' clauses: what they name is not asked for here."""
    places: set[int] = set()
    for category in ("purpose", "condition", "until"):
        for lexeme in reading.all(category):
            # "If soil is seen: back to 3": what is to be done then stands behind the colon.
            ends = {",", ";", ".", ":"} if category == "condition" else {",", ";", "."}
            place = lexeme.first
            while place < len(reading.tokens) and reading.tokens[place].norm not in ends:
                places.add(place)
                place += 1
    return places


def _asks(reading: Reading, verb: Lexeme, asked: list[Lexeme]) -> str:
    """How a verb asks: as an imperative, or as 'must be rinsed'; empty if it does not.

    `asked` are the verbs before it that do: 'rinse and dry' asks twice, 'the wash and rinse' never.
    """
    token = reading.tokens[verb.first]
    if token.kind is not TokenKind.word or _closes_a_list(reading, verb):
        return ""
    before = reading.tokens[verb.first - 1].norm if verb.first else ""
    if _is_base(reading, verb) and _at_start(reading, verb.first, coordinated=bool(asked)):
        return "" if _is_subject(reading, verb) else "imperative"
    if before == "to" and _is_base(reading, verb) and _modal_before(reading, verb.first - 1):
        return "recommended"
    plain = _modal_before(reading, verb.first) and not reading.at(verb.first - 1, "determiner")
    plain = plain or (token.norm in _GETS and verb.first > 0)
    if plain or any(reading.at(place, "modal") for place in range(verb.first, verb.last - 1)):
        return "obligation"
    if before == "and" and any(_modal_before(reading, x.first) for x in asked):
        return "obligation"
    return asks_by_order(reading, verb)


def _closes_a_list(reading: Reading, verb: Lexeme) -> bool:
    """'for shaft and insert only', 'the cap and seal:': a thing beside another one, and no order."""
    if not verb.first or verb.last > verb.first + 1 or not reading.at(verb.first, "part_noun"):
        return False
    listed = reading.tokens[verb.first - 1].norm in {"and", "or", "&", ","}
    thing = verb.first > 1 and (
        reading.at(verb.first - 2, "part_noun") or reading.at(verb.first - 2, "feature")
    )
    behind = reading.tokens[verb.last] if verb.last < len(reading.tokens) else None
    closed = behind is None or behind.kind is TokenKind.mark or reading.at(verb.last, "adverb") is not None
    return bool(listed and thing and closed)


def _is_subject(reading: Reading, verb: Lexeme) -> bool:
    """'Slide and shaft are put into the basket', 'Pouch keeps 6 months': a noun, and a verb follows."""
    if verb.first:
        return False
    if verb.last == 1 and (reading.at(1, "lasts") is not None or _heads_a_list(reading)):
        return True
    if reading.at(1, "adverb") is None:
        return False
    for place in range(2, min(1 + _LONGEST_SUBJECT, len(reading.tokens))):
        if reading.at(place, "modal"):
            return True
        if reading.at(place, "determiner") or reading.tokens[place].kind is TokenKind.mark:
            return False
    return False


def _heads_a_list(reading: Reading) -> bool:
    """'Tip and key: 5 minutes …': a thing with others up to a colon."""
    thing = reading.at(0, "part_noun") or reading.at(0, "feature")
    colon = next((x for x, token in enumerate(reading.tokens) if token.norm == ":"), None)
    return thing is not None and colon is not None and 0 < colon <= _LONGEST_SUBJECT


def _is_base(reading: Reading, verb: Lexeme) -> bool:
    """Whether the verb stands in its plain form, as imperatives do."""
    text = reading.tokens[verb.first].norm
    if reading.grammar.language == "en" and _NO_IMPERATIVE.search(text):
        return False
    ending = next((ending for ending in ("ing", "ed", "ion", "ung") if text.endswith(ending)), None)
    # "bring" has no vowel before its ending: it is no form of another verb.
    return ending is None or not any(sign in _VOWELS for sign in text.removesuffix(ending))


def _at_start(reading: Reading, place: int, *, coordinated: bool) -> bool:
    """At the start of a sentence or clause, adverbs aside; behind 'and' only if a verb before asks too."""
    while place > 0:
        before = reading.tokens[place - 1]
        if before.norm in _STARTS:
            return True
        if before.norm in reading.grammar.object_pronouns and _is_infinitive(reading, place):
            place -= 1
            continue
        if not (reading.at(place - 1, "adverb") or before.norm.endswith("ly")) or before.norm == "to":
            return False
        if before.norm in {"and", "or", "but"}:
            behind_comma = place > 1 and reading.tokens[place - 2].norm == ","
            return coordinated or behind_comma or place == 1
        place -= 1
    return True


def _is_infinitive(reading: Reading, place: int) -> bool:
    """'la rincer' asks, 'le rinçage' names."""
    return reading.tokens[place].norm.endswith(("er", "ir", "re"))


def _modal_before(reading: Reading, place: int) -> bool:
    for start in range(max(0, place - _MODAL_REACH), place):
        modal = reading.at(start, "modal")
        if modal is None or modal.last > place:
            continue
        between = range(modal.last, place)
        if all(
            reading.at(x, "adverb") or reading.at(x, "modal") or reading.tokens[x].norm.endswith("ly")
            for x in between
        ):
            return True
    return False


def _done(reading: Reading, verbs: list[Lexeme]) -> list[Lexeme]:
    """'Packaging is done in pouches': the noun before the words that say it is done."""
    for done in reading.all("is_done"):
        before = [x for x in verbs if 0 <= done.first - x.last <= _MODAL_REACH]
        plain = [x for x in before if not _behind_aside_word(reading, x)]
        if plain:
            return plain[:1]
    return []


def _behind_preposition(reading: Reading, lexeme: Lexeme) -> bool:
    return lexeme.first > 0 and reading.at(lexeme.first - 1, "determiner") is not None


def _behind_opener(reading: Reading, verbs: list[Lexeme]) -> list[Lexeme]:
    """'Before cleaning lubricate all joints': the first plain verb behind an opening phrase."""
    if reading.at(0, "opener") is None:
        return []
    for verb in verbs:
        if verb.first and _is_base(reading, verb) and not _behind_preposition(reading, verb):
            return [verb, *_coordinated(reading, verb, verbs)]
    return []


def _coordinated(reading: Reading, first: Lexeme, verbs: list[Lexeme]) -> Iterator[Lexeme]:
    """'… take the cap off and discard it': the verbs behind the first that ask with it."""
    for verb in verbs:
        if verb.first >= first.last and _asks(reading, verb, [first]):
            yield verb


def _stretches(reading: Reading, chosen: list[tuple[Lexeme, str]]) -> list[Clause]:
    """Each verb with the words up to the next; the same action twice in a row is one."""
    clauses: list[Clause] = []
    ended = 0
    for verb, pattern in chosen:
        action = Action(verb.value)
        begun, ended = ended, verb.last
        # What is turned out begins anew: "pull out the rod, turn the ring to the left and take it off".
        turned = action is Action.take_apart and reading.at(verb.first, "action") != verb
        if clauses and clauses[-1].action is action and not turned:
            continue
        first = first_of_stretch(pattern, begun, _back_to_start(reading, verb.first)) if clauses else 0
        if clauses:
            before = clauses.pop()
            clauses.append(Clause(before.action, before.verb, before.first, first, before.pattern))
        clauses.append(Clause(action, verb.first, first, len(reading.tokens), pattern))
    return clauses


def _back_to_start(reading: Reading, place: int) -> int:
    while place > 0 and (reading.at(place - 1, "adverb") or reading.tokens[place - 1].norm.endswith("ly")):
        place -= 1
    return place
