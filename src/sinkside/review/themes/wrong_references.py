"""References to other work than the words want: a torn pack to drying, "cleaner of row 7" to a rinse."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sinkside.findings import Level
from sinkside.instruction import STAGES, Action, Stage, Step
from sinkside.review.case import Case, Passage, words
from sinkside.review.labels import bare_number
from sinkside.review.lexicon import references, says
from sinkside.review.rule import Theme, Trip, book, rule

_TO_CHAPTERS = frozenset({"chapter", "section", "clause", "paragraph"})
_TO_ROWS = frozenset(
    {"step", "row", "line", "point", "item", "task", "operation", "label", "station", "box", "block", "rule"}
)

#: What is found, and the stages up to which the work must go back: (sense, but for, last stage).
_GOES_BACK: tuple[tuple[str, str, Stage], ...] = (
    ("spoilt-pack", "pack-kept", Stage.packaging),
    ("found-soiled", "pack-words", Stage.disinfection),
    ("found-damp", "pack-words", Stage.drying),
)

#: "Rinse as in 5.7": the actions that such words of work may be looked for under.
_AS_THERE: Mapping[str, frozenset[Action]] = {
    "rinse-as": frozenset({Action.rinse, Action.flush, Action.pre_rinse, Action.actuate, Action.wash}),
    "dry-as": frozenset({Action.dry, Action.blow, Action.wipe}),
    "brush-as": frozenset({Action.brush, Action.wash, Action.wipe, Action.soak, Action.flush}),
    "sonicate-as": frozenset({Action.sonicate, Action.wash, Action.soak, Action.load}),
}
_AS = re.compile(r"\b(?:as|like)\s+(?:\w+\s+){0,3}?(?:in\s+|under\s+|for\s+|at\s+)?$", re.IGNORECASE)
_AGENT_OF = re.compile(
    r"\b(?:detergent|cleaner|cleaning solution|solution|disinfectant)\s+"
    r"(?:(?:is\s+)?as\s+(?:in\s+|for\s+)?|of\s+|from\s+)(?:the\s+)?"
    r"(?P<kind>step|row|line|section|item|point)\s+(?P<number>[\w.]*\w)",
    re.IGNORECASE,
)
_NO_WORK = frozenset({Action.other, Action.count_use, Action.repeat})


@rule(
    Theme.references,
    Level.concern,
    title="A reference leads to other work than its words want.",
    message="The words send to {kind} {number}, and there stands: “{work}”.",
    remedy="Ask the maker which {kind} was meant; until then the work starts again at the cleaning.",
    source=book("iso-17664-1"),
)
def reference_to_other_work(case: Case) -> Iterator[Trip]:
    """What is found soiled, damp or badly packed against the work that it is sent back to."""
    for passage in case.passages:
        named = list(dict.fromkeys(references(passage.text)))
        if len(named) != 1 or says(passage.text, "negation"):
            continue
        ((kind, number),) = named
        targets = _steps_at(case, kind, number)
        targets = [step for step in targets if passage.step is None or step.id != passage.step.id]
        if targets and _is_elsewhere(case, passage, targets, number):
            spoken = " ".join(words(targets[0]).split()[:10])
            evidence = {"kind": kind, "number": number, "work": spoken}
            yield Trip(passage.place, evidence, (case.place(targets[0]),))


def _is_elsewhere(case: Case, passage: Passage, targets: list[Step], number: str) -> bool:
    """Whether none of the steps under a number is work that the words can mean."""
    text = passage.text
    if says(text, "sent-back-there"):
        for sense, unless, last in _GOES_BACK:
            if says(text, sense) and not says(text, unless):
                return all(_is_behind(case, step, last) for step in targets)
    if (match := _AGENT_OF.search(text)) and match["number"].rstrip(".") == number:
        return not any(says(f"{words(step)} {step.with_ or ''}", "agent-there") for step in targets)
    at = text.find(number)
    before = text[: text.rfind(" ", 0, at)] if at > 0 else ""
    before = re.sub(r"\b(?:steps?|rows?|lines?|sections?|points?|items?)$", "", before.rstrip())
    for sense, actions in _AS_THERE.items():
        if says(text, sense) and _AS.search(before.rstrip() + " "):
            done = [step.action for step in targets if step.action not in _NO_WORK]
            return bool(done) and not any(action in actions for action in done)
    return False


def _is_behind(case: Case, step: Step, last: Stage) -> bool:
    """Whether a step is work of a later stage; what has no place in the order of work is not."""
    if step.action is Action.other:
        return False
    # The drying of a sterilizer may be read as drying; it stands behind the steam all the same.
    is_of_chamber = step.action is Action.dry and any(
        one.action is Action.sterilize for one in case.steps[: case.index(step)]
    )
    return is_of_chamber or STAGES.index(step.stage) > STAGES.index(last)


def _steps_at(case: Case, kind: str, number: str) -> list[Step]:
    """The steps under a number; under a chapter all that stand in it."""
    wanted = number.lower()
    exact = [one for one in case.steps if bare_number(one) == wanted]
    if exact and (kind in _TO_ROWS or "." in wanted):
        return exact
    inside = [one for one in case.steps if bare_number(one).startswith(f"{wanted}.")]
    if kind in _TO_CHAPTERS:
        return inside or [one for one in case.steps if _heads(one, wanted)] or exact
    return inside


def _heads(step: Step, wanted: str) -> bool:
    head = re.match(r"\W*(?:chapter\s+|section\s+|\u00a7\s*)?([\w.]*\w)\b", step.heading or "", re.IGNORECASE)
    return head is not None and head[1].lower() == wanted


RULES = (reference_to_other_work,)
