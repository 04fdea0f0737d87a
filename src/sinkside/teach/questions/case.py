"""An instruction as questions are made from it: every step in words, and which steps can be told apart."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from typing import Final

from sinkside.department import Department, Program
from sinkside.instruction import Action, Instruction, Step
from sinkside.plain import Habits, PlainStep, Voice, plain_steps, voice_for
from sinkside.plain.operations import shown_operations
from sinkside.plain.wording import program_of
from sinkside.quantities.figure import FigureValue
from sinkside.route import Route, Station
from sinkside.teach.questions import templates

#: Steps that are asked for now and then, or say only when others are due: they have no place in the order.
_WITHOUT_A_PLACE: Final = frozenset(
    {Action.repeat, Action.retire, Action.count_use, Action.send_for_repair, Action.other}
    | {Action.start_cleaning, Action.weigh}
)
_BATHS: Final = frozenset({Action.soak, Action.sonicate, Action.brush, Action.wipe})


@dataclass(frozen=True)
class ToldStep:
    """A step in the reader's words.

    Attributes:
        step: as the instruction has it.
        index: its place in the text, counted from 0.
        station: where it is done.
        plain: all of it in plain words.
        words: its headline with what it is done to and with.
        mark: what it asks, whatever it is called and wherever it stands; part of a question's id.
    """

    step: Step
    index: int
    station: Station
    plain: PlainStep
    words: str
    mark: str

    @property
    def english(self) -> str:
        """The same in the reference language, which tells steps apart whatever language is read."""
        return _words(self.plain.reference or self.plain).casefold()

    @property
    def sentence(self) -> str:
        """The maker's sentence; a row of a table is none."""
        text = self.step.origin.text.strip()
        return "" if text.startswith("|") else text


@dataclass(frozen=True, eq=False)
class Case:
    """What questions are made from.

    Attributes:
        instruction: the text.
        voice: says the templates in the reader's language.
        told: every step, in the order of the text.
        places: where each step comes on the route; without one, in the text.
        seed: what the order of choices hangs on.
        programs: the department's own machine program of each step that the route binds to one.
    """

    instruction: Instruction
    voice: Voice
    told: tuple[ToldStep, ...]
    places: Mapping[str, int]
    seed: int = 0
    programs: Mapping[str, Program] = field(default_factory=dict)

    @cached_property
    def _named(self) -> Counter[str]:
        return Counter(one.english for one in self.told)

    @cached_property
    def _called(self) -> Counter[str]:
        return Counter(one.words.casefold() for one in self.told)

    @cached_property
    def _at(self) -> Counter[tuple[str, ...]]:
        keys = [key for one in self.told for key in self._keys(one)]
        return Counter(keys)

    @cached_property
    def in_turn(self) -> tuple[ToldStep, ...]:
        """Steps with a place of their own in the order of the work, called like no other in English."""
        return tuple(
            one
            for one in self.told
            if one.step.action not in _WITHOUT_A_PLACE
            and one.step.condition is None
            and one.step.alternative is None
            and self._named[one.english] == 1
        )

    def is_told_apart(self, one: ToldStep) -> bool:
        """Whether no other step is called like this one in the reader's language either."""
        return self._called[one.words.casefold()] == 1

    def where(self, one: ToldStep) -> str:
        """Which step is asked about, in words that fit no other; empty where there are none."""
        if self._at[self._keys(one)[0]] == 1:
            return self.voice.say(templates.AT, stage=one.plain.stage_name, step=one.words)
        before = self.told[one.index - 1] if one.index else None
        keys = self._keys(one)
        if before is None or len(keys) == 1 or self._at[keys[1]] > 1:
            return ""
        return self.voice.say(
            templates.AT_AFTER, stage=one.plain.stage_name, step=one.words, before=before.words
        )

    def bath_of(self, one: ToldStep) -> ToldStep:
        """The step that a solution is mixed for in the same sentence; any other step is its own."""
        before = self.told[one.index - 1] if one.index else None
        mixes = one.step.action is Action.prepare_solution and before is not None and one.sentence
        if before is None or not mixes or not one_sentence(before, one):
            return one
        return before if before.step.action in _BATHS else one

    def says(self, one: ToldStep) -> str:
        """What the text says of a step, for after the answer."""
        return self.voice.say(templates.SAYS, said=one.sentence or one.words)

    def comes_before(self, one: ToldStep, other: ToldStep) -> bool:
        """Whether a step comes before another, in the text and on the route, and not in the same breath."""
        at = self.places
        on_route = at.get(one.step.id, one.index) <= at.get(other.step.id, other.index)
        return one.index < other.index and on_route and not one_sentence(one, other)

    def _keys(self, one: ToldStep) -> tuple[tuple[str, ...], ...]:
        alone = (one.plain.stage_name, one.words.casefold())
        before = self.told[one.index - 1] if one.index else None
        if before is None or one.step.alternative or before.step.alternative:
            return (alone,)
        return (alone, (*alone, before.words.casefold()))


