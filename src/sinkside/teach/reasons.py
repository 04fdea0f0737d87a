"""Why a step is done, what to take care of, what good looks like: reasons, each with its source."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Collection, Iterable
from enum import StrEnum
from importlib import resources
from typing import Final

from pydantic import Field, model_validator

from sinkside.documents import Value
from sinkside.instruction import Action, AirRemoval, FeatureKind, FigureRole, Instruction, Stage, Step
from sinkside.instruction.vocabulary import POSITIONS
from sinkside.plain.wording import steps_of
from sinkside.quantities import Figure, FigureQuantity
from sinkside.route import Operation, Station
from sinkside.sources import Source, source


class About(StrEnum):
    """What a reason tells."""

    why = "why"
    hazard = "hazard"
    good = "good"
    bad = "bad"


#: How many of each are told beside one step: more is not kept in mind (common practice, no source).
MOST: Final = {About.why: 2, About.hazard: 1, About.good: 1, About.bad: 1}


class Reason(Value):
    """One reason. It holds for a step that fits everything named here; what is not named asks nothing.

    Attributes:
        id: by which it is known.
        about: what it tells.
        text: the sentence, in the reference language; a template of plain words, without figures.
        actions: what is done.
        stages: in which stages.
        stations: at which stations.
        positions: positions that are held or set, as `jaw: open`.
        features: kinds of feature that the step is about; where it names none, that the device has.
        figures: quantities of the step's figures.
        roles: roles of the step's figures.
        steam: ways in which a steam cycle gets the air out.
        source: a key of the bibliography.
        clause: of the source.
        how_read: how we came by it, where not as the bibliography says.
    """

    id: str
    about: About
    text: str
    actions: frozenset[Action] = frozenset()
    stages: frozenset[Stage] = frozenset()
    stations: frozenset[Station] = frozenset()
    positions: frozenset[str] = frozenset()
    features: frozenset[FeatureKind] = frozenset()
    figures: frozenset[FigureQuantity] = frozenset()
    roles: frozenset[FigureRole] = frozenset()
    steam: frozenset[AirRemoval] = frozenset()
    source: str
    clause: str = ""
    how_read: str | None = None

    @property
    def origin(self) -> Source:
        """Whose advice it is, and how we came by it."""
        return source(self.source, self.clause, how_read=self.how_read)

    @property
    def whose(self) -> str:
        """The same in words."""
        return f"{self.origin} ({self.origin.how_read_phrase})"

    @property
    def narrowness(self) -> int:
        """How much it asks of a step: the more, the better it fits where it fits."""
        asked = (self.actions, self.stages, self.stations, self.positions, self.features)
        return sum(map(bool, (*asked, self.figures, self.roles, self.steam)))

    @model_validator(mode="after")
    def _asks_for_what_there_is(self) -> Reason:
        known = {f"{mover}: {one}" for mover, places in POSITIONS.items() for one in places}
        if unknown := sorted(self.positions - known):
            raise ValueError(f"these are no positions: {', '.join(unknown)}")
        if not self.narrowness:
            raise ValueError(f"'{self.id}' would be told of every step")
        return self


class Reasons(Value):
    """The catalogue."""

    reasons: tuple[Reason, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _ids_stand_once(self) -> Reasons:
        ids = [one.id for one in self.reasons]
        if len(set(ids)) != len(ids):
            raise ValueError("a reason stands twice")
        return self


@functools.cache
def reasons() -> tuple[Reason, ...]:
    """Every reason that there is."""
    text = resources.files("sinkside.teach").joinpath("reasons.toml").read_text("utf-8")
    return Reasons.model_validate(tomllib.loads(text)).reasons


def reasons_of(operation: Operation, instruction: Instruction) -> tuple[Reason, ...]:
    """What is to be understood of a step: the reasons that fit it best, a few of each kind.

    >>> from sinkside.instruction import Device
    >>> flush = Operation(letter="A", stage="cleaning", station=Station.sink, steps=(), action="flush")
    >>> [one.id for one in reasons_of(flush, Instruction(device=Device(name="Shaver"))) if one.about == "why"]
    ['flush-through']
    """
    found = [one for one in reasons() if fits(one, operation, instruction)]
    found.sort(key=lambda one: -one.narrowness)
    fitting = tuple({one.text: one for one in reversed(found)}.values())[::-1]
    return tuple(
        one for about, most in MOST.items() for one in [it for it in fitting if it.about is about][:most]
    )


def fits(reason: Reason, operation: Operation, instruction: Instruction) -> bool:
    """Whether a reason holds for an operation, or for one of the steps that a machine does in one go."""
    if not _fits_place(reason, operation, instruction):
        return False
    steps = steps_of(operation, instruction)
    if len(steps) > 1:
        return any(_fits_work(reason, one.action, one.stage, one.figures, (one,)) for one in steps)
    figures = [chosen.required for chosen in operation.figures]
    return _fits_work(reason, operation.action, operation.stage, figures, steps)


def _fits_place(reason: Reason, operation: Operation, instruction: Instruction) -> bool:
    held = {f"{mover}: {position}" for mover, position in operation.positions.items()}
    return (
        _holds(reason.stations, {operation.station})
        and _holds(reason.positions, held)
        and _holds(reason.features, _features(operation, instruction))
    )


def _fits_work(
    reason: Reason, action: Action, stage: Stage, figures: Iterable[Figure], steps: Iterable[Step]
) -> bool:
    known = tuple(figures)
    return (
        _holds(reason.actions, {action})
        and _holds(reason.stages, {stage})
        and _holds(reason.figures, {figure.quantity for figure in known})
        and _holds(reason.roles, {figure.role for figure in known if figure.role})
        and _holds(reason.steam, {step.air_removal for step in steps if step.air_removal})
    )


def _holds(wanted: Collection[object], found: Collection[object]) -> bool:
    """Whether one of what is wanted was found; what is not named asks nothing."""
    return not wanted or not set(wanted).isdisjoint(found)


def _features(operation: Operation, instruction: Instruction) -> set[FeatureKind]:
    """The kinds of feature that a step is about: those it names, of parts it names, or any of the device."""
    features = instruction.device.features
    if not operation.on:
        return {one.kind for one in features}
    return {one.kind for one in features if {one.id, one.part, one.kind.value} & set(operation.on)}
