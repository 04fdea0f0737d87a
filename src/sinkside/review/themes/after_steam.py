"""Work that comes too late: on a device in its closed pack, or on one that was sterilized."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.review.case import Case, words
from sinkside.review.lexicon import found, negated, says
from sinkside.review.rule import Theme, Trip, book, rule

_WITH_THE_STERILIZER = frozenset({Stage.sterilization, Stage.storage})
_UNDOES_IT = frozenset(
    {
        *(Action.lubricate, Action.rinse, Action.flush, Action.soak, Action.brush, Action.wash),
        *(Action.put_together, Action.take_apart, Action.test, Action.wipe),
    }
)
_NOT_NOW = (
    "condition-strict",
    "before-next-use",
    "at-the-field",
    "processed-again",
    "forbidden",
    "negation",
    "nothing",
)


@rule(
    Theme.order,
    Level.concern,
    title="Work is done on the device after it was sterilized.",
    message="“{words}” is asked for after the sterilizer; what is done bare-handed then is not sterile.",
    remedy="Ask the maker where this belongs: before the pack is closed, or at the field.",
    source=book("iso-17664-1"),
)
def worked_on_after_sterilization(case: Case) -> Iterator[Trip]:
    """Oiling, wetting, trying and assembling behind the last cycle, under its heading or that of storage."""
    cycles = case.doing(Action.sterilize)
    if not cycles:
        return
    for step in case.steps[case.index(cycles[-1]) + 1 :]:
        under = case.stage_of_heading(step) or step.stage
        is_here = under in _WITH_THE_STERILIZER and (step.heading == cycles[-1].heading or _is_late(step))
        if is_here and step.action in _UNDOES_IT and _is_asked(step):
            yield Trip(case.place(step), {"words": _opening(step)}, (case.place(cycles[-1]),))
            return


@rule(
    Theme.order,
    Level.concern,
    title="The device is tried or oiled in its closed pack.",
    message="“{words}” is asked for after the pack was closed.",
    remedy="Ask the maker where this belongs; before the pack, nothing is touched again after it.",
    source=book("iso-17664-1"),
)
def worked_on_in_the_pack(case: Case) -> Iterator[Trip]:
    """Tests, oiling and assembling behind the packing step under one heading, in front of the sterilizer."""
    packed = [step for step in case.doing(Action.pack) if says(words(step), "wrapping")]
    cycles = [case.index(step) for step in case.doing(Action.sterilize)]
    if not packed or not any(at > case.index(packed[0]) for at in cycles):
        return
    last = max(at for at in cycles)
    for step in case.steps[case.index(packed[-1]) + 1 : last]:
        is_here = step.heading == packed[-1].heading and step.action in {Action.test, Action.lubricate}
        is_of_pack = bool(found(words(step).partition(" then ")[2] or words(step), "of-the-pack"))
        if is_here and not is_of_pack and _is_asked(step):
            yield Trip(case.place(step), {"words": _opening(step)}, (case.place(packed[-1]),))
            return


def _is_late(step: Step) -> bool:
    return says(words(step), "after-cooling")


def _is_asked(step: Step) -> bool:
    """Whether a step is asked for here and now, and of the device."""
    said = words(step)
    return not step.condition and not any(says(said, sense) for sense in _NOT_NOW) and not _only_water(said)


def _only_water(said: str) -> bool:
    """Whether words are about the machine and its water, or keep the pack dry."""
    return says(said, "storing") or negated(said, "lubrication")


def _opening(step: Step) -> str:
    return " ".join(words(step).split()[:8])


RULES = (worked_on_after_sterilization, worked_on_in_the_pack)
