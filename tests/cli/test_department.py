"""`sinkside department`: out to a spreadsheet and back, row by row faults, and what changed."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import pytest
from openpyxl import load_workbook

from sinkside.cli.app import run
from sinkside.department import Department
from sinkside.documents import load

VALLEY = Path(str(resources.files("sinkside").joinpath("demo", "data", "department.yaml")))


def test_out_and_back_is_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Written as a spreadsheet and read onto itself, the department is what it was."""
    table, out = tmp_path / "valley.xlsx", tmp_path / "valley.yaml"
    assert run(["department", "to-table", str(VALLEY), "--out", str(table)]) == 0
    status = run(["department", "from-table", str(table), "--onto", str(VALLEY), "--out", str(out)])
    assert status == 0
    assert load(Department, out) == load(Department, VALLEY)
    assert "nothing changed" in capsys.readouterr().out


def test_a_change_in_a_cell_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One cell changed is one line, as words and as data."""
    table, out = tmp_path / "valley.xlsx", tmp_path / "valley.yaml"
    run(["department", "to-table", str(VALLEY), "--out", str(table)])
    workbook = load_workbook(table)
    brushes = workbook["brushes"]
    brushes["C3"] = "1.6 mm"
    workbook.save(table)
    capsys.readouterr()
    arguments = ["department", "from-table", str(table), "--onto", str(VALLEY), "--out", str(out)]
    assert run(arguments) == 0
    assert "brush 1.5 mm × 300 mm: diameter 1.5 mm → 1.6 mm" in capsys.readouterr().out
    assert run([*arguments, "--json"]) == 0
    (told,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert (told["before"], told["after"]) == ("1.5 mm", "1.6 mm")
    assert run(["department", "compare", str(VALLEY), str(out)]) == 0
    assert capsys.readouterr().out.splitlines() == ["brush 1.5 mm × 300 mm: diameter 1.5 mm → 1.6 mm"]


def test_faults_come_line_by_line_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each fault is a line with its sheet, row and column; the file is not there afterwards."""
    table, out = tmp_path / "template.xlsx", tmp_path / "north.yaml"
    assert run(["department", "to-table", "--out", str(table)]) == 0
    workbook = load_workbook(table)
    workbook["department"]["A2"] = "North"
    workbook["brushes"]["B2"], workbook["brushes"]["C2"] = "a brush", "wide"
    workbook["air"]["A2"], workbook["air"]["C2"] = "air-1", "room"
    workbook.save(table)
    capsys.readouterr()
    assert run(["department", "from-table", str(table), "--out", str(out)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert any(f"{table}: brushes, row 2, diameter: 'wide' is no quantity" in line for line in lines)
    assert any("air, row 2, grade" in line for line in lines)
    assert not out.exists()
