"""The columns of a thing as fields of a form: one statement gives spreadsheet, form and API."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pydantic import Field, create_model

from sinkside.department.filling import Cell
from sinkside.department.spreadsheet import Column, Sheet, choices, is_required, sheets
from sinkside.errors import BadDocument, Fault
from sinkside.web.screen import Form, Option
from sinkside.web.screens.department.overview import capital, readable

#: Which parts of a program each kind of program has; the first word of a column's place names the part.
_STEAM: Final = frozenset({"use", "exposure", "air_removal", "drying", "chamber", "probes", "not_recorded"})
_PARTS_OF_KINDS: Final[Mapping[str, frozenset[str]]] = {
    "steam-gravity": _STEAM,
    "steam-prevacuum": _STEAM,
    "steam-pulse": _STEAM,
    "air-removal-test": frozenset({"exposure", "air_removal"}),
    "leak-rate": frozenset({"leak"}),
    "washer-disinfector": frozenset({"disinfection", "probes", "not_recorded"}),
    "thermal-disinfection": frozenset({"exposure", "disinfection", "probes"}),
    "ultrasonic": frozenset({"ultrasonic"}),
    "drying-cabinet": frozenset({"exposure"}),
    "exposure": frozenset({"exposure", "aeration", "chamber", "probes", "not_recorded"}),
}

#: Headings under which several other things of the department are named by their ids.
_NAMES_SEVERAL: Final = frozenset({"families"})
_OF_GASES: Final = frozenset({"concentration", "humidity"})
_LONGEST: Final = 500


@dataclass(frozen=True)
class FieldShown:
    """One field: its name, label, kind (line, choice, ticks, yes), what it says, what stands in it.

    `options` are the words that it takes, where it takes only some.
    """

    name: str
    label: str
    kind: str
    hint: str
    value: str
    values: tuple[str, ...]
    options: tuple[Option, ...]
    required: bool
    inputmode: str


@dataclass(frozen=True)
class FieldGroup:
    """Fields that belong together: one, or both ends of a range under their common label."""

    label: str
    fields: tuple[FieldShown, ...]


def field_name(heading: str) -> str:
    """What a column is called in forms and by programs.

    >>> field_name("pH from")
    'ph_from'
    """
    return re.sub(r"[^a-z0-9]+", "_", heading.lower()).strip("_")


def _is_ticks(sheet: Sheet, column: Column) -> bool:
    return column.kind == "list" and (bool(choices(sheet, column)) or column.heading in _NAMES_SEVERAL)


def _form() -> type[Form]:
    fields: dict[str, Any] = {}
    for sheet in sheets().values():
        for column in sheet.own_columns:
            name = field_name(column.heading)
            if _is_ticks(sheet, column):
                fields[name] = (tuple[str, ...], Field((), max_length=40))
            elif name != "id":
                fields[name] = (str, Field("", max_length=_LONGEST))
    return create_model(
        "ThingFields",
        __base__=OnRevision,
        __doc__="The columns of one thing as its sheet in the template says them; each kind has its own.",
        **fields,
    )


class OnRevision(Form):
    """The revision that the person had before them, and why they change it."""

    on_revision: int = Field(ge=0, le=1_000_000)
    why: str = Field("", max_length=2000)


ThingFields: Final = _form()


def cells_in(sheet: Sheet, form: OnRevision) -> dict[str, Cell]:
    """What a form says, by heading of the sheet.

    Raises:
        BadDocument: if it says what such a thing has not.
    """
    given = form.model_dump(exclude={"on_revision", "why"})
    headings = {field_name(column.heading): column.heading for column in sheet.own_columns}
    if strange := [name for name, cell in given.items() if cell and name not in headings]:
        known = ", ".join(headings)
        raise BadDocument([Fault(name, f"a {sheet.one} has none; expected {known}") for name in strange])
    return {heading: given[name] for name, heading in headings.items() if name in given}


def by_field(error: BadDocument) -> BadDocument:
    """Faults by heading as faults by field."""
    return BadDocument([Fault(field_name(fault.path), fault.problem) for fault in error.faults])


def field_groups(
    sheet: Sheet, cells: Mapping[str, Cell], references: Mapping[str, tuple[Option, ...]], *, kind: str = ""
) -> tuple[FieldGroup, ...]:
    """The fields of a thing, both ends of a range together.

    Args:
        sheet: what kind of thing.
        cells: what stands in them, by heading.
        references: what a field that names another thing takes, by heading.
        kind: of a program: only the parts that such a program has are shown, and those that are filled.
    """
    groups: dict[str, list[FieldShown]] = {}
    for column in sheet.own_columns:
        cell = cells.get(column.heading, "")
        if column.heading == "id" or (sheet.name == "programs" and not _is_asked(column, kind, cell)):
            continue
        if column.heading in _NAMES_SEVERAL and not references.get(column.heading):
            continue
        label = capital(column.heading.removesuffix(" from").removesuffix(" to"))
        groups.setdefault(label, []).append(_field(sheet, column, cell, references))
    return tuple(FieldGroup(label, tuple(fields)) for label, fields in groups.items())


def _is_asked(column: Column, kind: str, cell: Cell) -> bool:
    part = column.path[0]
    if part == "kind":
        return False
    if part == "name" or cell:
        return True
    if part == "exposure" and column.path[1] in _OF_GASES and kind != "exposure":
        return False
    return part in _PARTS_OF_KINDS.get(kind, frozenset())


def _field(
    sheet: Sheet, column: Column, cell: Cell, references: Mapping[str, tuple[Option, ...]]
) -> FieldShown:
    words = references.get(column.heading) or tuple(
        Option(word, readable(word).replace("_", " ")) for word in choices(sheet, column)
    )
    kind = "yes" if column.kind == "yes" else "choice" if words else "line"
    required = is_required(sheet, column)
    ends = {" from": "From", " to": "To"}
    end = next((said for tail, said in ends.items() if column.heading.endswith(tail)), "")
    example = f" For example {column.example}." if column.example and not words else ""
    if words and not _is_ticks(sheet, column) and not required:
        words = (Option("", "not stated"), *words)
    return FieldShown(
        name=field_name(column.heading),
        label=end or capital(column.heading),
        kind="ticks" if _is_ticks(sheet, column) else kind,
        hint=f"{_said(column, bool(words))}{example}",
        value=cell if isinstance(cell, str) else ", ".join(cell),
        values=() if isinstance(cell, str) else tuple(cell),
        options=words or ((Option("yes", "Yes"), Option("no", "No")) if kind == "yes" else ()),
        required=required,
        inputmode="numeric" if column.kind == "whole" else "",
    )


def _said(column: Column, has_words: bool) -> str:
    """What a column says; the words that it takes stand beside the field already."""
    if not has_words:
        return column.says
    if ":" in column.says:
        return column.says.partition(":")[0] + "."
    return "" if " or " in column.says or column.says.startswith("Id ") else column.says
