"""Every step of a route in plain words, in one language, with the reference language beside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sinkside.instruction import Action, Instruction, Stage
from sinkside.plain import templates
from sinkside.plain.figures import PlainFigure, plain_figures, plain_phases
from sinkside.plain.habits import Habits, refuse_unknown
from sinkside.plain.operations import STATION_LABELS, shown_operations
from sinkside.plain.same_figures import refuse_changed_figures
from sinkside.plain.voice import Template, Voice, voice_for
from sinkside.plain.wording import phase_name, position_words, steps_of, worded
from sinkside.route import Operation, Route, Station


@dataclass(frozen=True)
class PlainPosition:
    """A moving feature and where it must stand, both in words, and whether the headline already says so."""

    feature: str
    position: str
    words: str
    told: bool = False


@dataclass(frozen=True)
class PlainPhase:
    """One phase of a machine program: the step that it carries out, its name, its figures."""

    step: str
    name: str
    figures: tuple[PlainFigure, ...]


@dataclass(frozen=True)
class PlainStep:
    """One operation in plain words.

    Attributes:
        letter: its letter on the route.
        steps: ids of the instruction's steps that it carries out.
        action: what is done; picks the pictogram.
        stage: the stage of the work.
        station: where it is done.
        stage_name: the stage in words.
        station_name: the station in words.
        headline: one short sentence, verb first.
        lines: what it is done to and with, and under which condition, one thing a line.
        figures: every figure; those of a machine program also stand in `phases`.
        phases: the figures by phase, where one operation carries out several steps.
        positions: where moving features must stand.
        until: when it is done.
        cautions: what to take care of.
        quoted: the maker's own sentence, where structure does not hold it all.
        language: the language of all this.
        direction: which way it is read.
        written_in: the language of the maker's words where they stand as they are.
        templates: what was said with; a review of each is asked for before the floor.
        reference: the same in the reference language; none where that is the language.
    """

    letter: str
    steps: tuple[str, ...]
    action: Action
    stage: Stage
    station: Station
    stage_name: str
    station_name: str
    headline: str
    lines: tuple[str, ...]
    figures: tuple[PlainFigure, ...]
    phases: tuple[PlainPhase, ...]
    positions: tuple[PlainPosition, ...]
    until: str
    cautions: tuple[str, ...]
    quoted: str
    language: str
    direction: Literal["ltr", "rtl"]
    written_in: str
    templates: tuple[Template, ...]
    reference: PlainStep | None = None


def plain_steps(
    route: Route | None, instruction: Instruction, habits: Habits | None = None
) -> tuple[PlainStep, ...]:
    """Every operation of a route in plain words, in its order; without a route, every step of the text.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template that is needed has no translation: which, and in what language.
        SinksideError: if a figure reads otherwise than it was approved.

    >>> from sinkside.instruction import Device, Step
    >>> step = Step(id="s1", stage="cleaning", action="brush", on=("jaw",))
    >>> text = Instruction(device=Device(name="Forceps"), steps=(step,))
    >>> [one.headline for one in plain_steps(None, text)]
    ['Brush the jaw']
    """
    reader = habits or Habits()
    return tuple(plain_step(one, instruction, reader) for one in shown_operations(route, instruction))


def plain_step(operation: Operation, instruction: Instruction, habits: Habits) -> PlainStep:
    """One operation in plain words.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template that is needed has no translation.
        SinksideError: if a figure reads otherwise than it was approved.
    """
    refuse_unknown(habits.language)
    beside = habits.beside()
    voice = voice_for(instruction, habits)
    words = worded(operation, instruction, voice)
    lines = (words.names, *words.with_what, words.condition)
    step = PlainStep(
        letter=operation.letter,
        steps=operation.steps,
        action=operation.action,
        stage=operation.stage,
        station=operation.station,
        stage_name=voice.say(templates.STAGES[operation.stage]),
        station_name=voice.say(STATION_LABELS[operation.station]),
        headline=words.headline,
        lines=tuple(dict.fromkeys(line for line in lines if line)),
        figures=plain_figures(operation.figures, voice, action=operation.action),
        phases=_phases(operation, instruction, voice),
        positions=tuple(
            PlainPosition(*held, position_words(*held, voice), told=held not in words.held)
            for held in sorted(operation.positions.items())
        ),
        until=words.until,
        cautions=words.cautions,
        quoted=words.quoted,
        language=habits.language,
        direction=habits.direction,
        written_in=voice.written_in,
        templates=voice.used,
        reference=plain_step(operation, instruction, beside) if beside else None,
    )
    refuse_changed_figures(step)
    return step


def _phases(operation: Operation, instruction: Instruction, voice: Voice) -> tuple[PlainPhase, ...]:
    """The figures by phase, where an operation carries out several steps that have any."""
    steps = steps_of(operation, instruction)
    if len(steps) < 2 or not any(step.figures for step in steps):  # noqa: PLR2004 # one step is no phase
        return ()
    return tuple(
        PlainPhase(step.id if step else "", phase_name(step, voice) if step else "", figures)
        for step, figures in plain_phases(operation, steps, voice)
    )
