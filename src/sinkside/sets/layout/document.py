"""Where each thing of a set lies in its tray (`sinkside/layout-1`), in mm from the tray's back left corner.

x runs to the right, y to the front where a person stands; turns are clockwise as seen from above. At turn 0 a
piece lies along x, its working end to the right.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, model_validator

from sinkside.documents import Value
from sinkside.findings import Finding
from sinkside.instruction import PartUse

#: A tray that is larger, or a piece, is a slip of the pen.
LONGEST_MM = 2000.0
#: So many things are laid out at once; a larger set is more than one tray.
MOST_PIECES = 120

Millimetres = Annotated[float, Field(gt=0.0, le=LONGEST_MM, allow_inf_nan=False)]
Place = Annotated[float, Field(ge=-LONGEST_MM, le=LONGEST_MM, allow_inf_nan=False)]
Gap = Annotated[float, Field(ge=0.0, le=500.0, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=-360.0, le=360.0, allow_inf_nan=False)]
Outline = tuple[tuple[Place, Place], ...]


class HolderKind(StrEnum):
    """What keeps a piece in its place: as files and departments name it."""

    bar = "bar"
    comb = "comb"
    pin = "pin"
    mat = "mat"
    tip_protector = "tip-protector"
    basket = "basket"


class Side(StrEnum):
    """A side of the tray, as a person sees it who stands before it."""

    left = "left"
    right = "right"
    front = "front"
    back = "back"


class Hollow(StrEnum):
    """Whether water can stand in a piece."""

    none = "none"
    lumen = "lumen"
    cup = "cup"


class Faces(StrEnum):
    """Where the opening of a cup looks."""

    down = "down"
    side = "side"
    up = "up"


class Holder(Value):
    """Something that holds pieces: a department's own by its id. `is_assumed`: nobody said its size."""

    id: str = Field(min_length=1)
    kind: HolderKind
    name: str = Field(min_length=1)
    length_mm: Millimetres | None = None
    width_mm: Millimetres | None = None
    is_assumed: bool = False


class Tray(Value):
    """The tray from inside.

    Attributes:
        id: the department's.
        name: what people call it.
        length_mm: from left to right.
        width_mm: from back to front.
        height_mm: from floor to rim; none where nobody said it.
        drain: how water leaves its floor.
        slope_deg: by how much it is sloped while it is sterilized and dried.
        lowest: the side that is lowest then.
        layers: how many levels things may lie on.
        is_assumed: whether nobody said its size, so that a common one is taken.
    """

    id: str = ""
    name: str = Field(min_length=1)
    length_mm: Millimetres
    width_mm: Millimetres
    height_mm: Millimetres | None = None
    drain: Literal["perforated", "holes", "none"] = "perforated"
    slope_deg: float = Field(default=0.0, ge=0.0, le=30.0)
    lowest: Side = Side.front
    layers: int = Field(default=1, ge=1, le=3)
    is_assumed: bool = False


class Clearances(Value):
    """The figures that a layout is judged by, all adjustable; `NOTES` says of each where it is from.

    Attributes:
        pieces_mm: between two pieces.
        wall_mm: between a piece and a wall of the tray.
        tip_mm: between a tip and a wall.
        heavy_kg: from which mass on a piece is heavy.
        heavy_mm: between a heavy piece and a delicate one.
        apart_mm: between two that must not lie beside each other.
        mates_mm: the most between two that belong together.
        small_mm: below which extent a piece is small, and lies in a closed basket.
        fall_deg: by how much a lumen must fall towards its opening.
    """

    pieces_mm: Gap = 5.0
    wall_mm: Gap = 5.0
    tip_mm: Gap = 10.0
    heavy_kg: float = Field(default=0.15, gt=0.0, le=50.0)
    heavy_mm: Gap = 20.0
    apart_mm: Gap = 30.0
    mates_mm: Gap = 40.0
    small_mm: Gap = 35.0
    fall_deg: float = Field(default=1.0, ge=0.0, le=30.0)


