"""What the things of a set are, where list and texts do not say it: masses, materials, how they lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.desk import set_moisture, sets
from sinkside.desk.set_things import (
    AssumptionSaid,
    BesideSaid,
    BesideStruck,
    PackagingSaid,
    Said,
    ThingsSaid,
)
from sinkside.errors import BadDocument, Fault
from sinkside.moisture import Lie, Piece, Shape, assumptions, materials
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.sets.moisture import ends_in_words
from sinkside.web.screens.sets.shelf import EDIT, PLACE, screen

Key = Annotated[str, Query(max_length=60)]

_SHAPES: Final = {
    Shape.solid: "solid: a rod, blade or block",
    Shape.jointed: "jointed: box lock, jaw, ratchet or spring",
    Shape.tube: "tube: a tube or lumen",
    Shape.cup: "cup: a bowl or cup",
    Shape.flat: "flat: a plate or mat",
    Shape.mesh: "mesh: a mesh tray or basket",
}
_LIES: Final = {
    Lie.draining: "draining: water runs off",
    Lie.level: "level: it lies flat",
    Lie.holding: "holding: water stands in it",
}
_AS_IT_IS: Final = Option("", "as it is")


@dataclass(frozen=True)
class ThingShown:
    """A thing of the set as it is known, what is lacking of it, and whether it lies beside the devices."""

    name: str
    count: int
    mass: str
    materials: str
    shape: str
    lies: str
    lacks: str
    beside: bool


@dataclass(frozen=True)
class AssumptionChoice:
    """An assumption: its key, what it is, the table's ends, and the department's own with their reason."""

    key: str
    context: str
    ends: str
    low: str
    high: str
    reason: str


@dataclass(frozen=True)
class ThingsPage:
    """What is said of the things of a set.

    Attributes:
        title: the heading.
        address: of this page.
        moisture: where the estimate is.
        set_name: the set.
        set_address: its page.
        revision: of what was said of them, which forms carry; 0 where nobody said anything.
        in_use: whether the set can still be changed.
        things: the things, as they are known.
        packaging: what is said of the packaging: mass, material and whether it is lined.
        materials: what a thing may be made of.
        shapes: what it may be like.
        lies: how it may lie.
        lacking: the names of what is not known well enough.
        assumptions: what may be assumed otherwise.
        chosen: the assumption that the form is about.
    """

    title: str
    address: str
    moisture: str
    set_name: str
    set_address: str
    revision: int
    in_use: bool
    things: tuple[ThingShown, ...]
    packaging: tuple[str, str, bool]
    materials: tuple[Option, ...]
    shapes: tuple[Option, ...]
    lies: tuple[Option, ...]
    lacking: tuple[str, ...]
    assumptions: tuple[AssumptionChoice, ...]
    chosen: AssumptionChoice


class OnThings(Form):
    """The revision of what was said that the person had before them."""

    on_revision: int = Field(ge=0, le=1_000_000)


class ThingsForm(OnThings):
    """What is said of the ticked things; `forget` takes back what was said of them."""

    names: list[str] = Field(default=[], max_length=500)
    mass: str = Field("", max_length=40)
    material: str = Field("", max_length=60)
    shape: str = Field("", max_length=20)
    lies: str = Field("", max_length=20)
    forget: bool = False


class BesideForm(OnThings):
    """A tray, mat or holder beside the devices."""

    beside_name: str = Field(max_length=200)
    count: str = Field("1", max_length=10)
    beside_mass: str = Field(max_length=40)
    beside_material: str = Field(max_length=60)
    beside_shape: str = Field("", max_length=20)
    beside_lies: str = Field("", max_length=20)


class StrikeForm(OnThings):
    """Which tray, mat or holder is not in the set."""

    name: str = Field(max_length=200)


class PackagingForm(OnThings):
    """What is said of the packaging."""

    packaging_mass: str = Field("", max_length=40)
    packaging_material: str = Field("", max_length=60)
    liner: bool = False


class AssumptionForm(OnThings):
    """Own ends of an assumption; all empty, the table's stand again."""

    assumption: str = Field(max_length=60)
    low: str = Field("", max_length=20)
    high: str = Field("", max_length=20)
    reason: str = Field("", max_length=500)


