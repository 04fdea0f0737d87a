"""`sinkside moisture`: the range first, then why; what is missing is told and no figure given."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import pytest

from sinkside.cli.app import run

DEMO = Path(str(resources.files("sinkside").joinpath("demo")))
PAGE = Path(__file__).parents[2] / "docs" / "moisture.md"
ARGUMENTS = [
    "moisture",
    str(DEMO / "data" / "set.yaml"),
    str(DEMO / "documents" / "bone-punch.txt"),
    str(DEMO / "data" / "instructions" / "micro-scissors.yaml"),
    "--department",
    str(DEMO / "data" / "department.yaml"),
]


@pytest.fixture
def things(tmp_path: Path) -> str:
    """The file of things that docs/moisture.md shows, as it stands there."""
    page = PAGE.read_text("utf-8")
    lines = page[page.index("    format: sinkside/things-1") :].split("\n\n")[0].splitlines()
    path = tmp_path / "things.yaml"
    path.write_text("\n".join(line.removeprefix("    ") for line in lines), "utf-8")
    return str(path)


def test_the_example_of_the_page_runs(things: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The page's things and the demo's set give a range, what drives it, both limits, the last word."""
    assert run([*ARGUMENTS, "--things", things]) == 0
    out = capsys.readouterr().out
    first, second, *rest = out.splitlines()
    assert first.startswith("Hand surgery set 3 at Valley Instrument Reprocessing Centre: 134 °C, 3 min on")
    assert "g may be left of" in second
    assert rest[0].startswith("  ● note: A wet pack is possible")
    assert rest[1].startswith("  The most may stay on the floor of the packaging (lidded container)")
    assert "kg: in force, kept (EN 868-8" in out
    assert "kg: not in force here (ANSI/AAMI ST77" in out
    assert "never shortens it" in out.splitlines()[-1]
    assert "J/(kg K)" not in out


def test_formulas_assumptions_and_materials_on_demand(
    things: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--formulas` adds each formula, assumption and material with its source and how it was read."""
    run([*ARGUMENTS, "--things", things, "--formulas"])
    out = capsys.readouterr().out
    assert "x = (h_f1 − h_f2) / h_fg2" in out
    assert "out-container: 0.3 to 0.6. Container with a perforated base" in out
    assert "(Weighed ten times in March.)" in out
    assert "stainless steel: 480 J/(kg K), 16 W/(m K)" in out


def test_as_data(things: str, capsys: pytest.CaptureFixture[str]) -> None:
    """`--json` prints the whole answer: range, risk in a word, places, and that no time is shortened."""
    run([*ARGUMENTS, "--things", things, "--program", "134 °C, 5 min", "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["format"] == "sinkside/moisture-1"
    assert found["cycle"]["program"] == "134 °C, 5 min"
    assert found["risk"] == "possible"
    assert found["shortens_a_stated_time"] is False
    assert [place["name"] for place in found["places"]][-1] == "lidded container"


def test_without_masses_there_is_no_figure(capsys: pytest.CaptureFixture[str]) -> None:
    """What is missing is listed; the weighed mass is held against the limits all the same; status 1."""
    assert run(ARGUMENTS) == 1
    out = capsys.readouterr().out
    assert "No figure can be given:" in out
    assert "bone-punch: its mass and material" in out
    assert "3.40 kg, as weighed" in out
    assert "may be left" not in out


def test_bad_input_is_one_sentence(things: str, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown program, and a member whose instruction is not given, are bad input in words."""
    assert run([*ARGUMENTS, "--things", things, "--program", "boil"]) == 2
    assert "there is no steam program 'boil' here; expected one of 134 °C, 3 min" in capsys.readouterr().err
    alone = [*ARGUMENTS[:2], *ARGUMENTS[3:], "--program", "134 °C, 5 min"]
    assert run(alone) == 2
    assert "no instruction is given of bone-punch" in capsys.readouterr().err
