"""The solutions of an instruction: one that is spoken of again is the same need, and is decided once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sinkside.department import ChemicalKind
from sinkside.instruction import Action, FigureRole, Instruction, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.route import words
from sinkside.route.facts import Facts
from sinkside.route.grouping import said, split_into_blocks
from sinkside.route.needs import ChemicalNeed
from sinkside.route.phrases import Phrase, Together
from sinkside.route.windows import Window, window_of

Chemistry = tuple[tuple[ChemicalKind, ...], ...]

_DOSES = (FigureQuantity.concentration, FigureQuantity.percent, FigureQuantity.ratio)
#: Actions in which nobody means a solution although the words could be read so.
_DRY = {
    Action.discard_solution,
    Action.lubricate,
    Action.blow,
    Action.dry,
    Action.inspect,
    Action.pack,
    Action.sterilize,
    Action.store,
}


@dataclass(frozen=True, slots=True)
class Solutions:
    """Which solution each step uses."""

    by_step: dict[str, ChemicalNeed]

    def of_step(self, step: Step) -> ChemicalNeed | None:
        """The solution that a step uses, or none."""
        return self.by_step.get(step.id)

    @classmethod
    def of(cls, instruction: Instruction, facts: Facts) -> Solutions:
        """The solutions of an instruction, in the order in which they are first named."""
        groups: list[tuple[Chemistry, list[Step]]] = []
        for step in _by_hand(instruction.steps):
            text = said(step)
            kinds = words.chemical_kinds(text)
            if words.refers_back(text) and groups and not words.names_a_kind(text):
                groups[-1][1].append(step)
            elif kinds:
                _join(groups, kinds, step)
        return cls(
            {
                step.id: need
                for kinds, steps in groups
                for need in [_need(kinds, steps, facts)]
                for step in steps
            }
        )


def _join(groups: list[tuple[Chemistry, list[Step]]], kinds: Chemistry, step: Step) -> None:
    """A step joins the solution of its kind, and makes it the last one spoken of."""
    for index, (known, steps) in enumerate(groups):
        if known == kinds:
            groups.append(groups.pop(index))
            steps.append(step)
            return
    groups.append((kinds, [step]))


def _by_hand(steps: Sequence[Step]) -> list[Step]:
    """Steps that are no part of a washer's block; a washer doses its own."""
    return [
        block[0]
        for block in split_into_blocks(steps)
        if len(block) == 1 and block[0].action not in _DRY and not _is_machine(block[0])
    ]


def _is_machine(step: Step) -> bool:
    return step.action is Action.wash and step.figure(FigureQuantity.temperature) is not None


def dose_of(step: Step) -> Figure | None:
    """The dose that a step states, as its role says or as its quantity implies."""
    for quantity in _DOSES:
        figures = step.figures_of(quantity)
        dosed = [figure for figure in figures if figure.role in {None, FigureRole.dose}]
        if dosed:
            return dosed[0]
    return None


def _need(kinds: Chemistry, steps: list[Step], facts: Facts) -> ChemicalNeed:
    doses = [figure for step in steps if (figure := dose_of(step)) is not None]
    own_ph = [figure for step in steps for figure in step.figures_of(FigureQuantity.ph)]
    soaks = [step.figure(FigureQuantity.time) for step in steps if step.action is Action.soak]
    temperatures = [figure for step in steps for figure in step.figures_of(FigureQuantity.temperature)]
    return ChemicalNeed(
        tuple(steps),
        chemistry_words(kinds, doses[0] if doses else None),
        kinds,
        facts.ph,
        tuple(Window.of(figure, "pH") for figure in own_ph),
        dose_window(doses[0]) if doses else None,
        tuple(Window.of(figure, "°C") for figure in temperatures),
        window_of(next((figure for figure in soaks if figure), None), "s"),
        facts.chloride,
        frozenset().union(*(facts.materials_of(step) for step in steps)),
    )


def dose_window(dose: Figure) -> Window:
    """The window of a dose: by volume as a ratio, by mass in g/L."""
    return Window.of(dose, "g/L" if dose.unit in {"g/L", "mg/L"} else "ratio")


def chemistry_words(kinds: Chemistry, dose: Figure | None) -> Phrase | Together:
    """The chemistry in words: enzymatic-detergent, 5 mL/L."""
    alternatives = Phrase(
        "{kinds}",
        {"kinds": Phrase(" or ".join(words.kind_words(all_of) for all_of in kinds))},
    )
    if dose is None:
        return alternatives
    return Together((alternatives, Phrase("{dose}", {"dose": dose})))
