"""The contents of a set in and out of one sheet; every fault by row and column."""

from __future__ import annotations

import io
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from sinkside.errors import BadDocument, UnreadableFile
from sinkside.sets import SetDocument, compare_sets, read_set
from sinkside.sets.sheet import COLUMNS, read_sheet, write_sheet

FULL = {
    "name": "Hand set",
    "packaging": "container",
    "mass": "3.4 kg",
    "members": [
        {
            "instruction": "Quarl 3 hook",
            "name": "hook",
            "count": 2,
            "mass": "40 g",
            "lies": "left row",
            "order": 1,
            "holder": "rack",
            "mates": ["rod"],
            "apart": [{"of": "rod", "why": "Edge"}, {"of": "punch", "why": "=1+1"}],
            "substitutes": [{"instruction": "Quarl 4 hook", "allowed_by": "M. Lind", "why": "until May"}],
            "parts": [{"part": "tip", "count": 2, "mass": "3 g", "lies": "basket"}, {"part": "handle"}],
        },
        {"instruction": "rod"},
        {"instruction": "punch"},
    ],
}


def _book(*rows: tuple[Any, ...]) -> bytes:
    workbook = Workbook()
    for row in rows:
        workbook.worksheets[0].append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _faults(*rows: tuple[Any, ...]) -> list[str]:
    with pytest.raises(BadDocument) as told:
        read_sheet(_book(*rows), name="Hand set")
    return [str(fault) for fault in told.value.faults]


def test_out_and_in_again_changes_nothing() -> None:
    """A set with everything that a sheet can say reads back the same, and what the sheet cannot say stays."""
    document = read_set(FULL)
    again = read_sheet(write_sheet(document), onto=document)
    assert compare_sets(document, again) == ()
    assert again == document


def test_every_heading_of_the_template_says_what_it_holds() -> None:
    """The template has one sheet, its headings with a note and an example each, and no row."""
    page = load_workbook(io.BytesIO(write_sheet(None))).worksheets[0]
    assert [cell.value for cell in page[1]] == [column.heading for column in COLUMNS]
    assert all("Example: " in str(cell.comment.text) for cell in page[1] if cell.comment)
    assert len([cell for cell in page[1] if cell.comment]) == len(COLUMNS)
    assert page.max_row == 1


def test_what_somebody_typed_is_never_a_formula() -> None:
    """A reason that begins with an equals sign is text in the file."""
    page = load_workbook(io.BytesIO(write_sheet(read_set(FULL)))).worksheets[0]
    assert [cell.data_type for row in page.iter_rows() for cell in row if cell.value == "=1+1"] == ["s"]


def test_a_row_without_device_belongs_to_the_one_above() -> None:
    """Parts below their device need not name it again, and columns may stand in any order."""
    found = read_sheet(
        _book(("Count", "Part", "Device"), (2, None, "punch"), (1, "shaft", None), (3, "spring", "punch")),
        name="Hand set",
    )
    assert isinstance(found, SetDocument)
    (member,) = found.members
    assert [(piece.part, piece.count) for piece in member.parts] == [("shaft", 1), ("spring", 3)]
    assert member.pieces == 8


def test_every_fault_is_told_by_row_and_column() -> None:
    """Cells that cannot be read, and what does not fit together, each with its row and column."""
    assert _faults(("device", "count"), ("hook", "two"), ("rod", 1), ("rod", 1)) == [
        "row 2, count: 'two'; expected a whole number",
        "row 4, device: rod stands twice; raise its count, or give each a name of its own",
    ]
    assert _faults(
        ("device", "count", "mass", "order of use"), ("hook", 0, "9 min", None), ("rod", 1, "wide", 0)
    ) == [
        "row 2, count: expected 1 or more",
        "row 2, mass: '9 min' is no mass; expected one such as 210 g",
        "row 3, mass: 'wide' is no quantity; expected a number and a unit, such as '4 min'",
        "row 3, order of use: expected 1 or more",
    ]
    assert _faults(
        ("device", "kept apart from", "may be replaced by"), ("hook", "rod", None), ("rod", None, "x")
    ) == [
        "row 2, why apart: missing; it is required",
        "row 3, allowed by: missing; it is required",
    ]
    assert _faults(("device", "kept apart from", "why apart"), ("hook", "none", "Edge")) == [
        "row 2, kept apart from: 'none' is no member of this set"
    ]
    assert _faults(("part",), ("tip",)) == ["row 2, device: expected a device, or a part below its device"]
    assert _faults(("device", "part"), ("hook", "tip"), ("hook", "tip")) == [
        "row 3, part: 'tip' stands twice; raise its count"
    ]


def test_what_has_no_device_or_an_unknown_column_is_refused() -> None:
    """An empty sheet, a heading that means nothing, and a file that is no spreadsheet."""
    assert _faults(("device",)) == ["row 2: there is no device; expected one a row"]
    assert _faults(("device", "colour"), ("hook", "red"))[0].startswith("row 1: unknown column 'colour'")
    with pytest.raises(UnreadableFile, match="no spreadsheet"):
        read_sheet(b"PK\x03\x04 torn", name="Hand set")
