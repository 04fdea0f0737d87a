"""The things of a set with mass, material, shape and way of lying, as far as anybody knows them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sinkside.department import Department
from sinkside.errors import BadInput
from sinkside.instruction import Device, FeatureKind, Instruction, Part
from sinkside.moisture.bounds import Container, Item
from sinkside.moisture.tables import Material, material, materials_said
from sinkside.moisture.things import Lie, Packed, Shape, Thing, Things
from sinkside.quantities import Quantity
from sinkside.sets import NEVER_IN_THE_TRAY, Member, SetDocument
from sinkside.sets.contents import part_of

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
class Piece:
    """A piece with everything that is known of it.

    Attributes:
        name: what people call it.
        member: what the set calls the device that it is, or is a part of; its own name where it is beside.
        count: how many of it.
        mass: what one weighs.
        materials: what it may be made of.
        shape: what it is like.
        lies: how it lies.
        depth: how far heat travels inside it, where somebody said so.
        movable: whether it could go into another set.
    """

    name: str
    member: str
    count: int
    mass: Quantity | None
    materials: tuple[Material, ...]
    shape: Shape
    lies: Lie = Lie.level
    depth: Quantity | None = None
    movable: bool = True

    @property
    def lacking(self) -> tuple[str, ...]:
        """What has to be said of it before anything is reckoned."""
        return tuple(word for word, known in (("mass", self.mass), ("material", self.materials)) if not known)


def gather(
    document: SetDocument, texts: Mapping[str, Instruction], department: Department, known: Things
) -> Gathered:
    """The things of a set and its packaging, and what is missing to reckon with them.

    What is known else goes before what set and texts say: by the name of a piece, else of its member. Things
    that no member is called stand beside the members: trays, mats, holders.

    Args:
        document: the set.
        texts: the members' texts by what the set calls them.
        department: what the site has.
        known: what else is known of its things.

    Raises:
        BadInput: if a member's text is not given, or things and department differ on the packaging.
    """
    every = pieces(document, texts, known)
    said = {thing.name for thing in known.things}
    ours = {name for piece in every if piece.movable for name in (piece.name, piece.member)}
    beside = [thing for thing in known.things if thing.name not in ours]
    missing: list[str] = []
    items = [_item(piece, missing) for piece in every]
    found = tuple(item for item in items if item is not None)
    holders = dict.fromkeys(member.holder for member in document.members if member.holder)
    if document.packaging_mass is None:
        missing += [
            f"{holder}: mass, material and shape of what the devices lie in"
            for holder in holders
            if holder not in said
        ]
    container = _container(document, department, known.packaging, beside, missing)
    missing += _unaccounted(document, found, container)
    return Gathered(found, container, tuple(missing))


def pieces(document: SetDocument, texts: Mapping[str, Instruction], known: Things) -> tuple[Piece, ...]:
    """Every piece of a set, and the things beside them, with what is known of each.

    Args:
        document: the set.
        texts: the members' texts by what the set calls them.
        known: what else is known of its things.

    Raises:
        BadInput: if a member's text is not given.
    """
    said = {thing.name: thing for thing in known.things}
    of_members = [piece for member in document.members for piece in _pieces_of(member, texts, said)]
    ours = {name for piece in of_members for name in (piece.name, piece.member)}
    beside = [_piece_of(thing) for thing in known.things if thing.name not in ours]
    return tuple(_with_what_is_said(piece, said) for piece in (*of_members, *beside))


def _pieces_of(
    member: Member, texts: Mapping[str, Instruction], said: Mapping[str, Thing]
) -> Iterator[Piece]:
    """The parts of a member one by one where each has a mass, else the device as one piece."""
    name = member.called
    if name not in texts:
        raise BadInput(f"the instruction of '{name}' is not given", resource=name)
    device = texts[name].device
    whole = said[name].mass if name in said else None
    listed = _listed(member, texts[name])
    if len(listed) > 1 and all(mass for _, _, mass in listed) and not (whole or member.mass):
        for part, count, mass in listed:
            yield Piece(
                name=f"{name}, {part.name}",
                member=name,
                count=member.count * count,
                mass=mass,
                materials=materials_said(part.materials),
                shape=_shape(device, (part,)),
            )
        return
    parts = [part for part, _, _ in listed]
    yield Piece(
        name=name,
        member=name,
        count=member.count,
        mass=member.mass or device.mass or (listed[0][2] if len(listed) == 1 else None),
        materials=materials_said(tuple(text for part in parts for text in part.materials)),
        shape=_shape(device, parts),
    )


def _listed(member: Member, text: Instruction) -> list[tuple[Part, int, Quantity | None]]:
    """The parts of one device that lie in the tray: those of the set's list, else those of the text."""
    if not member.parts:
        return [(part, 1, part.mass) for part in text.device.parts if part.use not in NEVER_IN_THE_TRAY]
    found = [(part_of(piece, text), piece) for piece in member.parts]
    return [
        (
            part or Part(id=piece.part, name=piece.part),
            piece.count,
            piece.mass or (part.mass if part else None),
        )
        for part, piece in found
        if part is None or part.use not in NEVER_IN_THE_TRAY
    ]


