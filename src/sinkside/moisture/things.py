"""What of a set takes up heat (`sinkside/things-1`): masses, materials, shapes, ways of lying, packaging."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from sinkside.documents import Value
from sinkside.errors import BadQuantity, SinksideError
from sinkside.moisture.tables import assumptions, material
from sinkside.quantities import Quantity

#: More of one thing is a slip of the pen.
_MOST_OF_ONE = 999

#: Within these an own assumption is no slip of the pen, by unit.
_ENDS = {"1": (0.0, 1.0), "°C": (0.0, 95.0), "mm": (0.05, 100.0), "m²": (0.001, 1.0), "g": (0.001, 10.0)}


class Shape(StrEnum):
    """What a thing is like, as water runs on it."""

    solid = "solid"
    jointed = "jointed"
    tube = "tube"
    cup = "cup"
    flat = "flat"
    mesh = "mesh"


class Lie(StrEnum):
    """How a thing lies, as water runs on it."""

    draining = "draining"
    level = "level"
    holding = "holding"


def _above_nothing(stated: Quantity, unit: str, example: str) -> Quantity:
    try:
        fits = stated.to(unit) > 0
    except BadQuantity:
        fits = False
    if not fits:
        raise ValueError(f"'{stated}' does not fit here; expected more than nothing, such as {example}")
    return stated


def _a_mass(stated: Quantity) -> Quantity:
    return _above_nothing(stated, "kg", "210 g")


def _a_length(stated: Quantity) -> Quantity:
    return _above_nothing(stated, "m", "3 mm")


def _a_material(stated: str) -> str:
    try:
        material(stated)
    except SinksideError as error:
        raise ValueError(error.message) from error
    return stated


StatedMass = Annotated[Quantity, AfterValidator(_a_mass)]
StatedLength = Annotated[Quantity, AfterValidator(_a_length)]
StatedMaterial = Annotated[str, AfterValidator(_a_material)]


class Thing(Value):
    """A thing in the tray, of one material or of several whose shares nobody knows.

    Attributes:
        name: what people call it; the set's word for a member where it says more of one.
        mass: what one of it weighs.
        count: how many there are.
        materials: what it is made of, in a maker's words or by the key of the table.
        shape: what it is like.
        lies: how it lies.
        depth: how far heat has to travel inside it; that of its shape unless said.
    """

    name: str = Field(min_length=1)
    mass: StatedMass | None = None
    count: int = Field(default=1, ge=1, le=_MOST_OF_ONE)
    materials: tuple[StatedMaterial, ...] = ()
    shape: Shape | None = None
    lies: Lie | None = None
    depth: StatedLength | None = None


class Packed(Value):
    """What the set lies in: its kind, what it weighs empty, what it is made of, and whether a liner is in it.

    Attributes:
        kind: container, wrap (its tray is a thing of its own) or pouch; as the department has it unless said.
        mass: what it weighs empty, without trays; that of the set less its trays unless said.
        material: what its floor is made of.
        liner: whether an absorbent liner lies on the floor.
    """

    kind: Literal["container", "wrap", "pouch"] | None = None
    mass: StatedMass | None = None
    material: StatedMaterial | None = None
    liner: bool = False


class OwnAssumption(Value):
    """A department's own ends in place of an assumption, and why."""

    assumption: str
    low: float
    high: float
    reason: str = Field(min_length=1)

    @model_validator(mode="after")
    def _fits(self) -> OwnAssumption:
        known = assumptions().get(self.assumption)
        if known is None:
            raise ValueError(
                f"'{self.assumption}' is no assumption; expected one of {', '.join(assumptions())}"
            )
        lowest, highest = _ENDS[known.unit]
        if not lowest <= self.low <= self.high <= highest:
            raise ValueError(
                f"{self.low:g} to {self.high:g} is no range of {self.assumption}; expected two numbers in "
                f"order, from {lowest:g} to {highest:g}{'' if known.unit == '1' else ' ' + known.unit}"
            )
        return self


class Things(Value):
    """What of a set takes up heat, where the set and its instructions do not say it."""

    format: Literal["sinkside/things-1"] = "sinkside/things-1"
    things: tuple[Thing, ...] = ()
    packaging: Packed | None = None
    assumptions: tuple[OwnAssumption, ...] = ()

    @model_validator(mode="after")
    def _names_stand_once(self) -> Things:
        for kind, names in (
            ("things", [thing.name for thing in self.things]),
            ("assumptions", [own.assumption for own in self.assumptions]),
        ):
            doubled = sorted({name for name in names if names.count(name) > 1})
            if doubled:
                raise ValueError(f"{kind} stand twice: {', '.join(doubled)}")
        return self
