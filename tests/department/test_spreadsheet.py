"""A department in and out of a spreadsheet: nothing lost, every fault told by sheet, row and column."""

from __future__ import annotations

import io
from datetime import time
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from sinkside.department import Department
from sinkside.department.spreadsheet import read_spreadsheet, sheets, write_spreadsheet
from sinkside.documents import load, to_values
from sinkside.errors import BadDocument, UnreadableFile

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))


@pytest.fixture(scope="module")
def department() -> Department:
    """The department of the demo."""
    return load(Department, DATA / "department.yaml")


def _sheet(name: str, *rows: tuple[Any, ...]) -> bytes:
    """A spreadsheet of one sheet, its first row the headings."""
    workbook = Workbook()
    page = workbook.worksheets[0]
    page.title = name
    for row in rows:
        page.append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _faults(data: bytes, onto: Department | None = None) -> list[str]:
    with pytest.raises(BadDocument) as told:
        read_spreadsheet(data, onto=onto)
    return [str(fault) for fault in told.value.faults]


def test_a_department_comes_back_whole(department: Department) -> None:
    """The demo's department, written and read onto itself, is the same, what has no column included."""
    again = read_spreadsheet(write_spreadsheet(department), onto=department)
    assert to_values(again) == to_values(department)


def test_the_template_has_every_sheet_and_heading_with_a_note(department: Department) -> None:
    """The empty template names every sheet and column, and each heading says what it holds."""
    workbook = load_workbook(io.BytesIO(write_spreadsheet(None)))
    assert workbook.sheetnames == list(sheets())
    for name, sheet in sheets().items():
        heads = workbook[name][1]
        assert [cell.value for cell in heads] == [column.heading for column in sheet.columns]
        assert all(cell.comment for cell in heads)
    kept = read_spreadsheet(write_spreadsheet(None), onto=department)
    assert kept.brushes == ()
    assert kept.name == department.name


def test_the_examples_of_the_columns_make_a_department() -> None:
    """A sheet filled in with the examples of its own notes is read without a fault."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name in (
        "department",
        "water",
        "chemicals",
        "brushes",
        "lubricants",
        "air",
        "tools",
        "packaging",
        "rooms",
        "hours",
        "shifts",
        "families",
        "staff",
        "policies",
    ):
        page = workbook.create_sheet(name)
        page.append([column.heading for column in sheets()[name].columns])
        page.append([column.example or None for column in sheets()[name].columns])
    written = io.BytesIO()
    workbook.save(written)
    found = read_spreadsheet(written.getvalue())
    assert found.brushes[0].name == "2.7 mm brush"
    assert found.tools[0].range is not None
    assert str(found.packaging[0].dated) == "2025-11-03"
    assert found.staff[0].families == ("tubular",)


def test_times_that_a_spreadsheet_keeps_as_times_are_read(department: Department) -> None:
    """A cell that is a time of the day reads as a clock shows it, and text as it stands."""
    rows = (("id", "name", "begins", "ends"), ("early", "Early", time(6, 30), "14:30"))
    alone = department.model_copy(update={"staff": ()})
    (shift,) = read_spreadsheet(_sheet("shifts", *rows), onto=alone).shifts
    assert (shift.begins, shift.ends) == ("06:30", "14:30")


def test_claims_join_their_program_row_by_row(department: Department) -> None:
    """Two claims of one program stand on a sheet of their own; a row of no program is told as such."""
    heads = ("machine", "program", "material", "narrowest bore", "longest", "lumens per load")
    name = "Hydrogen peroxide, lumens"
    rows = [
        ("low-temperature-1", name, "stainless steel", "0.7 mm", "500 mm", 10),
        ("low-temperature-1", name, "PTFE", "1 mm", "85 cm", 2),
    ]
    found = read_spreadsheet(_sheet("claims", heads, *rows), onto=department)
    claims = found.machines[-1].programs[0].lumen_claims
    assert [(one.material, str(one.length), one.lumens) for one in claims] == [
        ("stainless steel", "500 mm", 10),
        ("PTFE", "85 cm", 2),
    ]
    told = _faults(_sheet("claims", heads, ("low-temperature-1", "Plasma", *rows[0][2:])), department)
    assert told[0].startswith("claims, row 2, program: there is no program 'low-temperature-1 / Plasma'")


def test_a_sheet_that_is_not_there_leaves_what_is_there(department: Department) -> None:
    """A spreadsheet of brushes alone replaces the brushes and nothing else."""
    data = _sheet("brushes", ("id", "name", "diameter"), ("b9", "9 mm brush", "9 mm"))
    found = read_spreadsheet(data, onto=department)
    assert [brush.id for brush in found.brushes] == ["b9"]
    assert found.machines == department.machines


def test_an_emptied_cell_takes_out_what_was_there(department: Department) -> None:
    """A hospital that is left empty in the department's row is gone; a column that is not there too."""
    rows = (("name", "altitude", "hospital"), ("North", "90 m", None))
    found = read_spreadsheet(_sheet("department", *rows), onto=department)
    assert (found.name, str(found.altitude), found.hospital, found.closed) == ("North", "90 m", "", ())
    assert found.machines == department.machines


