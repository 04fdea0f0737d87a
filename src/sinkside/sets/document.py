"""What travels together (`sinkside/set-1`): devices with their parts and counts, and what they lie in."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from sinkside.documents import Value
from sinkside.errors import BadQuantity
from sinkside.quantities import Quantity

#: More of one thing is a slip of the pen.
MOST_OF_ONE = 999


def _more_than_nothing(stated: Quantity) -> Quantity:
    try:
        weighs_something = stated.to("kg") > 0
    except BadQuantity:
        weighs_something = False
    if not weighs_something:
        raise ValueError(f"'{stated}' is no mass; expected one such as 210 g")
    return stated


Mass = Annotated[Quantity, AfterValidator(_more_than_nothing)]


class Piece(Value):
    """A part counted by itself: how many for one device, what one weighs, where it lies."""

    part: str = Field(min_length=1)
    count: int = Field(default=1, ge=1, le=MOST_OF_ONE)
    mass: Mass | None = None
    lies: str | None = None


class Apart(Value):
    """Another member that must not lie beside this one, and why."""

    of: str
    why: str = Field(min_length=1)


class Substitute(Value):
    """A device that may stand in for a member: its instruction, who allowed it, and why."""

    instruction: str = Field(min_length=1)
    allowed_by: str = Field(min_length=1)
    why: str = ""


class Member(Value):
    """A device of the set.

    Attributes:
        instruction: the instruction's file, its id, or the device as its text names it.
        name: what the set calls it; the same as `instruction` unless said.
        count: how many of the device.
        parts: its parts, where they are counted one by one; else each device is one piece.
        mass: what one device weighs; its instruction says it where this does not.
        holder: what it lies in, inside the packaging.
        lies: where it lies, in words.
        order: its turn in the order of use; some may share a turn.
        mates: other members that it belongs with, one for one.
        apart: other members that must not lie beside it.
        substitutes: what may stand in for it.
    """

    instruction: str = Field(min_length=1)
    name: str = ""
    count: int = Field(default=1, ge=1, le=MOST_OF_ONE)
    parts: tuple[Piece, ...] = ()
    mass: Mass | None = None
    holder: str | None = None
    lies: str | None = None
    order: int | None = Field(default=None, ge=1, le=MOST_OF_ONE)
    mates: tuple[str, ...] = ()
    apart: tuple[Apart, ...] = ()
    substitutes: tuple[Substitute, ...] = ()

    @property
    def called(self) -> str:
        """What the set calls it."""
        return self.name or self.instruction

    @property
    def pieces(self) -> int:
        """How many pieces are counted."""
        return self.count * (sum(piece.count for piece in self.parts) if self.parts else 1)


class SetDocument(Value):
    """A set: its name, its members, what it lies in, and its mass when weighed.

    Attributes:
        name: what people call it.
        members: its devices.
        packaging: the container, wrap or pouch, by its id in the department.
        packaging_mass: what the empty packaging weighs, with trays and holders.
        mass: what the packed set weighs on the scale.
        pieces: how many pieces the count sheet says.
    """

    format: Literal["sinkside/set-1"] = "sinkside/set-1"
    name: str = Field(min_length=1)
    members: tuple[Member, ...]
    packaging: str | None = None
    packaging_mass: Mass | None = None
    mass: Mass | None = None
    pieces: int | None = Field(default=None, ge=1)

    @model_validator(mode="after")
    def _has_members(self) -> SetDocument:
        if not self.members:
            raise ValueError("a set has at least one member")
        return self

    def member(self, called: str) -> Member | None:
        """The member that the set calls so."""
        return next((one for one in self.members if one.called == called), None)

    @property
    def counted(self) -> int:
        """How many pieces the list comes to."""
        return sum(member.pieces for member in self.members)

    def by_name(self) -> SetDocument:
        """The same set with members that go by what the set calls them, as routes name them."""
        members = tuple(one.model_copy(update={"instruction": one.called}) for one in self.members)
        return self.model_copy(update={"members": members})
