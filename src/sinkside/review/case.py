"""An instruction under review: its passages, places and circumstances, each worked out once."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sinkside.findings import Place
from sinkside.instruction import STAGES, Action, Heading, Instruction, Origin, Stage, Step
from sinkside.instruction.positions import Moment, simulate
from sinkside.limits import Limit, Profile, published
from sinkside.quantities import Figure
from sinkside.review.lexicon import says

#: Work that leaves the device wet.
WET_ACTIONS = frozenset(
    {
        Action.rinse,
        Action.flush,
        Action.soak,
        Action.brush,
        Action.sonicate,
        Action.fill,
        Action.pre_rinse,
        Action.wash,
        Action.disinfect,
    }
)

#: Work that takes soil off; the first of these is where cleaning begins.
CLEANING_ACTIONS = WET_ACTIONS - {Action.disinfect}

#: What stands in front of the first step at the point of use is no cleaning if it is as little as this.
_MOST_ROWS_IN_FRONT = 6

_BEFORE_CLEANING = (Stage.point_of_use, Stage.transport)


def place_of(origin: Origin, step: str | None = None) -> Place:
    """The place of a finding that concerns some words of the document."""
    return Place(step=step, page=origin.page, line=origin.line, text=origin.text)


@dataclass(frozen=True)
class Passage:
    """Some words of the document, the place where they stand, and the figures read from them."""

    text: str
    place: Place
    figures: tuple[Figure, ...] = ()
    about: tuple[str, ...] = ()
    step: Step | None = None


@dataclass(frozen=True)
class Case:
    """An instruction with the circumstances it is judged under; `printed` is what stands for its glosses."""

    instruction: Instruction
    profile: Profile
    altitude_m: float = 0.0
    printed: Mapping[str, str] = field(default_factory=dict)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps, in order."""
        return self.instruction.steps

    @functools.cached_property
    def moments(self) -> tuple[Moment, ...]:
        """Every step with the positions it finds, works in and leaves."""
        return simulate(self.instruction)

    @functools.cached_property
    def statements(self) -> tuple[Passage, ...]:
        """What is said apart from the steps: statements, limits, what was not understood."""
        instruction = self.instruction
        limits = (
            Passage(limit.origin.text or limit.as_written, place_of(limit.origin), (limit,))
            for limit in instruction.device.limits
        )
        stated = (
            Passage(statement.origin.text, place_of(statement.origin), statement.figures, statement.about)
            for statement in instruction.statements
        )
        unread = (Passage(item.text, place_of(item.origin)) for item in instruction.not_understood)
        return _once((*stated, *limits, *unread))

    @functools.cached_property
    def passages(self) -> tuple[Passage, ...]:
        """All words of the document that were read, steps first, each once."""
        of_steps = (
            Passage(words(step), place_of(step.origin, step.id), step.figures, step.on, step)
            for step in self.steps
        )
        return _once((*of_steps, *self.statements))

    @functools.cached_property
    def sentences(self) -> tuple[Passage, ...]:
        """All words that were read, once each and in the order of the document, with all their figures."""
        merged: dict[tuple[str, int | None, int | None], Passage] = {}
        for passage in self.passages:
            key = (passage.text, passage.place.page, passage.place.line)
            known = merged.get(key)
            if known is None:
                merged[key] = passage
            else:
                new = tuple(figure for figure in passage.figures if figure not in known.figures)
                merged[key] = dataclasses.replace(known, figures=(*known.figures, *new))
        return tuple(sorted(merged.values(), key=lambda one: (one.place.page or 0, one.place.line or 0)))

    def stage_of(self, passage: Passage) -> Stage | None:
        """The stage of the step that was read from some words, else of the heading above them."""
        if passage.step is not None:
            return passage.step.stage
        here = (passage.place.page or 0, passage.place.line or 0)
        above = [stage for place, stage in self._stages_of_headings if place <= here]
        return above[-1] if above else None

    @functools.cached_property
    def _stages_of_headings(self) -> tuple[tuple[tuple[int, int], Stage | None], ...]:
        headings = self.instruction.headings
        return tuple(((one.origin.page or 0, one.origin.line or 0), one.stage) for one in headings)

    def beside(self, step: Step) -> tuple[Step, ...]:
        """The steps that stand under the number of a step in its chapter, or were read from its words."""
        mine = (step.number, step.heading)
        return tuple(
            one
            for one in self.steps
            if one.origin == step.origin or (step.number and (one.number, one.heading) == mine)
        )

    def as_printed(self, place: Place) -> Place:
        """A place with the words that the document prints, where the case reads them by a gloss."""
        words_there = self.printed.get(place.text)
        return place if words_there is None else place.model_copy(update={"text": words_there})

    def in_force(self, *limit_ids: str) -> Limit:
        """The first of some published figures that is in force in the profile, as a department has set it.

        Raises:
            BadInput: if none of them is in force, or one is not published.
        """
        *preferred, last = limit_ids
        for limit_id in preferred:
            if published(limit_id).jurisdiction in self.profile.jurisdictions:
                return self.profile.figure(limit_id)
        return self.profile.figure(last)

    def doing(self, *actions: Action) -> tuple[Step, ...]:
        """The steps with one of some actions, in order."""
        return tuple(step for step in self.steps if step.action in actions)

    @functools.cached_property
    def first_cleaning(self) -> int:
        """Index of the step where cleaning proper begins; the number of steps if it never does."""
        # Rows of a table of parts or limits, which stand in front of everything, may be read as cleaning.
        early = [i for i, step in enumerate(self.steps) if step.stage in _BEFORE_CLEANING]
        start = early[0] if early and early[0] <= _MOST_ROWS_IN_FRONT else 0
        for index, step in enumerate(self.steps[start:], start):
            if step.action in CLEANING_ACTIONS and step.stage not in _BEFORE_CLEANING:
                return index
        return len(self.steps)

    def index(self, step: Step) -> int:
        """Where a step stands among the steps."""
        return self._order[step.id]

    @functools.cached_property
    def _order(self) -> dict[str, int]:
        return {step.id: index for index, step in enumerate(self.steps)}

    def place(self, step: Step | str) -> Place:
        """The place of a step."""
        found = self.instruction.step(step) if isinstance(step, str) else step
        return place_of(found.origin, found.id)

    def heading_for(self, stage: Stage) -> Place:
        """The heading of a stage, or of the nearest stage that has one."""
        rank = STAGES.index(stage)

        def distance(heading: Heading) -> tuple[int, bool]:
            # Of two that are as near the later one: what is missing belongs in front of it.
            behind = STAGES.index(heading.stage) - rank if heading.stage else len(STAGES)
            return abs(behind), behind < 0

        headings = self.instruction.headings
        if headings:
            return place_of(min(headings, key=distance).origin)
        return self.place(self.steps[-1]) if self.steps else Place()

    def stage_of_heading(self, step: Step) -> Stage | None:
        """The stage that the heading above a step names; None where there is no such heading."""
        for heading in self.instruction.headings:
            if step.heading is not None and step.heading in {heading.text, heading.number}:
                return heading.stage
        return None

    def mentions(self, *senses: str, among: Iterable[Passage] | None = None) -> Passage | None:
        """The first passage that says any of some senses."""
        for passage in among if among is not None else self.passages:
            if any(says(passage.text, sense) for sense in senses):
                return passage
        return None


def words(step: Step) -> str:
    """The words that a step was read from, with those of its fields where the origin has none."""
    if step.origin.text:
        return step.origin.text
    return " ".join(filter(None, (step.action.value, step.with_, *step.on, step.until)))


def _once(passages: Iterable[Passage]) -> tuple[Passage, ...]:
    """Passages without those that repeat the words of an earlier one with nothing of their own."""
    kept: dict[tuple[object, ...], Passage] = {}
    for passage in passages:
        figures = tuple((figure.quantity, figure.ends()) for figure in passage.figures)
        key = (passage.text, passage.step.id if passage.step else None, figures)
        kept.setdefault(key, passage)
    return tuple(kept.values())
