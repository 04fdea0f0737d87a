"""What a text demands of the work in one place, and does not do in another: connecting, wiping only."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, Stage
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage
from sinkside.review.lexicon import clauses, found, negated, says, singular, subjects
from sinkside.review.own_limits import by_hand_only
from sinkside.review.rule import Theme, Trip, book, rule

_AT_THE_MACHINE = frozenset({Stage.cleaning, Stage.disinfection})
_INTO_THE_MACHINE = frozenset({Action.load, Action.wash, Action.connect})
_LETTER = re.compile(r"(?<![\w°.-])([A-Z])(?![\w.-]*\w)")
_IT = re.compile(r"\W*(?:it|they|this|these)\b", re.IGNORECASE)
_NEAR = 3
_EVERYDAY = frozenset({"device", "instrument", "part", "parts", "surface", "outside", "cloth", "water"})


@rule(
    Theme.reach,
    Level.concern,
    title="What the text itself wants connected in the machine goes into it unconnected.",
    message="The text wants {what} connected in the machine, and nothing connects it here.",
    remedy="Ask the maker to which nozzle it is connected; until then its inside counts as not cleaned.",
    source=book("iso-17664-1"),
)
def not_connected_against_own_words(case: Case) -> Iterator[Trip]:
    """Demands for a nozzle or an adapter in the machine, where no step of the cleaning connects anything."""
    demands = [p for p in case.sentences if _demands_connection(p)]
    machine = [step for step in case.steps if step.stage in _AT_THE_MACHINE]
    places = [p for p in case.sentences if p.step in machine and p not in demands]
    is_connected = any(step.positions.get("port") == "connected" for step in machine) or any(
        says(p.text, "connecting") and not negated(p.text, "connecting") for p in places
    )
    loads = [p for p in places if p.step and p.step.action in _INTO_THE_MACHINE and says(p.text, "goes-in")]
    # "The luer hub is not connected": where it asks for nothing it is a statement of the machine's chapter.
    beside = [p for p in case.sentences if p.step is None and case.stage_of(p) in _AT_THE_MACHINE]
    for passage in (*places, *beside) if not is_connected and _has_lumen(case) else ():
        if says(passage.text, "unconnected") and not says(passage.text, "forbidden"):
            yield Trip(passage.place, {"what": "the inside"}, tuple(one.place for one in demands[:1]))
            return
    if demands and not is_connected and (loads or any(step.action is Action.wash for step in machine)):
        place = loads[-1].place if loads else demands[0].place
        others = (demands[0].place,) if loads else ()
        yield Trip(place, {"what": "the inside"}, others)


@rule(
    Theme.contradictions,
    Level.concern,
    title="What may only be wiped is laid into a liquid or a machine.",
    message="By the text itself {part} may only be wiped, and “{words}” wets it.",
    remedy="Get the maker's written answer; until then it is only wiped.",
)
def wiped_only_and_wetted(case: Case) -> Iterator[Trip]:
    """What a sentence allows wiping alone for, against steps that wet it by name or wet everything."""
    for ban in case.sentences:
        for clause in clauses(ban.text):
            if not says(clause, "wiped-only") or says(clause, "negation"):
                continue
            named = frozenset(_LETTER.findall(clause)) | (subjects(clause, "wiped-only", "plain") - _EVERYDAY)
            for passage in case.sentences if named else ():
                said = _wets(passage, named)
                if said and passage.text != ban.text:
                    evidence = {"part": min(named, key=len), "words": said}
                    yield Trip(passage.place, evidence, (ban.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="What is cleaned by hand only goes into the machine.",
    message="By the text itself {part} is cleaned by hand only, and it goes into the machine here.",
    remedy="Get the maker's written answer; until then it is cleaned by hand.",
)
def by_hand_only_in_machine(case: Case) -> Iterator[Trip]:
    """Things that only hands clean, against the loading of a machine that names them."""
    for at, ban in enumerate(case.sentences):
        if not by_hand_only(ban.text) or says(ban.text, "all-but"):
            continue
        named = _things(ban.text)
        if _IT.match(ban.text):
            near = case.sentences[max(0, at - _NEAR) : at + _NEAR + 1]
            named |= _things(" ".join(p.text for p in near if p.text.endswith(";") and _is_beside(p, ban)))
        for passage in case.sentences if named else ():
            step = passage.step
            if step is None or step.action not in _INTO_THE_MACHINE | {Action.set_position, Action.soak}:
                continue
            is_machine = says(f"{step.heading or ''} ; {passage.text}", "machine-words")
            mine = _things(passage.text) & named
            is_denied = says(passage.text, "negation") or says(passage.text, "out-of-it")
            if is_machine and mine and says(passage.text, "goes-in") and not is_denied:
                yield Trip(passage.place, {"part": f"the {min(mine)}"}, (ban.place,))
                return


def _is_beside(one: Passage, ban: Passage) -> bool:
    """Whether a piece stands on the line of a ban or the one in front: "The caddy is aluminium; it is …"."""
    line, here = one.place.line, ban.place.line
    return line is not None and here is not None and 0 <= here - line <= 1


def _things(text: str) -> frozenset[str]:
    return frozenset(singular(word) for word in found(text, "component") | found(text, "lent"))


def _has_lumen(case: Case) -> bool:
    return any(feature.kind is FeatureKind.lumen for feature in case.instruction.device.features)


def _demands_connection(passage: Passage) -> bool:
    """'In the machine the bore is cleaned only when the port is on a nozzle': no step, and a demand."""
    text = passage.text
    is_rule = says(text, "demanding") or says(text, "only") or says(text, "needs-it")
    is_machine = says(text, "machine-washing") or says(text, "machine-words")
    is_step = passage.step is not None and passage.step.action is Action.connect
    return is_rule and is_machine and says(text, "connecting") and not is_step and not says(text, "negation")


def _wets(passage: Passage, named: frozenset[str]) -> str | None:
    """The words of a step that wet one of some things, by name or with all the others."""
    step = passage.step
    if (
        step is None
        or step.action not in CLEANING_ACTIONS - {Action.brush}
        or says(passage.text, "forbidden")
    ):
        return None
    if not (says(passage.text, "wets") or step.action in {Action.soak, Action.sonicate}):
        return None
    # "All parts but the handle": what stands behind is left out.
    text, _, _ = passage.text.partition(_all_but(passage.text))
    is_all = says(text, "everything-of-it") and text == passage.text
    mine = frozenset(_LETTER.findall(text)) | subjects(text)
    if not (is_all or mine & named):
        return None
    return " ".join(passage.text.split()[:8])


def _all_but(text: str) -> str:
    """The words that except something; words that stand nowhere where nothing does."""
    return min(found(text, "all-but"), key=text.lower().find, default="\0")


RULES = (not_connected_against_own_words, wiped_only_and_wetted, by_hand_only_in_machine)
