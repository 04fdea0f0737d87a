"""What is in a set by its own list and by its members' texts: what lies in the tray, and what does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.instruction import Instruction, Part, PartUse
from sinkside.quantities import Quantity
from sinkside.sets.document import Member, Piece, SetDocument

#: What the tray never holds: thrown away where it was used, or opened sterile at the field.
NEVER_IN_THE_TRAY: Final = frozenset({PartUse.discard_after_use, PartUse.sterile_at_field})


@dataclass(frozen=True)
class Content:
    """One line of the contents.

    Attributes:
        member: what the set calls the device.
        name: the part as its text names it; empty for the device as one piece.
        use: whether it is used again, or which kind of single use it is.
        count: how many of it the whole set has.
        listed: whether the set's own list has it, or only the device's text.
        mass: what one of it weighs; none where nobody said it.
        lies: where it lies; empty where nobody said it.
        order: the device's turn in the order of use.
    """

    member: str
    name: str
    use: PartUse
    count: int
    listed: bool
    mass: Quantity | None
    lies: str
    order: int | None


def contents_of(document: SetDocument, instructions: Mapping[str, Instruction]) -> tuple[Content, ...]:
    """Every line of the contents, in the order of use and then of the list.

    Args:
        document: the set.
        instructions: the texts of its members by what the set calls them; those that nobody has are left out.
    """
    last = max((member.order or 0 for member in document.members), default=0) + 1
    members = sorted(document.members, key=lambda one: one.order or last)
    return tuple(line for member in members for line in _of_member(member, instructions.get(member.called)))


def part_of(piece: Piece, text: Instruction) -> Part | None:
    """The part of a text that a piece of the list is, by id or name in whatever case."""
    wanted = piece.part.strip().casefold()
    return next(
        (part for part in text.device.parts if wanted in {part.id.casefold(), part.name.casefold()}), None
    )


def listed_parts(member: Member, text: Instruction) -> frozenset[str]:
    """The ids of the parts of a text that the set's list has."""
    found = (part_of(piece, text) for piece in member.parts)
    return frozenset(part.id for part in found if part is not None)


def _of_member(member: Member, text: Instruction | None) -> Iterator[Content]:
    if not member.parts:
        mass = member.mass or (text.device.mass if text else None)
        yield Content(
            member.called, "", PartUse.reusable, member.count, True, mass, member.lies or "", member.order
        )
    for piece in member.parts:
        part = part_of(piece, text) if text else None
        yield Content(
            member=member.called,
            name=part.name if part else piece.part,
            use=part.use if part else PartUse.reusable,
            count=member.count * piece.count,
            listed=True,
            mass=piece.mass or (part.mass if part else None),
            lies=piece.lies or member.lies or "",
            order=member.order,
        )
    if text is not None:
        yield from _unlisted(member, text)


def _unlisted(member: Member, text: Instruction) -> Iterator[Content]:
    """Single-use parts that only the text names: people must know of them wherever the set is looked at."""
    listed = listed_parts(member, text)
    for part in text.device.parts:
        if part.use is not PartUse.reusable and part.id not in listed:
            count = member.count * (part.count or 1)
            yield Content(member.called, part.name, part.use, count, False, part.mass, "", member.order)
