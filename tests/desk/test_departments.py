"""What a department has, changed by people: revisions, reasons, the spreadsheet, and what is refused."""

from __future__ import annotations

import io
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from sinkside.department import Department
from sinkside.department.filling import Cell, thing_at
from sinkside.department.spreadsheet import sheets
from sinkside.desk import department_tables, department_things, departments, record_book
from sinkside.desk.department_things import Add, Correct, Strike
from sinkside.desk.uploads import Upload
from sinkside.errors import BadDocument, BadInput, Conflict, NotAllowed, NotThere, UnreadableFile
from sinkside.records import Wanted
from support.desk_house import House

BRUSH: dict[str, Cell] = {"name": "2.7 mm brush", "diameter": "2.7 mm", "length": "400 mm"}
BRUSHES = sheets()["brushes"]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def house(house: House) -> House:
    """A house whose lead has said nothing yet of what the department has."""
    house.add("lena", "lead")
    return house


def _change(
    house: House, change: Add | Correct | Strike, *, base: int, who: str = "lena", why: str = ""
) -> int:
    return department_things.change_thing(
        house.archive, house.visitor(who), BRUSHES, change, base=base, reason=why, now=house.later(minutes=1)
    )


def _table(name: str, *rows: tuple[Any, ...]) -> Upload:
    workbook = Workbook()
    page = workbook.worksheets[0]
    page.title = name
    for row in rows:
        page.append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return Upload("brushes.xlsx", XLSX, written.getvalue())


def _opened(house: House) -> departments.OpenDepartment:
    return departments.open_latest(house.archive, house.visitor("tom"))


def test_from_nothing_thing_by_thing_with_a_name_on_each(house: House) -> None:
    """The first thing makes the first revision; each later one says who, why and what changed."""
    assert (_opened(house).number, _opened(house).department.name) == (0, "North")
    assert _change(house, Add(BRUSH), base=0) == 1
    assert _change(house, Correct((0,), {**BRUSH, "length": "450 mm"}), base=1, why="New stock") == 2
    found = departments.compare_revisions(house.archive, house.visitor("tom"))
    assert [one.sentence for one in found.changes] == ["2.7 mm brush: length 400 mm → 450 mm"]
    assert (found.after.by, found.after.note) == (house.people["lena"], "New stock")
    assert _change(house, Strike((0,)), base=2) == 3
    assert _opened(house).department.brushes == ()
    first = departments.compare_revisions(house.archive, house.visitor("tom"), after=1)
    assert first.before is None
    assert any("added: brush" in one.sentence for one in first.changes)


def test_how_a_thing_was_is_told_change_by_change(house: House) -> None:
    """The history of one brush has its own changes and not those of others, the latest first."""
    _change(house, Add(BRUSH), base=0)
    _change(house, Add({"name": "other"}), base=1)
    _change(house, Correct((0,), {**BRUSH, "diameter": "2.8 mm"}), base=2)
    thing = thing_at(_opened(house).department, BRUSHES, (0,))
    found = department_things.how_it_was(house.archive, house.visitor("tom"), BRUSHES, thing)
    assert [(one.made.number, one.sentences) for one in found] == [
        (3, ("diameter 2.7 mm → 2.8 mm",)),
        (1, ("added",)),
    ]


def test_somebody_quicker_and_somebody_without_the_right(house: House) -> None:
    """A form of an older revision is refused, and so is a technician; nothing is written."""
    _change(house, Add(BRUSH), base=0)
    with pytest.raises(Conflict, match="revision 1 meanwhile"):
        _change(house, Add(BRUSH), base=0)
    with pytest.raises(NotAllowed, match="change what the department has"):
        _change(house, Add(BRUSH), base=1, who="tom")
    with pytest.raises(BadInput, match="nothing was changed"):
        _change(house, Correct((0,), BRUSH), base=1)
    with pytest.raises(NotThere):
        _change(house, Strike((7,)), base=1)
    assert _opened(house).number == 1


