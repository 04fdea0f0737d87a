"""What a department has: the whole on one page, and each kind of thing with its figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from sinkside.department import Weekday
from sinkside.department.spreadsheet import RowThing, Sheet, facts, names_in, sheets, things
from sinkside.desk import departments
from sinkside.desk.department_things import sheet_called
from sinkside.desk.departments import OpenDepartment
from sinkside.desk.people import names_of
from sinkside.documents import to_values
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Nav, Screen

screen = Screen("department")

READ: Final = "department-read"
EDIT: Final = "department-edit"
PLACE: Final = f"{DEPARTMENT}/department"

#: What stands on pages of its own; the rest stands with the machine that it belongs to.
_FAMILIES: Final = tuple(name for name, sheet in sheets().items() if sheet.field and not sheet.owner)
_NAMES_SHOWN: Final = 6
_DAYS: Final = frozenset(one.value for one in Weekday)


@dataclass(frozen=True)
class FactShown:
    """One figure or word of a thing: what it is, and how it reads."""

    label: str
    text: str


@dataclass(frozen=True)
class FamilyLine:
    """One kind of thing: where it is listed, how many there are, what the first of them are called."""

    address: str
    words: str
    count: int
    names: str


@dataclass(frozen=True)
class DepartmentPage:
    """What this department has.

    Attributes:
        title: the heading.
        address: of the page.
        facts: what is known of the department itself.
        itself: where that is changed.
        families: each kind of thing.
        revision: the latest revision; 0 before anybody said anything.
        made: when and by whom it was made, and why.
        changes: where the latest changes are told.
        hand_in: where a spreadsheet is handed in.
    """

    title: str
    address: str
    facts: tuple[FactShown, ...]
    itself: str
    families: tuple[FamilyLine, ...]
    revision: int
    made: str
    changes: str
    hand_in: str


@dataclass(frozen=True)
class ThingLine:
    """One thing of a list: where it is shown, its name, its figures in the order of the list's columns."""

    address: str
    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class ThingList:
    """Things of one kind: what they are called, the columns that any of them fills, where one is added.

    `one` is one more of them in words: "a brush", "an air line"; `first` is what the first column holds.
    """

    words: str
    one: str
    first: str
    about: str
    columns: tuple[str, ...]
    things: tuple[ThingLine, ...]
    add: str


@dataclass(frozen=True)
class FamilyPage:
    """Every thing of one kind, each with its figures."""

    title: str
    address: str
    department: str
    family: ThingList


@screen.page(PLACE, right=READ, template="department.html", nav=Nav("Department", 37, "machines"))
def department(asked: Asked) -> DepartmentPage:
    """What this department has, kind by kind, with the revision that says so."""
    known = departments.open_latest(asked.archive, asked.visitor)
    values = to_values(known.department)
    address = asked.at("/department")
    itself = sheets()["department"]
    return DepartmentPage(
        title="What this department has",
        address=address,
        facts=facts_shown(itself, values, values),
        itself=f"{address}/department/1",
        families=tuple(_family_line(sheets()[name], values, address) for name in _FAMILIES),
        revision=known.number,
        made=_made(asked, known),
        changes=f"{address}/changes",
        hand_in=f"{address}/import",
    )


@screen.page(f"{PLACE}/{{family}}", right=READ, template="department_family.html")
def family(asked: Asked, family: str) -> FamilyPage:
    """Every thing of one kind."""
    sheet = sheet_called(family)
    known = departments.open_latest(asked.archive, asked.visitor)
    values = to_values(known.department)
    address = asked.at(f"/department/{family}")
    return FamilyPage(
        title=sheet.words,
        address=address,
        department=asked.at("/department"),
        family=thing_list(sheet, list(things(sheet, values)), values, address),
    )