@screen.page(f"{PLACE}/{{key}}/moisture/things", right=EDIT, template="set_things.html")
def things(asked: Asked, key: str, *, assumption: Key = "") -> ThingsPage:
    """What is known of the things of a set, and forms to say more."""
    seen = set_moisture.see_moisture(asked.archive, asked.visitor, key)
    address = asked.at(f"/sets/{key}")
    packed = seen.things.packaging
    offered = _assumptions(seen)
    beside = {thing.name for thing in seen.things.beside}
    return ThingsPage(
        title="What its things are",
        address=f"{address}/moisture/things",
        moisture=f"{address}/moisture",
        set_name=seen.opened.document.name,
        set_address=address,
        revision=seen.number,
        in_use=seen.opened.row.state == sets.IN_USE,
        things=tuple(_thing(piece, beside) for piece in seen.pieces),
        packaging=(
            str(packed.mass or "") if packed else "",
            str(packed.material or "") if packed else "",
            packed.liner if packed else False,
        ),
        materials=(_AS_IT_IS, *(Option(one.key, one.title) for one in materials().values())),
        shapes=(_AS_IT_IS, *(Option(one.value, words) for one, words in _SHAPES.items())),
        lies=(_AS_IT_IS, *(Option(one.value, words) for one, words in _LIES.items())),
        lacking=tuple(piece.name for piece in seen.pieces if piece.lacking),
        assumptions=offered,
        chosen=next((one for one in offered if one.key == assumption), offered[0]),
    )


def _thing(piece: Piece, beside: set[str]) -> ThingShown:
    return ThingShown(
        name=piece.name,
        count=piece.count,
        mass=str(piece.mass or ""),
        materials=" or ".join(one.title.lower() for one in piece.materials),
        shape=piece.shape.value,
        lies=piece.lies.value,
        lacks=" and ".join(piece.lacking),
        beside=piece.name in beside,
    )


def _assumptions(seen: set_moisture.SetMoisture) -> tuple[AssumptionChoice, ...]:
    """What the answer hangs on; before there is one, everything that may be assumed."""
    told = [one.key for one in seen.told.assumptions] if seen.told else []
    own = {one.assumption: one for one in seen.things.assumptions}
    wanted = dict.fromkeys([*own, *(told or assumptions())])
    shown = []
    for key in wanted:
        known = assumptions()[key]
        ours = own.get(key)
        shown.append(
            AssumptionChoice(
                key,
                known.context,
                ends_in_words(known.low, known.high, known.unit),
                f"{ours.low:g}" if ours else "",
                f"{ours.high:g}" if ours else "",
                ours.reason if ours else "",
            )
        )
    return tuple(shown)


def _say(asked: Asked, key: str, said: Said, form: OnThings, *, fields: str = "") -> Done:
    """Keep what is said; a fault is told beside the field, whose name begins as the form's fields do."""
    try:
        set_moisture.say_of_things(
            asked.archive, asked.visitor, key, said, base=form.on_revision, now=asked.now
        )
    except BadDocument as error:
        raise BadDocument([_beside(fault, fields, form) for fault in error.faults]) from error
    return Done(go=asked.at(f"/sets/{key}/moisture/things"), said=f"Kept, by {asked.someone.name}.")


def _beside(fault: Fault, fields: str, form: OnThings) -> Fault:
    named = f"{fields}_{fault.path}"
    return Fault(named, fault.problem) if named in type(form).model_fields else fault


@screen.act(f"{PLACE}/{{key}}/moisture/things", right=EDIT, form=ThingsForm, page=things)
def say_of_things(asked: Asked, form: ThingsForm, key: str) -> Done:
    """Keep what is said of the ticked things."""
    said = ThingsSaid(tuple(form.names), form.mass, form.material, form.shape, form.lies, form.forget)
    return _say(asked, key, said, form)


@screen.act(f"{PLACE}/{{key}}/moisture/beside", right=EDIT, form=BesideForm, page=things)
def put_beside(asked: Asked, form: BesideForm, key: str) -> Done:
    """Keep that a tray, mat or holder lies beside the devices."""
    said = BesideSaid(
        form.beside_name,
        form.beside_mass,
        form.beside_material,
        form.beside_shape,
        form.beside_lies,
        form.count,
    )
    return _say(asked, key, said, form, fields="beside")


@screen.act(f"{PLACE}/{{key}}/moisture/beside/strike", right=EDIT, form=StrikeForm, page=things)
def strike_beside(asked: Asked, form: StrikeForm, key: str) -> Done:
    """Keep that a tray, mat or holder is not in the set."""
    return _say(asked, key, BesideStruck(form.name), form)


@screen.act(f"{PLACE}/{{key}}/moisture/packaging", right=EDIT, form=PackagingForm, page=things)
def say_of_packaging(asked: Asked, form: PackagingForm, key: str) -> Done:
    """Keep what is said of the packaging."""
    said = PackagingSaid(form.packaging_mass, form.packaging_material, form.liner)
    return _say(asked, key, said, form, fields="packaging")


@screen.act(f"{PLACE}/{{key}}/moisture/assumption", right=EDIT, form=AssumptionForm, page=things)
def assume(asked: Asked, form: AssumptionForm, key: str) -> Done:
    """Keep a department's own ends of an assumption, with the reason."""
    said = AssumptionSaid(form.assumption, form.low, form.high, form.reason)
    return _say(asked, key, said, form)
