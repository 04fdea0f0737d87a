"""What one passage means for the steps around it: states of an item, rules for every step, alternatives."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from sinkside.draft.stepping import StepDraft
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity

#: Steps during which a feature moves, or which happen with the device in pieces, keep their own positions.
_OUTSIDE_RULES = {Action.actuate, Action.test, Action.repeat, Action.count_use, Action.retire}


@dataclass(frozen=True, slots=True)
class Rule:
    """A position that governs the steps from a place on; `owner` is the part that has the feature.

    `within` are the numbers of the sections that it is for, if it says so.
    """

    feature: str
    position: str
    owner: str | None
    from_step: int
    within: tuple[str, ...] = ()

    def reaches(self, step: StepDraft) -> bool:
        """Whether the rule governs a step by its number: 'during the whole of clause 5' is 5.1, 5.2 ...."""
        number = step.number or ""
        return not self.within or any(number == one or number.startswith(f"{one}.") for one in self.within)


def share_within_items(steps: list[StepDraft]) -> None:
    """Inside one numbered item, 'open the jaw' holds for what follows and 'jaw open' for the whole item."""
    for _, group in itertools.groupby(steps, key=lambda step: step.item):
        item = list(group)
        for place, step in enumerate(item):
            if step.action is Action.set_position:
                _share(step, item if step.remark else item[place + 1 :])


def _share(step: StepDraft, others: list[StepDraft]) -> None:
    for other in others:
        other.positions = {**step.positions, **other.positions}


def govern(steps: list[StepDraft], rules: list[Rule]) -> None:
    """Apply rules such as 'jaw of I open for every step' to the steps that follow and touch that part."""
    for rule in rules:
        for step in steps[rule.from_step :]:
            parts = [name for name in step.on if "-" not in name]
            concerns = rule.owner is None or not parts or rule.owner in parts
            if concerns and step.action not in _OUTSIDE_RULES and rule.reaches(step):
                step.positions.setdefault(rule.feature, rule.position)


def alternatives(steps: list[StepDraft]) -> None:
    """Sterilization cycles that stand side by side are alternatives, and so is what says 'alternatively'."""
    letter = iter("abcdefghijklmnopqrstuvwxyz")
    cycles = [step for step in steps if _is_cycle(step)]
    if len(cycles) > 1:
        shared = next(letter)
        for step in cycles:
            step.alternative = shared
    for before, step in itertools.pairwise(steps):
        if step.says_alternative and step.alternative is None and before.stage is step.stage:
            before.alternative = step.alternative = before.alternative or next(letter, "z")


def _is_cycle(step: StepDraft) -> bool:
    quantities = {figure.quantity for figure in step.figures}
    steam = step.stage is Stage.sterilization and step.action is Action.sterilize
    return steam and {FigureQuantity.temperature, FigureQuantity.time} <= quantities