def test_what_a_phase_takes_must_be_there(department: Department) -> None:
    """A chemical that nobody has is told at the row of the phase; a program left without phases by name."""
    washer = department.machines[0]
    alone = washer.model_copy(update={"programs": washer.programs[:1]})
    rows = (
        ("machine", "program", "phase", "chemical"),
        ("washer-1", "Instruments 93", "wash", "soap"),
    )
    told = _faults(_sheet("phases", *rows), department.model_copy(update={"machines": (alone,)}))
    assert told[0].startswith(
        "phases, row 2, chemical: Washer 1, Instruments 93, wash takes 'soap', which is not here; here are "
    )
    told = _faults(_sheet("phases", *rows), department)
    assert "machines, Washer 1, programs, Gentle 90: a washer-disinfector program needs its phases" in told


def test_a_time_zone_that_nobody_knows_is_told(department: Department) -> None:
    """A zone that is none comes with its row and column, and what was expected."""
    told = _faults(_sheet("department", ("name", "time zone"), ("North", "Nowhere/Here")), department)
    assert told[0].startswith("department, row 2, time zone: 'Nowhere/Here' is no time zone")


def test_own_limits_come_and_go_by_their_row(department: Department) -> None:
    """A limit that the department replaces by its own stands on a sheet with its reason."""
    rows = (("limit", "value", "reason"), ("water-tir34-utility-hardness", "100 mg/L", "Scale on the arms"))
    found = read_spreadsheet(_sheet("limits", *rows), onto=department)
    assert [(one.limit, str(one.value)) for one in found.overrides] == [
        ("water-tir34-utility-hardness", "100 mg/L")
    ]
    assert read_spreadsheet(_sheet("limits", rows[0]), onto=found).overrides == ()


def test_a_program_joins_its_machine_and_its_phases_join_the_program(department: Department) -> None:
    """Programs and phases stand on sheets of their own, and columns may stand in any order."""
    rows = (
        ("kind", "name", "machine", "exposure time", "exposure temperature", "drying time"),
        ("steam-prevacuum", "134, 7", "sterilizer-1", "7 min", "134 °C", "20 min"),
    )
    found = read_spreadsheet(_sheet("programs", *rows), onto=department)
    sterilizer = next(machine for machine in found.machines if machine.id == "sterilizer-1")
    assert [program.name for program in sterilizer.programs] == ["134, 7"]