class LaidPiece(Value):
    """One thing that is picked up by itself.

    Attributes:
        id: its letter, with a number where there are several alike.
        letter: of its line in the list.
        member: what the set calls the device.
        part: the part of it; empty for the device as one piece.
        outline: closed, in mm about its own middle, at turn 0; empty where nobody knows it.
        is_measured: whether a person measured it, so that the outline is a box.
        lies: the position of each moving feature in which it lies.
        needed: the positions that its text asks for when steam must reach it.
        untold: the moving features of which the text does not say how they must be.
        mass_kg: what it weighs; none where nobody said it.
        delicate: why it is; empty where nothing says so.
        order: its turn in the order of use.
        use: whether it is used again, or which kind of single use it is.
        hollow: whether water can stand in it.
        faces: where the opening of a cup looks.
        holder: the holder it lies in; empty for none.
        raised_mm: by how much its back end is raised in its holder.
        x: of its middle.
        y: of its middle.
        turn: in degrees.
        layer: 0 is the floor.
    """

    id: str = Field(min_length=1, max_length=12)
    letter: str = Field(min_length=1, max_length=6)
    member: str = Field(min_length=1)
    part: str = ""
    outline: Outline = ()
    is_measured: bool = False
    lies: dict[str, str] = Field(default={})
    needed: dict[str, str] = Field(default={})
    untold: tuple[str, ...] = ()
    mass_kg: float | None = Field(default=None, gt=0.0, le=100.0)
    delicate: str = ""
    order: int | None = None
    use: PartUse = PartUse.reusable
    hollow: Hollow = Hollow.none
    faces: Faces = Faces.down
    holder: str = ""
    raised_mm: Gap = 0.0
    x: Place = 0.0
    y: Place = 0.0
    turn: Degrees = 0.0
    layer: int = Field(default=0, ge=0, le=2)

    @model_validator(mode="after")
    def _closes(self) -> LaidPiece:
        if self.outline and len(self.outline) < 3:  # noqa: PLR2004 # the fewest corners of an area
            raise ValueError("an outline has at least three corners")
        return self

    @property
    def name(self) -> str:
        """What people call it.

        >>> LaidPiece(id="A", letter="A", member="bone punch", part="base shaft").name
        'bone punch, base shaft'
        """
        return f"{self.member}, {self.part}" if self.part else self.member

    @property
    def length_mm(self) -> float:
        """How long it is at turn 0; 0 where nobody knows it."""
        return _extent(self.outline, 0)

    @property
    def width_mm(self) -> float:
        """How wide it is at turn 0; 0 where nobody knows it."""
        return _extent(self.outline, 1)


class Basket(Value):
    """A closed basket in the tray, with what lies in it; its holder says its size."""

    holder: str
    x: Place
    y: Place
    turn: Degrees = 0.0
    layer: int = Field(default=0, ge=0, le=2)


class LeftOut(Value):
    """A piece that found no place: why, and by how many mm it does not fit; none where that is not known."""

    piece: LaidPiece
    why: str
    by_mm: float | None = None


class KeptApart(Value):
    """Two members that must not lie beside each other, and why."""

    one: str
    other: str
    why: str


class Mates(Value):
    """Two members that belong together."""

    one: str
    other: str


class Layout(Value):
    """Where everything of a set lies.

    Attributes:
        set: the set's name.
        revision: of the set that it was made for; 0 where the set has none.
        tray: what it lies in.
        holders: what pieces may lie in.
        clearances: what it is judged by.
        pieces: what lies in the tray, by letter.
        baskets: the closed baskets.
        left_out: what found no place.
        apart: what must not lie beside each other.
        mates: what belongs together.
        never: single-use parts that the tray never holds, by name and use.
        assumed: names of pieces whose outline rests on a common size.
        seed: what the placing was seeded with.
        steps: how many steps of improvement were tried.
        findings: what is wrong with it, the worst first.
    """

    format: Literal["sinkside/layout-1"] = "sinkside/layout-1"
    set: str = Field(min_length=1)
    revision: int = Field(default=0, ge=0)
    tray: Tray
    holders: tuple[Holder, ...] = ()
    clearances: Clearances = Clearances()
    pieces: tuple[LaidPiece, ...] = Field(default=(), max_length=MOST_PIECES)
    baskets: tuple[Basket, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    apart: tuple[KeptApart, ...] = ()
    mates: tuple[Mates, ...] = ()
    never: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    seed: int = Field(default=1, ge=0)
    steps: int = Field(default=0, ge=0)
    findings: tuple[Finding, ...] = ()

    @model_validator(mode="after")
    def _holds_together(self) -> Layout:
        names = [piece.id for piece in self.pieces] + [one.piece.id for one in self.left_out]
        if len(set(names)) != len(names):
            raise ValueError("an id stands twice among the pieces")
        known = {holder.id for holder in self.holders}
        if unknown := sorted({piece.holder for piece in self.pieces if piece.holder} - known):
            raise ValueError(f"no holder is called {', '.join(unknown)}")
        if unknown := sorted({basket.holder for basket in self.baskets} - known):
            raise ValueError(f"no basket is called {', '.join(unknown)}")
        return self

    def holder(self, holder_id: str) -> Holder | None:
        """A holder by its id; none where there is none."""
        return next((one for one in self.holders if one.id == holder_id), None)

    def piece(self, piece_id: str) -> LaidPiece | None:
        """A piece that lies in the tray, by its id."""
        return next((one for one in self.pieces if one.id == piece_id), None)

    def in_basket(self, piece: LaidPiece) -> bool:
        """Whether a piece lies in a closed basket, and so has no place of its own."""
        holder = self.holder(piece.holder)
        return holder is not None and holder.kind is HolderKind.basket


def _extent(outline: Outline, axis: int) -> float:
    if not outline:
        return 0.0
    along = [point[axis] for point in outline]
    return math.fsum((max(along), -min(along)))
