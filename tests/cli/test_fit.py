"""`sinkside fit`."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import pytest

from sinkside.cli.app import run

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))
INSTRUCTIONS = [str(path) for path in sorted((DATA / "instructions").iterdir())]
DEPARTMENT = str(DATA / "department.yaml")


def test_refusals_come_first_with_what_would_turn_them(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo's dissector asks for a drying that no program has; the change that turns it is told."""
    assert run(["fit", *INSTRUCTIONS, "--department", DEPARTMENT]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].startswith("  ✗ no route       modular-dissector: prevacuum steam")
    assert lines[2].startswith("  ✓ fits           micro-scissors")
    assert "turns modular-dissector" in lines[4]


def test_what_fits_everywhere_is_all_well(capsys: pytest.CaptureFixture[str]) -> None:
    """With only instructions that fit the exit status is 0, and nothing is wanted."""
    scissors = [path for path in INSTRUCTIONS if "scissors" in path]
    assert run(["fit", *scissors, "--department", DEPARTMENT]) == 0
    assert "would turn" not in capsys.readouterr().out


def test_each_cell_is_a_line_of_json(capsys: pytest.CaptureFixture[str]) -> None:
    """`--json` prints one cell a line, with the key of what it hangs on."""
    assert run(["fit", *INSTRUCTIONS, "--department", DEPARTMENT, "--json"]) == 1
    cells = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert {cell["fit"]["word"] for cell in cells} == {"no route", "fits"}
    assert all(len(cell["fit"]["key"]) == 64 for cell in cells)


def test_two_departments_of_one_name_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """Columns that nobody could tell apart are one sentence and exit status 2."""
    twice = ["--department", DEPARTMENT, "--department", DEPARTMENT]
    assert run(["fit", *INSTRUCTIONS, *twice]) == 2
    assert "have one name" in capsys.readouterr().err