@pytest.mark.parametrize(
    ("name", "heads", "row", "expected"),
    [
        (
            "brushes",
            ("id", "name", "diameter"),
            ("b1", "brush", "2,7 metres of rope"),
            "brushes, row 2, diameter:",
        ),
        (
            "brushes",
            ("id", "name", "colour"),
            ("b1", "brush", "red"),
            "brushes, row 1: unknown column 'colour'",
        ),
        (
            "lubricants",
            ("id", "name", "base", "steam passes"),
            ("o", "oil", "white-oil", "maybe"),
            "expected yes or no",
        ),
        (
            "lubricants",
            ("id", "name", "base", "steam passes"),
            ("o", "oil", "butter", "yes"),
            "lubricants, row 2, base:",
        ),
        ("water", ("id", "grade"), ("w", "tap"), "water, row 2, name: missing"),
        (
            "claims",
            ("machine", "program", "material", "narrowest bore", "longest", "lumens per load"),
            ("low-temperature-1", "Hydrogen peroxide, lumens", "steel", "1 kg", "1 m", 1),
            "claims, row 2, narrowest bore: bore is '1 kg'; expected a quantity such as '1 mm'",
        ),
        (
            "claims",
            ("machine", "program", "material", "narrowest bore", "longest", "lumens per load"),
            ("sterilizer-1", "134 °C, 3 min", "steel", "1 mm", "1 m", 1),
            "lumen claims belong to a program of gas or vapour",
        ),
        (
            "staff",
            ("id", "shift", "role", "how many", "stations"),
            ("g", "night", "technician", 1, "sink"),
            "staff, row 2, shift: technician are on 'night', which is not here; here are early, late",
        ),
        (
            "shifts",
            ("id", "name", "begins", "ends"),
            ("early", "Early", "at six", "14:30"),
            "shifts, row 2, begins: 'at six'; expected a time of the day",
        ),
        (
            "packaging",
            ("id", "name", "kind", "methods"),
            ("p", "pouch", "pouch", "plasma"),
            "packaging, row 2, methods:",
        ),
        (
            "packaging",
            ("id", "name", "kind", "dated"),
            ("p", "pouch", "pouch", "last spring"),
            "packaging, row 2, dated: 'last spring'; expected a day such as",
        ),
        (
            "racks",
            ("machine", "id", "name"),
            ("washer-9", "r", "rack"),
            "racks, row 2, machine: there is no machine",
        ),
        (
            "racks",
            ("machine", "id", "lumen connections"),
            ("washer-1", "r", "2.5"),
            "expected a whole number",
        ),
        (
            "chemicals",
            ("id", "name", "kinds", "dose from", "dose to"),
            ("c", "c", "rinse-aid", "9 mL/L", "5 mL/L"),
            "chemicals, row 2, dose from: the range runs backwards",
        ),
        ("holidays", ("id",), ("x",), "holidays: unknown sheet"),
        (
            "limits",
            ("limit", "value", "reason"),
            ("water-hardness-of-ours", "1 mg/L", "ours"),
            "limits, row 2, limit: no figure is published",
        ),
    ],
)
def test_a_fault_names_sheet_row_and_column(
    name: str, heads: tuple[str, ...], row: tuple[str, ...], expected: str, department: Department
) -> None:
    """Each kind of mistake is told where it stands and with what was expected."""
    assert any(expected in told for told in _faults(_sheet(name, heads, row), department)), _faults(
        _sheet(name, heads, row), department
    )


def test_every_fault_is_told_at_once(department: Department) -> None:
    """Two bad rows of one sheet are both told, so that a file is mended in one go."""
    rows = (("id", "name", "diameter"), ("b1", "one", "wide"), ("b2", "two", "2 mm"), ("b3", "three", "long"))
    told = _faults(_sheet("brushes", *rows), department)
    assert [line.split(":")[0] for line in told] == ["brushes, row 2, diameter", "brushes, row 4, diameter"]


def test_an_id_that_stands_twice_is_told(department: Department) -> None:
    """Two brushes of one id are refused, and nothing is taken over."""
    rows = (("id", "name"), ("b1", "one"), ("b1", "two"))
    assert any("ids stand twice: b1" in told for told in _faults(_sheet("brushes", *rows), department))


def test_what_somebody_typed_is_never_a_formula(department: Department) -> None:
    """A name that begins like a formula is text in its cell; signs that no cell can hold are left out."""
    brush = department.brushes[0].model_copy(update={"name": '=HYPERLINK("x")', "bristle": "nylon\x01"})
    written = write_spreadsheet(department.model_copy(update={"brushes": (brush,)}))
    row = load_workbook(io.BytesIO(written))["brushes"][2]
    assert (row[1].value, row[1].data_type) == ('=HYPERLINK("x")', "s")
    assert row[4].value == "nylon"
    assert read_spreadsheet(written, onto=department).brushes[0].name == '=HYPERLINK("x")'


@pytest.mark.parametrize(
    "data", [b"", b"not a spreadsheet", b"PK\x03\x04 torn"], ids=["empty", "text", "torn"]
)
def test_what_is_no_spreadsheet_is_refused_in_a_sentence(data: bytes) -> None:
    """An empty file, a text and a torn archive are one plain sentence."""
    with pytest.raises(UnreadableFile, match=r"expected an \.xlsx file"):
        read_spreadsheet(data)
