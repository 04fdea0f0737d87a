"""The order of the work."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, PartUse, Stage, Step
from sinkside.review.case import Case, words
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, rule

#: Rinsing and flushing the assembled device first is usual; these want its parts apart.
_NEEDS_PARTS_APART = frozenset({Action.soak, Action.brush, Action.sonicate, Action.wash})


@rule(
    Theme.order,
    Level.concern,
    title="The device is lubricated before it is cleaned.",
    message="Lubricant goes on before cleaning and seals soil in.",
    remedy="Ask the maker whether lubrication belongs after cleaning and before the function test.",
)
def lubricated_before_cleaning(case: Case) -> Iterator[Trip]:
    """Lubricating steps in front of the first cleaning step, where cleaning does follow."""
    if case.first_cleaning < len(case.steps):
        for step in case.doing(Action.lubricate):
            # A chapter on maintenance that happens to be printed first says nothing about the order of work.
            is_of_maintenance = case.stage_of_heading(step) in {Stage.maintenance, Stage.inspection}
            if case.index(step) < case.first_cleaning and not is_of_maintenance:
                yield Trip(case.place(step), more_places=(case.place(case.steps[case.first_cleaning]),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is taken apart only after cleaning has begun.",
    message="Parts come apart here, after cleaning began; what lay between them was not reached.",
    remedy="Ask the maker whether the device is to be taken apart before cleaning.",
    source=book("iso-17664-1"),
)
def taken_apart_after_cleaning(case: Case) -> Iterator[Trip]:
    """The first taking apart of a text, where cleaning steps stand in front of it."""
    apart = [step for step in case.steps if _takes_apart(case, step)]
    if apart and apart[0].stage in {Stage.preparation, Stage.cleaning, Stage.disinfection}:
        at = case.index(apart[0])
        before = [step for step in case.steps[case.first_cleaning : at] if step.action in _NEEDS_PARTS_APART]
        if before:
            yield Trip(case.place(apart[0]), more_places=(case.place(before[0]),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is inspected only after it has been packed.",
    message="The first inspection stands after packing, where the device can no longer be seen.",
    remedy="Ask the maker where inspection belongs.",
    source=book("iso-17664-1"),
)
def inspected_after_packing(case: Case) -> Iterator[Trip]:
    """The first inspection against the first packing."""
    packed, inspected = case.doing(Action.pack), case.doing(Action.inspect, Action.test)
    if packed and inspected and case.index(inspected[0]) > case.index(packed[0]):
        yield Trip(case.place(inspected[0]), more_places=(case.place(packed[0]),))


def _takes_apart(case: Case, step: Step) -> bool:
    """Whether a step takes something off the device; a single-use part that is removed counts."""
    if step.action is Action.take_apart:
        return bool(step.on) or not says(words(step), "soil")
    parts = {part.id for part in case.instruction.device.parts if part.use is not PartUse.reusable}
    return step.action is Action.discard_part and bool(parts & set(step.on)) and says(words(step), "removal")


RULES = (lubricated_before_cleaning, taken_apart_after_cleaning, inspected_after_packing)
