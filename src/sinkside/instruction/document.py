"""One maker's text for one device, as data (`sinkside/instruction-1`); a change is a new revision."""

from __future__ import annotations

from collections import Counter
from typing import Literal

from pydantic import ConfigDict, Field, field_validator, model_validator

from sinkside.documents import Value
from sinkside.instruction.vocabulary import (
    POSITIONS,
    Action,
    AirRemoval,
    FeatureKind,
    PartUse,
    Stage,
    StatementKind,
)
from sinkside.quantities import Figure, FigureQuantity, Quantity

WORDS_IN_AN_ORIGIN = 60


def _check_positions(positions: dict[str, str]) -> dict[str, str]:
    for feature, position in positions.items():
        allowed = POSITIONS.get(feature)
        if allowed is None:
            raise ValueError(f"'{feature}' has no positions; expected one of {', '.join(POSITIONS)}")
        if position not in allowed:
            raise ValueError(f"'{feature}: {position}' is no position; expected {' or '.join(allowed)}")
    return positions


class PictureReading(Value):
    """That words were read from a picture, so that a person compares every figure of theirs with the page.

    Attributes:
        sure: how sure the least sure figure is, from 0 to 100, as the reading program says.
        put_right: what could only be a misreading and was put right: "1O → 10".
    """

    sure: float | None = None
    put_right: tuple[str, ...] = ()


class Origin(Value):
    """Where something was read: page, first and last line, and the words as they stand (at most 60)."""

    page: int = 1
    line: int = 1
    line_end: int | None = None
    text: str = ""
    # Left out where there is none, so that what people confirmed before this was told stays confirmed.
    picture: PictureReading | None = Field(default=None, exclude_if=lambda picture: picture is None)

    @field_validator("text")
    @classmethod
    def _not_too_long(cls, text: str) -> str:
        return " ".join(text.split()[:WORDS_IN_AN_ORIGIN])


class MakerDocument(Value):
    """The maker's document: its title, revision and language, and which file it was read from."""

    title: str = ""
    revision: str = ""
    language: str = "en"
    replaces: str = ""
    file: str = ""
    digest: str = ""
    pages: int | None = None


class Part(Value):
    """A part of the device that can lie on the bench by itself; `count` where there are several alike."""

    id: str
    name: str
    count: int | None = Field(default=None, ge=1)
    use: PartUse = PartUse.reusable
    materials: tuple[str, ...] = ()
    mass: Quantity | None = None


class Feature(Value):
    """A feature that decides how the device must be processed."""

    id: str
    kind: FeatureKind
    name: str = ""
    part: str | None = None
    bore: Quantity | None = None
    rod: Quantity | None = None
    length: Quantity | None = None
    brushable: bool | None = None
    positions: tuple[str, ...] = ()
    origin: Origin | None = None


class DeviceLimit(Figure):
    """A figure that the device must never leave: what it limits, and where that was read."""

    limits: str
    origin: Origin = Origin()


class Device(Value):
    """What the text is about."""

    name: str
    maker: str = ""
    catalogue_numbers: tuple[str, ...] = ()
    document: MakerDocument = MakerDocument()
    parts: tuple[Part, ...] = ()
    features: tuple[Feature, ...] = ()
    limits: tuple[DeviceLimit, ...] = ()
    mass: Quantity | None = None


class Step(Value):
    """One thing to do: stage, action, what on, with what, the figures, the positions, until what, cautions.

    Steps that share a letter in `alternative` are alternatives. `with_` is written `with` in files.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, serialize_by_alias=True)

    id: str
    stage: Stage
    action: Action
    on: tuple[str, ...] = ()
    with_: str | None = Field(default=None, alias="with")
    tools: tuple[str, ...] = ()
    figures: tuple[Figure, ...] = ()
    positions: dict[str, str] = Field(default={})
    air_removal: AirRemoval | None = None
    until: str | None = None
    condition: str | None = None
    repeats: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    alternative: str | None = None
    number: str | None = None
    heading: str | None = None
    origin: Origin = Origin()

    _positions_exist = field_validator("positions")(_check_positions)

    def figures_of(self, quantity: FigureQuantity | str, role: str | None = None) -> tuple[Figure, ...]:
        """The step's figures of one quantity; with `role`, only those that play that part."""
        return tuple(f for f in self.figures if f.quantity == quantity and (role is None or f.role == role))

    def figure(self, quantity: FigureQuantity | str, role: str | None = None) -> Figure | None:
        """The first figure of a quantity, or none."""
        return next(iter(self.figures_of(quantity, role)), None)


class Statement(Value):
    """A sentence that asks for no step: a prohibition, a limit, a warning, a life."""

    kind: StatementKind
    figures: tuple[Figure, ...] = ()
    about: tuple[str, ...] = ()
    origin: Origin = Origin()


class NotUnderstood(Value):
    """Figures that found no place."""

    text: str
    origin: Origin = Origin()


class Translated(Value):
    """What another language of the document says: its figures, and the words beside it that say the same."""

    figures: tuple[Figure, ...] = ()
    origin: Origin = Origin()
    beside: Origin | None = None


class Translation(Value):
    """The figures of another language of the document; the steps are read from one language alone."""

    language: str
    passages: tuple[Translated, ...] = ()
    not_understood: tuple[NotUnderstood, ...] = ()


class Heading(Value):
    """A heading of the text: a finding about something missing is placed on the nearest."""

    text: str
    stage: Stage | None = None
    number: str | None = None
    origin: Origin = Origin()


class Instruction(Value):
    """One maker's text for one device."""

    format: Literal["sinkside/instruction-1"] = "sinkside/instruction-1"
    device: Device
    steps: tuple[Step, ...] = ()
    statements: tuple[Statement, ...] = ()
    headings: tuple[Heading, ...] = ()
    not_understood: tuple[NotUnderstood, ...] = ()
    translations: tuple[Translation, ...] = ()

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Instruction:
        for kind, ids in (
            ("step", [step.id for step in self.steps]),
            ("part", [part.id for part in self.device.parts]),
            ("feature", [feature.id for feature in self.device.features]),
        ):
            doubled = sorted(name for name, times in Counter(ids).items() if times > 1)
            if doubled:
                raise ValueError(f"{kind} ids stand twice: {', '.join(doubled)}")
        return self

    def step(self, step_id: str) -> Step:
        """The step of an id.

        Raises:
            KeyError: if there is none.
        """
        for step in self.steps:
            if step.id == step_id:
                return step
        raise KeyError(step_id)

    def stage(self, stage: Stage) -> tuple[Step, ...]:
        """The steps of a stage, in order."""
        return tuple(step for step in self.steps if step.stage == stage)