def _piece_of(thing: Thing) -> Piece:
    return Piece(thing.name, thing.name, thing.count, None, (), thing.shape or Shape.solid, movable=False)


def _shape(device: Device, parts: Sequence[Part]) -> Shape:
    """What holds most water of what a part's features say; a plain piece where they say nothing."""
    ids = {part.id for part in parts}
    kinds = {feature.kind for feature in device.features if feature.part is None or feature.part in ids}
    if FeatureKind.lumen in kinds:
        return Shape.tube
    return Shape.jointed if kinds & _JOINTED else Shape.solid


def _with_what_is_said(piece: Piece, said: Mapping[str, Thing]) -> Piece:
    """A piece with what is said of it, else of its member, before what set and text say."""
    closest = [thing for name in (piece.name, piece.member) if (thing := said.get(name))]
    named = next((thing.materials for thing in closest if thing.materials), ())
    return replace(
        piece,
        mass=next((thing.mass for thing in closest if thing.mass), piece.mass),
        materials=tuple(material(one) for one in named) or piece.materials,
        shape=next((thing.shape for thing in closest if thing.shape), piece.shape),
        lies=next((thing.lies for thing in closest if thing.lies), piece.lies),
        depth=next((thing.depth for thing in closest if thing.depth), None),
    )


def _item(piece: Piece, missing: list[str]) -> Item | None:
    """A piece as the estimate needs it; what it lacks is added to what is missing."""
    if piece.mass is None or not piece.materials:
        missing.append(f"{piece.name}: its {' and '.join(piece.lacking)}")
        return None
    return Item(
        name=piece.name if piece.count == 1 else f"{piece.name} × {piece.count}",
        kg=piece.count * piece.mass.to("kg"),
        materials=piece.materials,
        shape=piece.shape,
        lies=piece.lies,
        depth_m=piece.depth.to("m") if piece.depth else None,
        movable=piece.movable,
    )


def _unaccounted(document: SetDocument, items: Sequence[Item], container: Container | None) -> Iterator[str]:
    """That the scale showed more than the things come to: what is not known condenses water too."""
    if document.mass is None or container is None:
        return
    weighed, summed = document.mass.to("kg"), sum(item.kg for item in items) + container.kg
    if summed < (1.0 - _SCALE) * weighed:
        yield (
            f"{weighed - summed:.2f} kg is in no thing: the scale showed {document.mass}, "
            f"the sum is {summed:.2f} kg"
        )


def _container(
    document: SetDocument,
    department: Department,
    packed: Packed | None,
    beside: Iterable[Thing],
    missing: list[str],
) -> Container | None:
    """What the set lies in; what is not known of it is added to what is missing."""
    known = next((one for one in department.packaging if one.id == document.packaging), None)
    if document.packaging and known is None:
        raise BadInput(
            f"the department has no packaging '{document.packaging}'; expected one of "
            f"{', '.join(one.id for one in department.packaging) or 'none'}",
            resource=document.name,
        )
    if known and packed and packed.kind and known.kind != packed.kind:
        raise BadInput(
            f"the set lies in {known.name} ({known.kind}), its things say {packed.kind}; expected the same",
            resource=document.name,
        )
    kind = (packed.kind if packed else None) or (known.kind if known else None)
    name = known.name if known else f"the {kind}" if kind else "the packaging"
    kg = _empty_kg(document, packed, beside)
    made_of = packed.material if packed else None
    lacking = [
        word
        for word, value in (
            ("whether it is a container, wrap or pouch", kind if kind != "tray" else None),
            ("what it weighs empty", kg),
            ("what its floor is made of", made_of),
        )
        if not value
    ]
    if kind is None or kg is None or made_of is None or lacking:
        missing.append(f"{name}: {', '.join(lacking)}")
        return None
    return Container(name, kind, kg, material(made_of), liner=packed is not None and packed.liner)


def _empty_kg(document: SetDocument, packed: Packed | None, beside: Iterable[Thing]) -> float | None:
    """What the packaging weighs empty: as said, else what the set says less its trays, mats and holders."""
    if packed and packed.mass:
        return packed.mass.to("kg")
    if document.packaging_mass is None:
        return None
    trays = sum(thing.count * thing.mass.to("kg") for thing in beside if thing.mass)
    rest = document.packaging_mass.to("kg") - trays
    if rest <= 0.0:
        raise BadInput(
            f"trays and mats weigh {trays:g} kg, the packaging with them {document.packaging_mass}; "
            "expected them to be lighter",
            resource=document.name,
        )
    return rest
