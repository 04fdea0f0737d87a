"""A device of a set: added, changed and struck; each is a revision with a name on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.desk import set_editing, sets
from sinkside.desk.set_editing import AddMember, CorrectMember, MemberFields, StrikeMember
from sinkside.errors import NotThere
from sinkside.sets import Member, SetDocument
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Option
from sinkside.web.screens.sets.acts import OnRevision, changed
from sinkside.web.screens.sets.shelf import EDIT, PLACE, known_devices, packaging_options, screen

_LONGEST_PLACE: Final = 4


class StrikeForm(OnRevision):
    """Why a device is in the set no longer."""

    why: str = Field("", max_length=2000)


class DeviceForm(StrikeForm):
    """A device of a set; `parts`, `apart` and `substitutes` have one thing a line, semicolons between."""

    device: str = Field(max_length=300)
    name: str = Field("", max_length=300)
    count: str = Field("1", max_length=10)
    mass: str = Field("", max_length=40)
    order: str = Field("", max_length=10)
    lies: str = Field("", max_length=300)
    holder: str = Field("", max_length=100)
    parts: str = Field("", max_length=20_000)
    mates: tuple[str, ...] = Field((), max_length=500)
    apart: str = Field("", max_length=20_000)
    substitutes: str = Field("", max_length=20_000)

    @property
    def fields(self) -> MemberFields:
        """The same as the desk takes it."""
        return MemberFields(**self.model_dump(exclude={"on_revision", "why"}))


@dataclass(frozen=True)
class DevicePage:
    """A device of a set, with its form.

    Attributes:
        title: what the set calls it, or that one is added.
        address: where the form is sent.
        set_address: the set's page.
        set_name: what it is called.
        revision: the revision that the person has before them.
        in_use: whether the set can still be changed.
        is_new: whether it is to be added.
        fields: what stands in the form.
        devices: the devices of which a text is here.
        others: the other devices of the set.
        holders: what it may lie in.
        text: where its instruction is; empty where none is known.
        named_parts: the parts that its text names, with what is done with each.
    """

    title: str
    address: str
    set_address: str
    set_name: str
    revision: int
    in_use: bool
    is_new: bool
    fields: MemberFields
    devices: tuple[str, ...]
    others: tuple[Option, ...]
    holders: tuple[Option, ...]
    text: str
    named_parts: tuple[str, ...]


@screen.page(f"{PLACE}/{{key}}/devices/new", right=EDIT, template="set_device.html")
def new_device(asked: Asked, key: str) -> DevicePage:
    """The form of one more device."""
    seen = sets.see_set(asked.archive, asked.visitor, key, now=asked.now)
    address = asked.at(f"/sets/{key}")
    return DevicePage(
        title="Add a device",
        address=f"{address}/devices/new",
        set_address=address,
        set_name=seen.opened.document.name,
        revision=seen.opened.revision.number,
        in_use=seen.opened.row.state == sets.IN_USE,
        is_new=True,
        fields=MemberFields(""),
        devices=known_devices(asked),
        others=_others(seen.opened.document, None),
        holders=packaging_options(asked, trays=True),
        text="",
        named_parts=(),
    )


@screen.page(f"{PLACE}/{{key}}/devices/{{place}}", right=EDIT, template="set_device.html")
def device(asked: Asked, key: str, place: str) -> DevicePage:
    """One device of a set, with its form."""
    seen = sets.see_set(asked.archive, asked.visitor, key, now=asked.now)
    document = seen.opened.document
    member = member_at(document, place)
    found = seen.texts[member.called]
    text = found.instruction
    address = asked.at(f"/sets/{key}")
    return DevicePage(
        title=member.called,
        address=f"{address}/devices/{place}",
        set_address=address,
        set_name=document.name,
        revision=seen.opened.revision.number,
        in_use=seen.opened.row.state == sets.IN_USE,
        is_new=False,
        fields=set_editing.fields_of(member, seen.names),
        devices=known_devices(asked),
        others=_others(document, member),
        holders=packaging_options(asked, trays=True),
        text=asked.at(f"/instructions/{found.row.id}") if found.row else "",
        named_parts=tuple(
            f"{part.name}, {part.use.value.replace('-', ' ')}" for part in (text.device.parts if text else ())
        ),
    )


@screen.act(f"{PLACE}/{{key}}/devices/new", right=EDIT, form=DeviceForm, page=new_device)
def add(asked: Asked, form: DeviceForm, key: str) -> Done:
    """Add a device to a set."""
    number = set_editing.edit_set(
        asked.archive,
        asked.visitor,
        key,
        AddMember(form.fields),
        base=form.on_revision,
        now=asked.now,
        why=form.why,
    )
    return changed(asked, key, number)


@screen.act(f"{PLACE}/{{key}}/devices/{{place}}", right=EDIT, form=DeviceForm, page=device)
def correct_device(asked: Asked, form: DeviceForm, key: str, place: str) -> Done:
    """Change a device of a set."""
    called = _called(asked, key, place)
    number = set_editing.edit_set(
        asked.archive,
        asked.visitor,
        key,
        CorrectMember(called, form.fields),
        base=form.on_revision,
        now=asked.now,
        why=form.why,
    )
    return changed(asked, key, number)


@screen.act(f"{PLACE}/{{key}}/devices/{{place}}/strike", right=EDIT, form=StrikeForm, page=device)
def strike_device(asked: Asked, form: StrikeForm, key: str, place: str) -> Done:
    """Strike a device that is in the set no longer; earlier revisions keep it."""
    called = _called(asked, key, place)
    number = set_editing.edit_set(
        asked.archive,
        asked.visitor,
        key,
        StrikeMember(called),
        base=form.on_revision,
        now=asked.now,
        why=form.why,
    )
    return changed(asked, key, number)


def member_at(document: SetDocument, place: str) -> Member:
    """The device at a place of the list, counted from one.

    Raises:
        NotThere: if nothing stands there.
    """
    is_number = place.isascii() and place.isdigit() and len(place) <= _LONGEST_PLACE
    if not is_number or not 0 < int(place) <= len(document.members):
        raise NotThere("there is no such device in this set", resource=place)
    return document.members[int(place) - 1]


def _called(asked: Asked, key: str, place: str) -> str:
    return member_at(sets.open_set(asked.archive, asked.visitor, key).document, place).called


def _others(document: SetDocument, member: Member | None) -> tuple[Option, ...]:
    return tuple(Option(one.called, one.called) for one in document.members if one is not member)
