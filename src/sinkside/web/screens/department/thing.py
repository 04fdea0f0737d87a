"""One thing of a department: its figures, what belongs to it, how it was; and the forms that change it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Final

from fastapi import Query

from sinkside.department.filling import Cell, cells_of, thing_at
from sinkside.department.spreadsheet import Place, RowThing, Sheet, sheets, things
from sinkside.desk import department_things, departments
from sinkside.desk.department_things import sheet_called
from sinkside.desk.departments import OpenDepartment
from sinkside.desk.people import names_of
from sinkside.documents import to_values
from sinkside.errors import NotThere
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Option
from sinkside.web.screens.department.fields import FieldGroup, field_groups
from sinkside.web.screens.department.overview import (
    EDIT,
    PLACE,
    READ,
    FactShown,
    ThingList,
    facts_shown,
    own_name,
    place_words,
    readable,
    screen,
    thing_list,
    with_article,
)

Under = Annotated[str, Query(max_length=20)]
Kind = Annotated[str, Query(max_length=40)]

#: What belongs to a thing of each kind, in the order in which it is shown.
_PARTS: Final = {"machines": ("programs", "racks"), "programs": ("phases", "claims")}

#: What only some machines, or some programs, have: by their kinds.
_ONLY_OF: Final = {
    "phases": {"washer-disinfector"},
    "racks": {"washer-disinfector", "ultrasonic-bath"},
    "claims": {"exposure"},
}

#: What a field that names other things takes, and on which shelf they stand.
_NAMED: Final = {"chemical": "chemicals", "water": "water", "shift": "shifts", "families": "families"}

#: A place counted from one: `4`, `4-2`, `4-2-1`.
_PLACE_WORDS: Final = re.compile(r"[1-9][0-9]{0,3}(-[1-9][0-9]{0,3}){0,2}")

#: Kinds of program that a machine of each kind runs; every kind where it is not named.
_PROGRAMS_OF: Final = {
    "washer-disinfector": ("washer-disinfector", "thermal-disinfection"),
    "ultrasonic-bath": ("ultrasonic",),
    "steam-sterilizer": (
        "steam-prevacuum",
        "steam-gravity",
        "steam-pulse",
        "air-removal-test",
        "leak-rate",
    ),
    "gas-sterilizer": ("exposure", "leak-rate"),
    "drying-cabinet": ("drying-cabinet",),
}


@dataclass(frozen=True)
class HowItWas:
    """When a thing was changed, by whom, why, and what of it; where the whole revision is told."""

    at: str
    by: str
    why: str
    sentences: tuple[str, ...]
    address: str


@dataclass(frozen=True)
class ThingPage:
    """One thing.

    Attributes:
        title: its name.
        address: of the page.
        back: where what it belongs to is shown, or the list of its kind.
        back_words: what that is called.
        one: what a thing of its kind is called.
        id: its short name in the spreadsheet; empty where it has none.
        facts: what is known of it.
        parts: what belongs to it.
        revision: the revision that it is shown from, which its forms carry.
        groups: the fields of the form that changes it.
        kind: of a program, what it is; its form carries it.
        can_strike: whether it can be struck; the department itself cannot.
        history: how it was, the latest first.
    """

    title: str
    address: str
    back: str
    back_words: str
    one: str
    id: str
    facts: tuple[FactShown, ...]
    parts: tuple[ThingList, ...]
    revision: int
    groups: tuple[FieldGroup, ...]
    kind: str
    can_strike: bool
    history: tuple[HowItWas, ...]


@dataclass(frozen=True)
class NewThingPage:
    """The form of one more thing; where its kind must be chosen first, the kinds and no fields yet.

    `kinds` are pairs of an address and words; `address` is where the form is sent.
    """

    title: str
    address: str
    back: str
    back_words: str
    one: str
    revision: int
    groups: tuple[FieldGroup, ...]
    kind: str
    kinds: tuple[Option, ...]


@screen.page(f"{PLACE}/{{family}}/{{place}}", right=READ, template="department_thing.html")
def thing(asked: Asked, family: str, place: str) -> ThingPage:
    """One thing with its figures, what belongs to it, and how it was."""
    sheet = sheet_called(family)
    known = departments.open_latest(asked.archive, asked.visitor)
    values = to_values(known.department)
    found = thing_at(known.department, sheet, place_of(sheet, place))
    back, back_words = _back(asked, sheet, found)
    kind = str(found.values.get("kind", "")) if family == "programs" else ""
    return ThingPage(
        title=own_name(found),
        address=asked.at(f"/department/{family}/{place}"),
        back=back,
        back_words=back_words,
        one=sheet.one,
        id=str(found.values.get("id", "")),
        facts=facts_shown(sheet, found.values, values),
        parts=_parts(asked, sheet, found, values),
        revision=known.number,
        groups=field_groups(sheet, cells_of(sheet, found), _references(values), kind=kind),
        kind=kind,
        can_strike=bool(sheet.field),
        history=_history(asked, sheet, found),
    )


@screen.page(f"{PLACE}/{{family}}/new", right=EDIT, template="department_new.html")
def new_thing(asked: Asked, family: str, *, under: Under = "", kind: Kind = "") -> NewThingPage:
    """The form of one more thing, under the machine or program that it belongs to."""
    sheet = sheet_called(family)
    if not sheet.field:
        raise NotThere("there is one department here", resource=family)
    known = departments.open_latest(asked.archive, asked.visitor)
    owner = _owner(known, sheet, under)
    address = asked.at(f"/department/{family}/new")
    query = "&".join(f"{name}={value}" for name, value in (("under", under), ("kind", kind)) if value)
    is_open = family == "programs" and not kind
    values = to_values(known.department)
    back = asked.at(f"/department/{_owner_sheet(sheet).name}/{under}" if owner else f"/department/{family}")
    title = f"Add {with_article(sheet.one)}{f' of {own_name(owner)}' if owner else ''}"
    cells: dict[str, Cell] = {"kind": kind}
    return NewThingPage(
        title=title,
        address=f"{address}?{query}" if query else address,
        back=back,
        back_words=own_name(owner) if owner else sheet.words,
        one=sheet.one,
        revision=known.number,
        groups=() if is_open else field_groups(sheet, cells, _references(values), kind=kind),
        kind=kind,
        kinds=_kinds(owner, f"{address}?under={under}") if is_open and owner else (),
    )


def place_of(sheet: Sheet, words: str) -> Place:
    """The place that an address names.

    Raises:
        NotThere: if it names none.
    """
    if not sheet.field:
        return ()
    if not _PLACE_WORDS.fullmatch(words):
        raise NotThere(f"there is no such {sheet.one} here", resource=words)
    return tuple(int(number) - 1 for number in words.split("-"))


def under_of(sheet: Sheet, words: str) -> Place:
    """The place of what a new thing is to belong to; none where it belongs to nothing."""
    return place_of(sheet, words) if words else ()


def _owner_sheet(sheet: Sheet) -> Sheet:
    return sheets()["machines" if sheet.owner == "machine" else "programs"]


def _owner(known: OpenDepartment, sheet: Sheet, under: str) -> RowThing | None:
    if not sheet.owner:
        return None
    owner = _owner_sheet(sheet)
    return thing_at(known.department, owner, under_of(owner, under))


def _back(asked: Asked, sheet: Sheet, found: RowThing) -> tuple[str, str]:
    """Where what a thing belongs to is shown, or else the list of its kind."""
    if not sheet.field:
        return asked.at("/department"), "What this department has"
    if found.owners:
        place = "-".join(str(at + 1) for at in found.place[:-1])
        owner = f"/department/{_owner_sheet(sheet).name}/{place}"
        return asked.at(owner), str(found.owners[-1].get("name", ""))
    return asked.at(f"/department/{sheet.name}"), sheet.words


def _parts(asked: Asked, sheet: Sheet, found: RowThing, values: dict[str, Any]) -> tuple[ThingList, ...]:
    shown = []
    for name in _PARTS.get(sheet.name, ()):
        if name in _ONLY_OF and found.values.get("kind") not in _ONLY_OF[name]:
            continue
        part = sheets()[name]
        own = [one for one in things(part, values) if one.place[:-1] == found.place]
        address = asked.at(f"/department/{name}")
        shown.append(thing_list(part, own, values, address, under=place_words(found)))
    return tuple(shown)


def _references(values: dict[str, Any]) -> dict[str, tuple[Option, ...]]:
    """What a field that names other things may take, by name: the chemicals of the department, its shifts."""
    return {
        heading: tuple(Option(str(one["id"]), str(one["name"])) for one in values.get(shelf, ()))
        for heading, shelf in _NAMED.items()
    }


def _kinds(owner: RowThing, address: str) -> tuple[Option, ...]:
    known = _PROGRAMS_OF.get(str(owner.values.get("kind")), ("exposure",))
    return tuple(Option(f"{address}&kind={kind}", readable(kind).capitalize()) for kind in known)


def _history(asked: Asked, sheet: Sheet, found: RowThing) -> tuple[HowItWas, ...]:
    changed = department_things.how_it_was(asked.archive, asked.visitor, sheet, found)
    names = names_of(asked.archive, {one.made.by for one in changed})
    changes = asked.at("/department/changes")
    return tuple(
        HowItWas(
            at=shown_moment(one.made.at, asked.visitor.zone),
            by=names[one.made.by],
            why=one.made.note,
            sentences=one.sentences,
            address=f"{changes}?after={one.made.number}",
        )
        for one in changed
    )