def thing_list(
    sheet: Sheet, found: Sequence[RowThing], values: dict[str, Any], address: str, *, under: str = ""
) -> ThingList:
    """Things as a table whose columns are those that any of them fills."""
    names = names_in(values)
    known = [{fact.label: fact.text for fact in facts(sheet, one.values, names=names)} for one in found]
    if sheet.name == "machines":
        known = [{**row, **_parts_of(one)} for row, one in zip(known, found, strict=True)]
    columns = list(dict.fromkeys(label for row in known for label in row))
    in_order = [label for label in _labels(sheet) if label in columns]
    in_order += [label for label in columns if label not in in_order]
    named = {column.heading for column in sheet.own_columns if column.path == sheet.named[:1]}
    in_order = [label for label in in_order if label not in named]
    query = f"?under={under}" if under else ""
    return ThingList(
        words=sheet.words,
        one=with_article(sheet.one),
        first=capital(next(iter(named), "name")),
        about=sheet.about,
        columns=tuple(capital(label) for label in in_order),
        things=tuple(
            ThingLine(
                f"{address}/{place_words(one)}",
                own_name(one),
                tuple(readable(row.get(label, "")) for label in in_order),
            )
            for one, row in zip(found, known, strict=True)
        ),
        add=f"{address}/new{query}" if sheet.field else "",
    )


def facts_shown(sheet: Sheet, thing: Any, values: Any) -> tuple[FactShown, ...]:
    """What is known of a thing, as people read it."""
    return tuple(
        FactShown(capital(fact.label), readable(fact.text))
        for fact in facts(sheet, thing, names=names_in(values))
    )


def own_name(thing: RowThing) -> str:
    """What people call a thing, without those that it belongs to."""
    return thing.called if "name" in thing.values else readable(thing.called)


def with_article(one: str) -> str:
    """One of a kind, in words.

    >>> with_article("brush"), with_article("air line")
    ('a brush', 'an air line')
    """
    return f"{'an' if one[0] in 'aeio' else 'a'} {one}"


def place_words(thing: RowThing) -> str:
    """A thing's place as its address has it, counted from one."""
    return "-".join(str(place + 1) for place in thing.place) or "1"


def capital(label: str) -> str:
    """A heading of the spreadsheet as a label: pH and A0 stay as they are."""
    return label if label[:2] in {"pH", "A0"} else label[:1].upper() + label[1:]


def readable(text: str) -> str:
    """A word of our files as people read it, days of the week with a capital; what is no such word stays.

    >>> readable("dry-goods"), readable("saturday, sunday"), readable("Main store")
    ('dry goods', 'Saturday, Sunday', 'Main store')
    """
    if set(text.split(", ")) <= _DAYS:
        return text.title()
    is_word = "-" in text and text.replace("-", "").replace(",", "").replace(" ", "").isalpha()
    return text.replace("-", " ") if is_word and text == text.lower() else text


def _labels(sheet: Sheet) -> list[str]:
    return list(
        dict.fromkeys(
            column.heading.removesuffix(" from").removesuffix(" to") for column in sheet.own_columns
        )
    )


def _parts_of(machine: RowThing) -> dict[str, str]:
    programs, racks = machine.values.get("programs", ()), machine.values.get("racks", ())
    told = {"programs": "; ".join(one["name"] for one in programs), "racks": ""}
    told["racks"] = "; ".join(one["name"] for one in racks)
    return {label: text for label, text in told.items() if text}


def _family_line(sheet: Sheet, values: dict[str, Any], address: str) -> FamilyLine:
    found = [own_name(one) for one in things(sheet, values)]
    names = "; ".join(found[:_NAMES_SHOWN])
    left = len(found) - _NAMES_SHOWN
    return FamilyLine(
        f"{address}/{sheet.name}", sheet.words, len(found), f"{names}; {left} more" if left > 0 else names
    )


def _made(asked: Asked, known: OpenDepartment) -> str:
    if known.made is None:
        return ""
    name = names_of(asked.archive, [known.made.by])[known.made.by]
    note = f" · {known.made.note}" if known.made.note else ""
    return f"Revision {known.number} · {shown_moment(known.made.at, asked.visitor.zone)} · {name}{note}"