def case_of(
    instruction: Instruction,
    route: Route | None,
    habits: Habits,
    *,
    department: Department | None = None,
    seed: int = 0,
) -> Case:
    """An instruction as questions are made from it.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template has no translation.
    """
    stations = {
        step: operation.station
        for operation in shown_operations(route, instruction)
        for step in operation.steps
    }
    marks = step_marks(instruction.steps)
    plain = {one.steps[0]: one for one in plain_steps(None, instruction, habits)}
    told = tuple(
        ToldStep(
            step=step,
            index=index,
            station=stations.get(step.id, plain[step.id].station),
            plain=plain[step.id],
            words=_words(plain[step.id]),
            mark=marks[step.id],
        )
        for index, step in enumerate(instruction.steps)
    )
    return Case(
        instruction=instruction,
        voice=voice_for(instruction, habits),
        told=told,
        places=_places(route, instruction),
        seed=seed,
        programs=_programs(route, department) if route and department else {},
    )


def one_sentence(one: ToldStep, other: ToldStep) -> bool:
    """Whether two steps come from one sentence of the text, which leaves their order open."""
    return bool(one.sentence) and one.step.origin == other.step.origin


def ends_mark(figure: FigureValue) -> str:
    """A figure's bound, ends and unit as one word, the same however it was written."""
    ends = ("" if end is None else repr(float(end)) for end in (figure.min, figure.value, figure.max))
    return "|".join((*ends, "strict" if figure.strict else "", figure.unit))


def _places(route: Route | None, instruction: Instruction) -> dict[str, int]:
    operations = shown_operations(route, instruction)
    return {step: place for place, operation in enumerate(operations) for step in operation.steps}


def _programs(route: Route, department: Department) -> dict[str, Program]:
    """The program that each step is bound to, as the department has it."""
    known = {
        (machine.id, program.name): program for machine in department.machines for program in machine.programs
    }
    found: dict[str, Program] = {}
    for operation in route.operations:
        bound = program_of(operation)
        program = known.get((bound.id, bound.program or "")) if bound else None
        if program is not None:
            found |= dict.fromkeys(operation.steps, program)
    return found


def _words(plain: PlainStep) -> str:
    return f"{plain.headline} ({', '.join(plain.lines)})" if plain.lines else plain.headline


def step_marks(steps: Iterable[Step]) -> dict[str, str]:
    """What each step asks, as a digest of its structure; the second of two that are alike says so."""
    seen: Counter[str] = Counter()
    marks: dict[str, str] = {}
    for step in steps:
        without = {"id", "figures", "cautions", "number", "heading", "origin", "repeats"}
        body = json.dumps(step.model_dump(mode="json", exclude=without), sort_keys=True)
        seen[body] += 1
        marks[step.id] = sha256(f"{body}{seen[body]}".encode()).hexdigest()
    return marks