def test_a_spreadsheet_changes_nothing_until_it_is_kept(house: House) -> None:
    """Handed in, it is looked at; kept, it is a revision that names the file; both stand in the book."""
    _change(house, Add(BRUSH), base=0)
    upload = _table("brushes", ("id", "name", "diameter"), ("b9", "9 mm brush", "9 mm"))
    lena = house.visitor("lena")
    table = department_tables.hand_in_table(house.archive, lena, upload, now=house.now)
    seen = department_tables.see_table(house.archive, lena, table)
    assert [one.kind for one in seen.changes] == ["removed", "added"]
    assert seen.is_current
    assert [one.id for one in _opened(house).department.brushes] == ["2-7-mm-brush"]
    assert department_tables.keep_table(house.archive, lena, table, now=house.later(minutes=1)) == 2
    assert [one.id for one in _opened(house).department.brushes] == ["b9"]
    assert _opened(house).history[-1].note == "From the spreadsheet brushes.xlsx"
    told = [one.sentence for one in record_book.read_record(house.archive, lena, Wanted(limit=2)).entries]
    assert told == [
        "Lena changed what the department has in 2 places, revision 2.",
        "Lena handed in the spreadsheet brushes.xlsx; nothing is changed by that.",
    ]
    with pytest.raises(Conflict):
        department_tables.keep_table(house.archive, lena, table, now=house.now)
    assert not department_tables.see_table(house.archive, lena, table).is_current


def test_faults_of_a_spreadsheet_come_row_by_row(house: House) -> None:
    """Every fault is told with sheet, row and column, and nothing is kept."""
    upload = _table("brushes", ("id", "name", "diameter"), ("b1", "one", "wide"), ("b2", None, "2 mm"))
    with pytest.raises(BadDocument) as told:
        department_tables.hand_in_table(house.archive, house.visitor("lena"), upload, now=house.now)
    assert [str(fault).partition(":")[0] for fault in told.value.faults] == [
        "brushes, row 2, diameter",
        "brushes, row 3, name",
    ]


@pytest.mark.parametrize(
    ("name", "data", "expected"),
    [
        ("a.xlsx", b"", "empty"),
        ("a.csv", b"id,name", "expected one of .xlsx"),
        ("a.xlsx", b"PK\x03\x04 torn", "no spreadsheet"),
        ("a.xlsx", b"x" * 5_000_001, "too large"),
    ],
    ids=["empty", "other ending", "torn", "too large"],
)
def test_what_is_no_spreadsheet_is_refused(house: House, name: str, data: bytes, expected: str) -> None:
    """What cannot be read is one sentence."""
    with pytest.raises(UnreadableFile, match=expected):
        department_tables.hand_in_table(
            house.archive, house.visitor("lena"), Upload(name, XLSX, data), now=house.now
        )


def test_out_and_in_again_changes_nothing(house: House) -> None:
    """What is taken out as a spreadsheet and handed in again says what is kept already."""
    _change(house, Add(BRUSH), base=0)
    data = department_tables.as_table(house.archive, house.visitor("tom"))
    assert load_workbook(io.BytesIO(data)).sheetnames == list(sheets())
    lena = house.visitor("lena")
    table = department_tables.hand_in_table(house.archive, lena, Upload("d.xlsx", XLSX, data), now=house.now)
    assert department_tables.see_table(house.archive, lena, table).changes == ()
    with pytest.raises(BadInput, match="nothing would change"):
        department_tables.keep_table(house.archive, lena, table, now=house.now)


def test_a_spreadsheet_of_elsewhere_is_not_there(house: House) -> None:
    """An id that nobody handed in here is not there."""
    with pytest.raises(NotThere):
        department_tables.see_table(house.archive, house.visitor("lena"), "d-unknown")


def test_a_department_is_read_as_it_was(house: House) -> None:
    """What was kept at first stays what it is, whatever came later."""
    _change(house, Add(BRUSH), base=0)
    _change(house, Strike((0,)), base=1)
    with house.archive.unit(writes=False) as unit:
        first = departments.department_in(unit, "north", 1)
    assert isinstance(first, Department)
    assert [one.name for one in first.brushes] == ["2.7 mm brush"]


def test_a_department_that_is_called_otherwise_is_so_everywhere(house: House) -> None:
    """A spreadsheet with another name says so before it is kept; then head, posters and findings agree."""
    upload = _table("department", ("name", "time zone"), ("Lane Reprocessing", "Europe/Vienna"))
    lena = house.visitor("lena")
    table = department_tables.hand_in_table(house.archive, lena, upload, now=house.now)
    changes = department_tables.see_table(house.archive, lena, table).changes
    assert ("North", "Lane Reprocessing") in [(one.before, one.after) for one in changes]
    department_tables.keep_table(house.archive, lena, table, now=house.later(minutes=1))
    with house.archive.unit(writes=False) as unit:
        site = unit.sites.get(lena.department)
    assert site is not None
    assert site.name == _opened(house).department.name == "Lane Reprocessing"
