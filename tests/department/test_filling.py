"""Single things of a department added, changed and struck as their columns say."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.department import Department
from sinkside.department.filling import Cell, added, cells_of, corrected, struck, thing_at
from sinkside.department.spreadsheet import Place, choices, sheets, things
from sinkside.documents import load, to_values
from sinkside.errors import BadDocument, NotThere

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))


@pytest.fixture(scope="module")
def department() -> Department:
    """The department of the demo."""
    return load(Department, DATA / "department.yaml")


def _faults(action: object, *arguments: object, **named: object) -> list[str]:
    with pytest.raises(BadDocument) as told:
        action(*arguments, **named)  # type: ignore[operator]
    return [str(fault) for fault in told.value.faults]


def test_every_thing_comes_back_from_its_own_cells(department: Department) -> None:
    """Each thing of every sheet, filled in with what it is, leaves the department as it was."""
    for sheet in sheets().values():
        for thing in things(sheet, to_values(department)):
            again = corrected(department, sheet, thing.place, cells_of(sheet, thing))
            assert to_values(again) == to_values(department), (sheet.name, thing.name)


def test_a_new_thing_gets_a_short_name_of_its_own(department: Department) -> None:
    """The id is made of the name, and numbered where something bears it already."""
    sheet = sheets()["brushes"]
    cells: dict[str, Cell] = {"name": "2.7 mm Bürste", "diameter": "2,7 mm"}
    once = added(department, sheet, cells)
    twice = added(once, sheet, cells)
    assert [brush.id for brush in twice.brushes[-2:]] == ["2-7-mm-burste", "2-7-mm-burste-2"]
    assert str(once.brushes[-1].diameter) == "2,7 mm"


def test_a_program_and_a_phase_go_under_what_they_belong_to(department: Department) -> None:
    """A program stands with its machine, a phase with its program, and nothing else moves."""
    cells: dict[str, Cell] = {
        "name": "134 °C, 18 min",
        "kind": "steam-prevacuum",
        "exposure temperature": "134 °C",
        "exposure time": "18 min",
        "pulses": "4",
        "pulse vacuum": "15 kPa",
    }
    found = added(department, sheets()["programs"], cells, under=(3,))
    assert found.machines[3].programs[-1].name == "134 °C, 18 min"
    assert found.machines[4] == department.machines[4]
    found = added(found, sheets()["phases"], {"phase": "rinse", "time": "1 min"}, under=(0, 1))
    assert found.machines[0].programs[1].phases[-1].name.value == "rinse"


@pytest.mark.parametrize(
    ("name", "place", "cells", "expected"),
    [
        ("brushes", (0,), {"name": "b", "diameter": "wide"}, "diameter: 'wide' is no quantity"),
        ("brushes", (0,), {"diameter": "2 mm"}, "name: missing"),
        ("brushes", (0,), {"name": "b", "dose from": "1 mL/L"}, "dose from: a brush has none"),
        ("air", (0,), {"name": "a", "grade": "room", "pressure to": "2 bar"}, "grade: "),
        (
            "chemicals",
            (1,),
            {"name": "c", "kinds": ["rinse-aid"], "dose from": "9 mL/L", "dose to": "1 mL/L"},
            "dose from: the range runs backwards",
        ),
        ("programs", (3, 0), {"name": "p", "kind": "steam-prevacuum"}, "needs an exposure"),
        ("programs", (3, 0), {"name": "p", "kind": "steam-prevacuum", "pulses": "2.5"}, "a whole number"),
        ("phases", (0, 0, 1), {"phase": "wash", "chemical": "soap"}, "chemical: Washer 1, Instruments 93"),
        ("limits", None, {"limit": "nonsense", "value": "1 mg/L", "reason": "x"}, "limit: no figure is"),
    ],
)
def test_a_fault_names_its_heading(
    department: Department, name: str, place: Place | None, cells: dict[str, Cell], expected: str
) -> None:
    """What does not fit is told under its heading, with what was expected."""
    sheet = sheets()[name]
    if place is None:
        told = _faults(added, department, sheet, cells)
    else:
        told = _faults(corrected, department, sheet, place, cells)
    assert any(expected in fault for fault in told), told


def test_what_something_leans_on_is_not_struck(department: Department) -> None:
    """A chemical that a phase doses stays until the phase lets go of it; a brush goes."""
    told = _faults(struck, department, sheets()["chemicals"], (3,))
    assert "Washer 1, Instruments 93, wash takes 'alkaclear'" in told[0]
    assert len(struck(department, sheets()["brushes"], (0,)).brushes) == len(department.brushes) - 1


@pytest.mark.parametrize("place", [(99,), (-1,), (0, 0)])
def test_what_is_not_there_is_not_there(department: Department, place: Place) -> None:
    """A place where nothing stands is told as such."""
    with pytest.raises(NotThere):
        thing_at(department, sheets()["brushes"], place)


def test_the_words_of_a_column_are_those_of_the_document() -> None:
    """Every column says the very words that the document takes, so that template and document never part."""
    for sheet in sheets().values():
        for column in sheet.own_columns:
            missing = [word for word in choices(sheet, column) if word not in column.says]
            # Days of the week need no telling.
            assert not missing or column.heading == "days closed", (sheet.name, column.heading, missing)
