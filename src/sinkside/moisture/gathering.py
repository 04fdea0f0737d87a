"""The things of a set with mass, material, shape and way of lying, as far as anybody knows them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.department import Department
from sinkside.errors import BadInput
from sinkside.instruction import Device, FeatureKind, Instruction, Part, PartUse
from sinkside.moisture.bounds import Container, Item
from sinkside.moisture.tables import Material, material, materials_said
from sinkside.moisture.things import Lie, Packed, Shape, Thing, Things
from sinkside.quantities import Quantity
from sinkside.sets import Member, SetDocument

#: What of a device lies in the tray; the rest was thrown away, or comes sterile to the field.
_IN_THE_TRAY: Final = {PartUse.reusable, PartUse.new_at_assembly}

#: A sum this much below what the scale showed still is the whole set (common practice, no source).
_SCALE: Final = 0.05

_JOINTED: Final = {
    FeatureKind.joint,
    FeatureKind.jaw,
    FeatureKind.ratchet,
    FeatureKind.spring,
    FeatureKind.sliding_sleeve,
    FeatureKind.thread,
    FeatureKind.knob,
}


@dataclass(frozen=True)
class Gathered:
    """What is known of a set's things.

    Attributes:
        items: the things of which enough is known.
        container: the packaging; none where too little is known.
        missing: what has to be said first, one sentence each; with any of it there is no estimate.
    """

    items: tuple[Item, ...]
    container: Container | None
    missing: tuple[str, ...]


@dataclass(frozen=True)
class _Piece:
    """A piece as its instruction knows it."""

    name: str
    member: str
    count: int
    mass: Quantity | None
    materials: tuple[Material, ...]
    shape: Shape
    movable: bool = True


def gather(
    document: SetDocument, instructions: Mapping[str, Instruction], department: Department, known: Things
) -> Gathered:
    """The things of a set and its packaging, and what is missing to reckon with them.

    What is known else goes before what an instruction says: by the name of a piece, else of its member.
    Things that no member is called stand beside the members: trays, mats, holders.

    Args:
        document: the set.
        instructions: the members' instructions by the name that the set calls them by.
        department: what the site has.
        known: what else is known of its things.

    Raises:
        BadInput: if a member's instruction is not given, or things and department differ on the packaging.
    """
    said = {thing.name: thing for thing in known.things}
    pieces = [piece for member in document.members for piece in _pieces_of(member, instructions, said)]
    ours = {name for piece in pieces for name in (piece.name, piece.member)}
    beside = [thing for thing in known.things if thing.name not in ours]
    missing: list[str] = []
    items = [_item(piece, said, missing) for piece in pieces]
    items += [_item(_piece_of(thing), said, missing) for thing in beside]
    holders = dict.fromkeys(member.holder for member in document.members if member.holder)
    missing += [
        f"{holder}: mass, material and shape of what the devices lie in"
        for holder in holders
        if holder not in said
    ]
    container = _container(document, department, known.packaging, missing)
    missing += _unaccounted(document, [item for item in items if item], container)
    return Gathered(tuple(item for item in items if item is not None), container, tuple(missing))


def _pieces_of(
    member: Member, instructions: Mapping[str, Instruction], said: Mapping[str, Thing]
) -> Iterator[_Piece]:
    """The parts of a member one by one where each has a mass, else the device as one piece."""
    name = member.instruction
    if name not in instructions:
        raise BadInput(f"the instruction of '{name}' is not given", resource=name)
    device = instructions[name].device
    parts = [part for part in device.parts if part.use in _IN_THE_TRAY]
    weighed_whole = name in said and said[name].mass is not None
    if len(parts) > 1 and all(part.mass for part in parts) and not weighed_whole:
        for part in parts:
            yield _Piece(
                name=f"{name}, {part.name}",
                member=name,
                count=member.count,
                mass=part.mass,
                materials=materials_said(part.materials),
                shape=_shape(device, (part,)),
            )
        return
    yield _Piece(
        name=name,
        member=name,
        count=member.count,
        mass=device.mass or (parts[0].mass if len(parts) == 1 else None),
        materials=materials_said(tuple(text for part in parts for text in part.materials)),
        shape=_shape(device, parts),
    )


def _piece_of(thing: Thing) -> _Piece:
    return _Piece(thing.name, thing.name, thing.count, None, (), thing.shape or Shape.solid, movable=False)


def _shape(device: Device, parts: Sequence[Part]) -> Shape:
    """What holds most water of what a part's features say; a plain piece where they say nothing."""
    ids = {part.id for part in parts}
    kinds = {feature.kind for feature in device.features if feature.part is None or feature.part in ids}
    if FeatureKind.lumen in kinds:
        return Shape.tube
    return Shape.jointed if kinds & _JOINTED else Shape.solid


def _item(piece: _Piece, said: Mapping[str, Thing], missing: list[str]) -> Item | None:
    """A piece as the estimate needs it; what it lacks is added to what is missing."""
    closest = [thing for name in (piece.name, piece.member) if (thing := said.get(name))]
    mass = next((thing.mass for thing in closest if thing.mass), piece.mass)
    named = next((thing.materials for thing in closest if thing.materials), ())
    made_of = tuple(material(one) for one in named) or piece.materials
    shape = next((thing.shape for thing in closest if thing.shape), piece.shape)
    depth = next((thing.depth for thing in closest if thing.depth), None)
    lacking = [word for word, known in (("mass", mass), ("material", made_of)) if not known]
    if mass is None or not made_of:
        missing.append(f"{piece.name}: its {' and '.join(lacking)}")
        return None
    return Item(
        name=piece.name if piece.count == 1 else f"{piece.name} × {piece.count}",
        kg=piece.count * mass.to("kg"),
        materials=made_of,
        shape=shape,
        lies=next((thing.lies for thing in closest if thing.lies), Lie.level),
        depth_m=depth.to("m") if depth else None,
        movable=piece.movable,
    )


def _unaccounted(document: SetDocument, items: Sequence[Item], container: Container | None) -> Iterator[str]:
    """That the scale showed more than the things come to: what is not known condenses water too."""
    if document.mass is None or container is None:
        return
    weighed, summed = document.mass.to("kg"), sum(item.kg for item in items) + container.kg
    if summed < (1.0 - _SCALE) * weighed:
        yield f"{weighed - summed:.2f} kg more: the scale showed {document.mass}, the sum is {summed:.2f} kg"


def _container(
    document: SetDocument, department: Department, packed: Packed | None, missing: list[str]
) -> Container | None:
    """What the set lies in; what is not known of it is added to what is missing."""
    known = next((one for one in department.packaging if one.id == document.packaging), None)
    if document.packaging and known is None:
        raise BadInput(
            f"the department has no packaging '{document.packaging}'; expected one of "
            f"{', '.join(one.id for one in department.packaging) or 'none'}",
            resource=document.name,
        )
    name = known.name if known else f"the {packed.kind}" if packed else "the packaging"
    kind = packed.kind if packed else known.kind if known else None
    if known and packed and known.kind != packed.kind:
        raise BadInput(
            f"the set lies in {known.name} ({known.kind}), its things say {packed.kind}; expected the same",
            resource=document.name,
        )
    if kind is None or kind == "tray" or packed is None or packed.mass is None or packed.material is None:
        missing.append(f"{name}: whether it is a container, wrap or pouch, its empty mass and its material")
        return None
    return Container(name, kind, packed.mass.to("kg"), material(packed.material), liner=packed.liner)
