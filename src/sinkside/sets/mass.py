"""What a set weighs with what it lies in, and the most that is published for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.instruction import Instruction
from sinkside.limits import Limit, Profile
from sinkside.sets.contents import NEVER_IN_THE_TRAY, Content
from sinkside.sets.document import SetDocument

#: The published limits of a packed set; those of textile packs are others.
_OF_PACKED_SETS: Final = ("mass-set-limit-us", "mass-container-europe")


@dataclass(frozen=True)
class SetMass:
    """What a set weighs.

    Attributes:
        weighed_kg: what the scale showed for the packed set; none where nobody weighed it.
        summed_kg: what those pieces come to whose mass is known, with the packaging where that is known.
        unknown: what has no mass; nothing where the sum is whole.
        limit: the published limit in force; none where the profile has none.
    """

    weighed_kg: float | None
    summed_kg: float
    unknown: tuple[str, ...]
    limit: Limit | None

    @property
    def kg(self) -> float | None:
        """What it weighs: as weighed, else the whole sum; none where neither is known."""
        return self.weighed_kg if self.weighed_kg is not None else None if self.unknown else self.summed_kg

    @property
    def at_least_kg(self) -> float:
        """What it weighs at least."""
        return max(self.weighed_kg or 0.0, self.summed_kg)


def mass_of(
    document: SetDocument,
    contents: Sequence[Content],
    instructions: Mapping[str, Instruction],
    limits: Profile,
) -> SetMass:
    """What a set weighs with its packaging, and the limit in force.

    Where some part has no mass but the whole device has, the device is taken as one piece.

    Args:
        document: the set.
        contents: its lines.
        instructions: the members' texts by what the set calls them.
        limits: the profile that the department works to.
    """
    sums = [_of_member(document, called, contents, instructions) for called in _called(document)]
    packaging = document.packaging_mass
    unknown = [name for _, missing in sums for name in missing]
    return SetMass(
        weighed_kg=document.mass.to("kg") if document.mass else None,
        summed_kg=sum(kg for kg, _ in sums) + (packaging.to("kg") if packaging else 0.0),
        unknown=(*unknown, *(() if packaging else ("the empty packaging",))),
        limit=limit_in_force(limits),
    )


def limit_in_force(limits: Profile) -> Limit | None:
    """The published limit of a packed set in a profile; none where it has none.

    >>> from sinkside.limits import profile
    >>> limit_in_force(profile("eu")).value[0], limit_in_force(profile("uk"))
    (10.0, None)
    """
    known = {limit.id: limit for limit in limits.limits(topic="mass", quantity="mass")}
    return next((known[name] for name in _OF_PACKED_SETS if name in known), None)


def _called(document: SetDocument) -> list[str]:
    return [member.called for member in document.members]


def _of_member(
    document: SetDocument,
    called: str,
    contents: Sequence[Content],
    instructions: Mapping[str, Instruction],
) -> tuple[float, list[str]]:
    """What the pieces of a member come to, and which of them have no mass."""
    own = [line for line in contents if line.member == called and _lies_in_the_tray(line)]
    missing = [f"{called}, {line.name}" if line.name else called for line in own if line.mass is None]
    member = document.member(called)
    text = instructions.get(called)
    whole = member.mass if member and member.mass else text.device.mass if text else None
    if missing and whole is not None and member is not None:
        return member.count * whole.to("kg"), []
    return sum(line.count * line.mass.to("kg") for line in own if line.mass is not None), missing


def _lies_in_the_tray(line: Content) -> bool:
    return line.listed and line.use not in NEVER_IN_THE_TRAY
