"""What is in a set as its page shows it: devices and parts, what is kept apart, single use."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sinkside.desk.set_editing import member_called
from sinkside.desk.sets import SeenSet
from sinkside.instruction import PartUse
from sinkside.sets import NEVER_IN_THE_TRAY, Content, Member, SetDocument
from sinkside.web.asked import Asked

_USE_WORDS: Final = {
    PartUse.reusable: "",
    PartUse.new_at_assembly: "new at assembly",
    PartUse.discard_after_use: "thrown away where it was used",
    PartUse.sterile_at_field: "sterile, opened at the field",
}

#: The three kinds of single use, which are never mixed up: in the order in which people meet them.
_SINGLE_USE: Final = (PartUse.new_at_assembly, PartUse.discard_after_use, PartUse.sterile_at_field)


@dataclass(frozen=True)
class PartShown:
    """A part of a device: what it is, of which device, how many, what one weighs, where it lies.

    `single_use` is which kind of single use it is; empty where it is used again.
    """

    name: str
    device: str
    count: int
    mass: str
    lies: str
    single_use: str


@dataclass(frozen=True)
class DeviceShown:
    """A device of the contents.

    Attributes:
        address: where it is changed.
        name: what the set calls it.
        text: its instruction's page; empty where none is known.
        device: what its text calls it, where the set calls it otherwise.
        count: how many of it.
        mass: what one weighs.
        lies: where it lies.
        order: its turn.
        parts: its parts, where they are counted one by one.
        mates: what it belongs with, in words.
        notes: what it belongs with, must not lie beside, and what may stand in for it.
    """

    address: str
    name: str
    text: str
    device: str
    count: int
    mass: str
    lies: str
    order: str
    parts: tuple[PartShown, ...]
    mates: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class ApartShown:
    """Two devices that must not lie together, and why."""

    one: str
    other: str
    why: str


@dataclass(frozen=True)
class StandInShown:
    """What may stand in for a device, who allowed it, and why."""

    device: str
    instead: str
    allowed_by: str
    why: str


@dataclass(frozen=True)
class SingleUseShown:
    """One of the three kinds of single use: what it means, whether the tray holds it, and the parts."""

    words: str
    in_the_tray: bool
    parts: tuple[PartShown, ...]


def devices_shown(asked: Asked, seen: SeenSet) -> tuple[DeviceShown, ...]:
    """The devices in the order of use, each once."""
    called = dict.fromkeys(line.member for line in seen.answer.contents)
    return tuple(_device(asked, seen, one) for one in called)


def apart_shown(document: SetDocument) -> tuple[ApartShown, ...]:
    """What must not lie together, each pair once for each reason."""
    found: dict[tuple[frozenset[str], str], ApartShown] = {}
    for member in document.members:
        for one in member.apart:
            key = (frozenset({member.called, one.of}), one.why)
            found.setdefault(key, ApartShown(member.called, one.of, one.why))
    return tuple(found.values())


def stand_ins_shown(seen: SeenSet) -> tuple[StandInShown, ...]:
    """What may stand in for which device."""
    return tuple(
        StandInShown(
            member.called, seen.names.get(one.instruction, one.instruction), one.allowed_by, one.why or ""
        )
        for member in seen.opened.document.members
        for one in member.substitutes
    )


def single_use_shown(contents: Iterable[Content]) -> tuple[SingleUseShown, ...]:
    """The kinds of single use that the set's list or texts name, and their parts."""
    lines = tuple(contents)
    kinds = ((use, tuple(_part(line) for line in lines if line.use is use)) for use in _SINGLE_USE)
    return tuple(
        SingleUseShown(_USE_WORDS[use], use not in NEVER_IN_THE_TRAY, parts) for use, parts in kinds if parts
    )


def _device(asked: Asked, seen: SeenSet, called: str) -> DeviceShown:
    document = seen.opened.document
    member = member_called(document, called)
    row = seen.texts[called].row
    device = seen.names.get(row.id, "") if row else member.instruction
    own = [line for line in seen.answer.contents if line.member == called and line.listed]
    whole = next((line for line in own if not line.name), None)
    return DeviceShown(
        address=asked.at(f"/sets/{seen.opened.row.id}/devices/{document.members.index(member) + 1}"),
        name=called,
        text=asked.at(f"/instructions/{row.id}") if row else "",
        device=device if device != called else "",
        count=member.count,
        mass=str((whole.mass if whole else member.mass) or ""),
        lies=member.lies or "",
        order=str(member.order or ""),
        parts=tuple(_part(line) for line in own if line.name),
        mates=f"belongs with {', '.join(member.mates)}" if member.mates else "",
        notes=tuple(_notes(member, seen)),
    )


def _part(line: Content) -> PartShown:
    return PartShown(
        name=line.name,
        device=line.member,
        count=line.count,
        mass=str(line.mass or ""),
        lies=line.lies,
        single_use=_USE_WORDS[line.use],
    )


def _notes(member: Member, seen: SeenSet) -> Iterable[str]:
    """What else is said of a device: what it belongs with, is kept from, and what may stand in."""
    if member.mates:
        yield f"belongs with {', '.join(member.mates)}"
    for apart in member.apart:
        yield f"not beside {apart.of}: {apart.why}"
    for one in member.substitutes:
        called = seen.names.get(one.instruction, one.instruction)
        yield f"{called} may stand in, allowed by {one.allowed_by}{f': {one.why}' if one.why else ''}"
