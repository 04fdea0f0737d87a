"""What sentences without a verb that asks still mean under their heading."""

from __future__ import annotations

from sinkside.draft.clauses import Clause, looks_imperative, noun_action
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passages import Passage
from sinkside.draft.positions import positions_in
from sinkside.draft.sections import Section
from sinkside.draft.stages import DEFAULT_ACTIONS
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity

_PROCESS = {
    FigureQuantity.temperature,
    FigureQuantity.time,
    FigureQuantity.volume,
    FigureQuantity.pressure,
}
_WEAK = {None, Action.wash, Action.rinse}


def one_cycle(reading: Reading, found: list[Found], clauses: list[Clause], section: Section) -> list[Clause]:
    """'134 °C, 3 min, dry 40 min' is one sterilization cycle; its drying is a figure, no step."""
    if Stage.sterilization not in section.stages:
        return clauses
    hot = FigureQuantity.temperature in _quantities(found)
    if not hot or any(clause.action not in {Action.sterilize, Action.dry} for clause in clauses):
        return clauses
    return [Clause(Action.sterilize, 0, 0, len(reading.tokens), "a sterilization cycle")]


def implied(passage: Passage, reading: Reading, found: list[Found], section: Section) -> list[Clause]:
    """The one thing that a sentence without a verb asks for, or nothing."""
    action, pattern = _by_figures(reading, found, section)
    if action is None and section.stages:
        action, pattern = _by_words(passage, reading, section.stages)
    return [Clause(action, 0, 0, len(reading.tokens), pattern)] if action else []


def _by_figures(reading: Reading, found: list[Found], section: Section) -> tuple[Action | None, str]:
    quantities = _quantities(found)
    named = noun_action(reading)
    if not quantities or not (section.stages or (named and quantities & _PROCESS)):
        return None, ""
    if FigureQuantity.lethality in quantities and named in _WEAK:
        return Action.disinfect, "a lethality"
    named = named or noun_action(read_words((section.heading or "").lower()))
    stage = section.stages[0] if section.stages else Stage.cleaning
    return named or DEFAULT_ACTIONS.get(stage, Action.other), "figures under a heading"


def _by_words(passage: Passage, reading: Reading, stages: tuple[Stage, ...]) -> tuple[Action | None, str]:
    named = noun_action(reading)
    usual = DEFAULT_ACTIONS.get(stages[0], Action.other)
    obliges = reading.has("modal", "must")
    readings: tuple[tuple[bool, Action, str], ...] = (
        (bool(positions_in(reading)), Action.set_position, "a state"),
        (reading.has("needless"), Action.other, "nothing needed"),
        (
            reading.has("tool") or reading.has("substance"),
            usual if named in {None, Action.set_position} else named,
            "a thing to use",
        ),
        (obliges and Stage.inspection in stages, Action.inspect, "a criterion"),
        (
            bool(passage.number or passage.lead) or obliges or looks_imperative(reading),
            named or Action.other,
            "an item under a heading",
        ),
    )
    return next(((action, pattern) for fits, action, pattern in readings if fits), (None, ""))


def _quantities(found: list[Found]) -> set[FigureQuantity]:
    return {figure.quantity for one in found for figure in one.figures}
