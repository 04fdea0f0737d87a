"""The sets of a department, and the form of a new one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.department import BARRIERS
from sinkside.desk import departments, set_editing, sets
from sinkside.desk import shelf as instructions
from sinkside.desk.people import names_of
from sinkside.desk.set_editing import MemberFields, SetFields
from sinkside.desk.set_texts import READ as WITH_A_TEXT
from sinkside.desk.set_texts import device_name
from sinkside.desk.set_touched import sets_to_look_at
from sinkside.records import Row
from sinkside.sets.sheet import COLUMNS
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen

screen = Screen("sets")

READ: Final = sets.READ
EDIT: Final = sets.EDIT
PLACE: Final = f"{DEPARTMENT}/sets"

Text = Annotated[str, Query(max_length=200)]
Part = Annotated[int, Query(ge=1, le=10_000)]

_AT_ONCE: Final = 100
_MOST_DEVICES: Final = 500
_NAMES_SHOWN: Final = 6
_STATE_WORDS: Final = {sets.IN_USE: "in use", sets.SPLIT: "split", sets.OUT_OF_USE: "out of use"}


@dataclass(frozen=True)
class SetLine:
    """One set of the list: its page, name, what is in it, how it stands, whether it needs a look."""

    address: str
    name: str
    contents: str
    devices: int
    pieces: int
    mass: str
    state: str
    look: str
    changed: str
    by: str


@dataclass(frozen=True)
class SetsPage:
    """The sets, those that need a look first; `text` is what was searched for."""

    title: str
    address: str
    text: str
    sets: tuple[SetLine, ...]
    before: str
    after: str


@dataclass(frozen=True)
class NewSetPage:
    """The form of a new set with its first device, and where a file is handed in instead.

    `devices` are those that have a text here; `packaging` what the department packs in; `columns` what each
    heading of the sheet holds.
    """

    title: str
    address: str
    sets: str
    hand_in: str
    template: str
    devices: tuple[str, ...]
    packaging: tuple[Option, ...]
    columns: tuple[tuple[str, str], ...]


class SetForm(Form):
    """What is said of a set as a whole, and why."""

    name: str = Field(max_length=200)
    packaging: str = Field("", max_length=100)
    packaging_mass: str = Field("", max_length=40)
    mass: str = Field("", max_length=40)
    pieces: str = Field("", max_length=10)
    why: str = Field("", max_length=2000)

    @property
    def fields(self) -> SetFields:
        """The same as the desk takes it."""
        return SetFields(self.name, self.packaging, self.packaging_mass, self.mass, self.pieces)


class NewSetForm(SetForm):
    """The same with the first device; others are added on the set's page."""

    device: str = Field(max_length=300)
    count: str = Field("1", max_length=10)


@screen.page(PLACE, right=READ, template="sets.html", nav=Nav("Sets", 27, "bench"))
def sets_page(asked: Asked, *, text: Text = "", part: Part = 1) -> SetsPage:
    """The sets of this department, those that need a look first."""
    with asked.archive.unit(writes=False) as unit:
        to_look_at = {one.row.id: one for one in sets_to_look_at(unit, asked.visitor)}
    offset = (part - 1) * _AT_ONCE
    rows = sets.list_sets(asked.archive, asked.visitor, text=text, offset=offset, limit=_AT_ONCE + 1)
    shown = sorted(rows[:_AT_ONCE], key=lambda row: (row.id not in to_look_at, sets.STATES.index(row.state)))
    names = names_of(asked.archive, {str(row.fields["by"]) for row in shown})
    looks = {
        key: ", ".join(device_name(changed.row) for changed in one.changed) for key, one in to_look_at.items()
    }
    address = asked.at("/sets")
    query = f"text={text}&" if text else ""
    return SetsPage(
        title="Sets",
        address=address,
        text=text,
        sets=tuple(_line(asked, row, looks.get(row.id, ""), names) for row in shown),
        before=f"{address}?{query}part={part - 1}" if part > 1 else "",
        after=f"{address}?{query}part={part + 1}" if len(rows) > _AT_ONCE else "",
    )


@screen.page(f"{PLACE}/new", right=EDIT, template="set_new.html")
def new(asked: Asked) -> NewSetPage:
    """The form of a new set, and where a file is handed in instead."""
    address = asked.at("/sets")
    return NewSetPage(
        title="A new set",
        address=f"{address}/new",
        sets=address,
        hand_in=f"{address}/hand-in",
        template=f"{address}/template",
        devices=known_devices(asked),
        packaging=packaging_options(asked),
        columns=tuple((column.heading, f"{column.says} Such as: {column.example}") for column in COLUMNS),
    )


@screen.act(f"{PLACE}/new", right=EDIT, form=NewSetForm, page=new)
def make(asked: Asked, form: NewSetForm) -> Done:
    """Keep a new set with its first device."""
    key = set_editing.new_set(
        asked.archive,
        asked.visitor,
        form.fields,
        MemberFields(form.device, count=form.count),
        now=asked.now,
        note=form.why,
    )
    return Done(go=asked.at(f"/sets/{key}"), said=f"Made, by {asked.someone.name}. Add its other devices.")


def known_devices(asked: Asked) -> tuple[str, ...]:
    """What the devices are called of which a text is here."""
    rows = instructions.shelf(asked.archive, asked.visitor, states=WITH_A_TEXT, limit=_MOST_DEVICES)
    return tuple(sorted({device_name(row) for row in rows}))


def packaging_options(asked: Asked, *, trays: bool = False) -> tuple[Option, ...]:
    """What the department packs in, or what holds things inside it; none of them first."""
    site = departments.open_department(asked.archive, asked.visitor)
    known = site.packaging if site else ()
    return (
        Option("", "not said"),
        *(Option(one.id, one.name) for one in known if (one.kind not in BARRIERS) == trays),
    )


def _line(asked: Asked, row: Row, look: str, names: dict[str, str]) -> SetLine:
    fields = row.fields
    return SetLine(
        address=asked.at(f"/sets/{row.id}"),
        name=row.title,
        contents=_shortened(str(fields["contents"]).split(", ")),
        devices=int(fields["devices"] or 0),
        pieces=int(fields["pieces"] or 0),
        mass=str(fields["mass"] or ""),
        state=_STATE_WORDS[row.state],
        look=look,
        changed=shown_moment(row.updated, asked.visitor.zone),
        by=names[str(fields["by"])],
    )


def _shortened(names: list[str]) -> str:
    left = len(names) - _NAMES_SHOWN
    return ", ".join(names[:_NAMES_SHOWN]) + (f" and {left} more" if left > 0 else "")
