"""What must be apart, together, up or down for the work, and what the work leaves it in."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, Stage, Step
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import clauses, found, negated, says, singular, without
from sinkside.review.rule import Theme, Trip, rule

_PACKS = frozenset({Stage.packaging, Stage.sterilization})
_TESTS = frozenset({Stage.inspection, Stage.maintenance})
_PUSHES_LIQUID = frozenset({Action.flush, Action.fill, Action.connect, Action.rinse})

#: "With the elevator DOWN nothing can flow through it."
_BLOCKED = re.compile(
    r"\bwith (?:the|its) (?P<thing>[a-z]+) (?P<state>[a-z]+),? (?:nothing|no [a-z]+|neither [a-z ]+) "
    r"(?:can |may |will )?(?:flows?|pass|passes|gets?|runs?|leaves?|reach|reaches|enters?)\b",
    re.IGNORECASE,
)

#: "The channel is open only while the elevator is UP."
_NEEDED = re.compile(
    r"\bopen\b[^.;]{0,60}\bonly (?:while|when|if|with) (?:the|its) (?P<thing>[a-z]+) "
    r"(?:is )?(?P<state>[a-z]+)",
    re.IGNORECASE,
)
#: "Sleeve forward: hinge covered", "with the sleeve forward the hinge is hidden".
_COVERED = re.compile(
    r"\b(?P<thing>[a-z]+) (?P<state>[a-z]+)\s*[:=,]?\s*(?:the |its )?(?P<what>[a-z]+) "
    r"(?:is |are |lies |stays )?(?:covered|hidden|shielded|concealed|out of reach)\b",
    re.IGNORECASE,
)
#: What lies on something when it is down.
_LIFTS = frozenset({"lever", "elevator", "flap"})
_OPPOSITES = {
    "up": "down",
    "open": "closed",
    "forward": "back",
    "raised": "lowered",
    "in": "out",
    "pressed": "released",
    "left": "right",
    "unlocked": "locked",
    "on": "off",
}


@dataclass(frozen=True)
class _Blocking:
    """A state of a thing in which nothing flows, and the words that say so."""

    thing: str
    state: str
    passage: Passage
    covers: str = ""

    def is_set_in(self, said: str) -> bool:
        """Whether words put the thing into the state."""
        near = rf"\b{self.thing}\b(?:\W+\w+){{0,3}}?\W+{self.state}\b"
        return re.search(near, said, re.IGNORECASE) is not None


@rule(
    Theme.positions,
    Level.concern,
    title="What must be apart for the sterilizer goes into it together.",
    message="The text wants it apart for sterilization, and sterilizes it together.",
    remedy="Ask the maker whether the device is sterilized assembled or taken apart.",
)
def together_against_own_words(case: Case) -> Iterator[Trip]:
    """Words that want parts apart for steam against words, or an assembly, that leave them together."""
    stated = [p for p in case.sentences if says(p.text, "apart-words") or says(p.text, "together-words")]
    # "Put together, cut wet film, then separate again" joins for the test.
    sentences = [p for p in stated if not _is_for_a_test(case, p)]
    apart = [p for p in sentences if _wants(p, "apart-words", "together-words", by_words=True)]
    together = [
        p for p in sentences if _wants(p, "together-words", "apart-words", by_words=not _is_packing(case, p))
    ]
    for one in apart:
        for other in together:
            if _share_a_thing(one, other):
                yield Trip(other.place, {}, (one.place,))
                return
    packed_apart = [
        p
        for p in sentences
        if _is_packing(case, p) and _wants(p, "apart-words", "together-words", by_words=False)
    ]
    demanded = [p for p in together if says(p.text, "for-steam") and p not in packed_apart]
    for one, other in itertools.product(packed_apart, demanded):
        if not apart and _share_a_thing(one, other):
            yield Trip(other.place, {}, (one.place,))
            return
    yield from _left_together(case, apart)


@rule(
    Theme.positions,
    Level.concern,
    title="Something is cleaned in a state in which, by the text itself, it is not reached.",
    message="With the {thing} {state} nothing gets there by the text itself, and it is cleaned so.",
    remedy="Ask the maker in which state the {thing} is for this work.",
)
def flushed_in_blocking_state(case: Case) -> Iterator[Trip]:
    """States that the text itself says to block a way, against the flushes beside which they are set."""
    for blocking in _blocking(case):
        for step in _spoiled_by(case, blocking):
            setting = [one for one in case.beside(step) if blocking.is_set_in(words(one))]
            # "With the elevator UP, 30 ml into the EC" is told in the very words of the flush.
            before = [one for one in setting if case.index(one) <= case.index(step)]
            if before and before[0].origin.text != blocking.passage.text:
                evidence: Evidence = {"thing": blocking.thing, "state": blocking.state}
                others = (case.place(step), blocking.passage.place)
                yield Trip(case.place(before[-1]), evidence, others)


@rule(
    Theme.positions,
    Level.concern,
    title="What moves is cleaned in one position only, in which it covers something.",
    message="The {thing} is cleaned in one position only; what it covers there is not reached.",
    remedy="Ask the maker in which positions the {thing} is brushed.",
)
def cleaned_in_one_position(case: Case) -> Iterator[Trip]:
    """Brushing of what moves in one position that hides something, where no step has the other position."""
    brushed = [s for s in case.doing(Action.brush, Action.wipe) if s.stage is Stage.cleaning]
    for step in brushed:
        said = words(step)
        things = frozenset(singular(one) for one in found(said, "thing-that-moves"))
        is_one = says(said, "in-one-position") and says(said, "covers-something")
        is_one = is_one or (bool(things & _LIFTS) and says(said, "covers-something"))
        if not things or not is_one or says(said, "both-positions") or _uncovers(said):
            continue
        others = [s for s in case.steps if s.stage is Stage.cleaning and s.origin != step.origin]
        is_turned = any(_uncovers(words(s)) and _names_any(s, things) for s in others)
        if not is_turned:
            yield Trip(case.place(step), {"thing": min(things)})


def _uncovers(said: str) -> bool:
    """Whether words have the other position, or move the thing; "without moving it" does not."""
    return says(without(said, "in-one-position"), "uncovers-something")


def _names_any(step: Step, things: frozenset[str]) -> bool:
    return bool(things & {singular(one) for one in found(words(step), "thing-that-moves")})


def _spoiled_by(case: Case, blocking: _Blocking) -> tuple[Step, ...]:
    """The work that a state can spoil: what pushes liquid, or the cleaning of what the state covers."""
    if not blocking.covers:
        return case.doing(*_PUSHES_LIQUID)
    covered = re.compile(rf"\b{blocking.covers}\b", re.IGNORECASE)
    cleaning = case.doing(Action.brush, Action.flush, Action.rinse, Action.lubricate)
    return tuple(step for step in cleaning if covered.search(words(step)))


def _is_for_a_test(case: Case, passage: Passage) -> bool:
    tries = case.stage_of(passage) in _TESTS
    return tries and (says(passage.text, "once-more") or says(passage.text, "for-the-test"))


def _is_packing(case: Case, passage: Passage) -> bool:
    return case.stage_of(passage) in _PACKS or says(passage.text, "wrapping")


def _wants(passage: Passage, state: str, other: str, *, by_words: bool) -> bool:
    """Whether a sentence wants a state for the sterilizer, and does not leave a choice of states."""
    for clause in clauses(passage.text):
        # "Never pack it in one piece" wants it apart.
        is_other_denied = says(clause, other) and negated(clause, other)
        is_meant = (says(clause, state) and not negated(clause, state)) or is_other_denied
        is_choice = says(clause, "choice-of-states") or (says(clause, other) and not is_other_denied)
        is_choice = is_choice or says(clause, "special-case")
        is_where = says(passage.text, "for-steam") or (is_other_denied and says(clause, "wrapping"))
        if is_meant and not is_choice and (not by_words or is_where):
            return True
    return False


def _share_a_thing(one: Passage, other: Passage) -> bool:
    mine, others = _things(one), _things(other)
    if says(one.text, "only-cover") and not mine & others:
        return False
    return one.text != other.text and (not mine or not others or bool(mine & others))


def _things(passage: Passage) -> frozenset[str]:
    """The components that words name; a tray or a pouch that holds them is none of the device."""
    named = found(passage.text, "component")
    return frozenset(singular(one) for one in named if not says(one, "put-into"))


def _left_together(case: Case, apart: list[Passage]) -> Iterator[Trip]:
    """An assembly in front of the pack that nothing undoes, where words demand parts apart in steam."""
    demands = [p for p in apart if says(p.text, "demanding") or says(p.text, "sterilized-so")]
    packs = [step for step in case.steps if step.stage is Stage.packaging]
    at_work = frozenset(Stage) - {Stage.packaging, Stage.storage}
    joined = [step for step in case.doing(Action.put_together) if step.stage in at_work]
    if not demands or not packs or not joined or case.index(joined[-1]) > case.index(packs[-1]):
        return
    behind = case.steps[case.index(joined[-1]) + 1 :]
    told = {demand.text for demand in demands}
    undone = [step for step in behind if step.stage is not Stage.storage and words(step) not in told]
    if not any(_comes_apart(step) for step in undone):
        others = (demands[0].place, case.place(joined[-1]))
        yield Trip(case.place(packs[0]), {}, others)


def _comes_apart(step: Step) -> bool:
    return step.action is Action.take_apart or says(words(step), "apart-words")


def _blocking(case: Case) -> Iterator[_Blocking]:
    """Each state in which, by the text's own words, nothing flows."""
    seen: set[tuple[str, str]] = set()
    for passage in case.sentences:
        for match in _BLOCKED.finditer(passage.text):
            key = (match["thing"].lower(), match["state"].lower())
            if key not in seen:
                seen.add(key)
                yield _Blocking(*key, passage)
        for match in _COVERED.finditer(passage.text) if passage.step is None else ():
            yield _Blocking(match["thing"].lower(), match["state"].lower(), passage, match["what"].lower())
        for match in _NEEDED.finditer(passage.text):
            opposite = _OPPOSITES.get(match["state"].lower())
            key = (match["thing"].lower(), opposite or "")
            if opposite and key not in seen:
                seen.add(key)
                yield _Blocking(*key, passage)


RULES = (together_against_own_words, flushed_in_blocking_state, cleaned_in_one_position)
