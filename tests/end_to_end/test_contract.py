"""Every verb keeps the contract: JSON that fits its own schema, and its exit status."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from support.command import SAMPLES, Sinkside

TRACES = SAMPLES / "traces"
CLEAN = SAMPLES / "a_arthroscopy_us_bullets.txt"
FAULTY = SAMPLES / "d_spine_endoscopy_bad.txt"


@pytest.fixture(scope="module")
def department(sinkside: Sinkside, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's department, as a file."""
    from sinkside.demo.workspace import new_workspace

    with new_workspace(tmp_path_factory.mktemp("demo") / "workspace") as workspace:
        text = workspace.department.read_text("utf-8")
    path = tmp_path_factory.mktemp("department") / "department.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def _schema(sinkside: Sinkside, name: str) -> Any:
    answer = sinkside("schema", name)
    assert answer.status == 0, answer.err
    return answer.values


NAMES = ("instruction", "department", "program", "set", "route", "set-route", "findings", "verdict", "limits")


@pytest.mark.parametrize("name", NAMES)
def test_every_schema_is_a_schema(sinkside: Sinkside, name: str) -> None:
    """`schema NAME` prints a valid JSON Schema of draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(_schema(sinkside, name))


def test_draft_fits_its_schema(sinkside: Sinkside) -> None:
    """`draft --json` prints an instruction that fits the published schema, and exits 0."""
    answer = sinkside("draft", CLEAN, "--json")
    assert answer.status == 0
    jsonschema.validate(answer.values, _schema(sinkside, "instruction"))
    assert answer.values["format"] == "sinkside/instruction-1"


def test_draft_writes_what_it_prints(sinkside: Sinkside, tmp_path: Path) -> None:
    """`draft --out` keeps the same instruction that `--json` prints, and it opens again unchanged."""
    out = tmp_path / "instruction.json"
    assert sinkside("draft", CLEAN, "--out", out).status == 0
    assert json.loads(out.read_text("utf-8")) == sinkside("draft", CLEAN, "--json").values
    assert sinkside("review", out, "--json").values == sinkside("review", CLEAN, "--json").values


def test_review_fits_its_schema_and_exits_by_level(sinkside: Sinkside) -> None:
    """`review --json` prints findings that fit the schema; exit 1 exactly when one of them is a stop."""
    schema = _schema(sinkside, "findings")
    for document in (CLEAN, FAULTY):
        answer = sinkside("review", document, "--json")
        jsonschema.validate(answer.values, schema)
        stops = [finding for finding in answer.values["findings"] if finding["level"] == "stop"]
        assert answer.status == (1 if stops else 0)
        assert all(
            len(finding["place"].get("text", "").split()) <= 60 for finding in answer.values["findings"]
        )
    assert answer.status == 1


def test_route_fits_its_schema(sinkside: Sinkside, department: Path) -> None:
    """`route --json` prints a route that fits the schema; exit 0 when resolved, 1 when not."""
    schema = _schema(sinkside, "route")
    answer = sinkside("route", CLEAN, "--department", department, "--json")
    jsonschema.validate(answer.values, schema)
    assert answer.status == (0 if answer.values["resolved"] else 1)


def test_judge_prints_one_line_a_trace(sinkside: Sinkside, tmp_path: Path) -> None:
    """`judge --json` prints one compact line for each trace, also for one; an unreadable one exits 2."""
    schema = _schema(sinkside, "verdict")
    good, bad = TRACES / "r-009.csv", tmp_path / "broken.csv"
    bad.write_text("this is no recorder file\n", encoding="utf-8")
    program = TRACES / "132-4.yaml"
    alone = sinkside("judge", good, "--program", program, "--json")
    assert alone.status == 0
    assert len(alone.lines) == 1
    jsonschema.validate(alone.lines[0], schema)
    both = sinkside("judge", bad, good, "--program", program, "--json")
    assert both.status == 2
    assert [set(line) == {"trace", "error"} for line in both.lines] == [True, False]
    assert both.lines[1] == alone.lines[0]
    failing = sinkside("judge", good, TRACES / "r-018.csv", "--program", program, "--json")
    assert failing.status == 1


def test_limits_fit_their_schema(sinkside: Sinkside) -> None:
    """`limits --json` prints the figures in force of each profile, fitting the schema."""
    schema = _schema(sinkside, "limits")
    for profile in ("us", "eu", "uk"):
        answer = sinkside("limits", "--profile", profile, "--json")
        assert answer.status == 0
        jsonschema.validate(answer.values, schema)
        assert answer.values["profile"] == profile


def test_simulate_writes_a_file_that_judge_understands(sinkside: Sinkside, tmp_path: Path) -> None:
    """`simulate` writes the same file for the same seed, and `judge` tells the normal from the faulty one."""
    program = TRACES / "134-3.yaml"
    first, again, faulty = (tmp_path / f"{name}.csv" for name in ("first", "again", "faulty"))
    for out, kind in ((first, "normal"), (again, "normal"), (faulty, "short-exposure")):
        assert sinkside("simulate", kind, "--program", program, "--seed", "4", "--out", out).status == 0
    assert first.read_bytes() == again.read_bytes()
    answer = sinkside("judge", first, faulty, "--program", program, "--json")
    assert [line["verdict"] for line in answer.lines] == ["meets", "fails"]


def test_print_and_report_write_their_files(sinkside: Sinkside, department: Path, tmp_path: Path) -> None:
    """`print poster` writes a PDF, `report` one HTML file that names nothing outside itself."""
    poster, report = tmp_path / "poster.pdf", tmp_path / "report.html"
    printed = sinkside("print", "poster", CLEAN, "--department", department, "--out", poster)
    assert printed.status == 0, printed.err
    assert poster.read_bytes().startswith(b"%PDF")
    written = sinkside("report", CLEAN, "--department", department, "--out", report)
    assert written.status == 0, written.err
    text = report.read_text("utf-8")
    assert text.lstrip().lower().startswith("<!doctype html>")
    assert 'src="http' not in text
    assert "release by a qualified person" in text.lower()


def test_a_stop_keeps_the_poster_off_the_floor(sinkside: Sinkside, department: Path, tmp_path: Path) -> None:
    """Scene 1: with an open stop nothing prints for the floor; a proof prints, marked."""
    poster = tmp_path / "poster.pdf"
    refused = sinkside("print", "poster", FAULTY, "--department", department, "--out", poster)
    assert refused.status == 2
    assert not poster.exists()
    assert (
        sinkside("print", "poster", FAULTY, "--department", department, "--out", poster, "--proof").status
        == 0
    )
    assert poster.exists()


def test_the_wheel_does_the_same_work(
    sinkside: Sinkside, installed: Sinkside, department: Path, tmp_path: Path
) -> None:
    """Installed from the built wheel the verbs give the same answers, data files and all."""
    jobs: list[list[str | Path]] = [
        ["draft", CLEAN, "--json"],
        ["review", FAULTY, "--json"],
        ["route", CLEAN, "--department", department, "--json"],
        ["judge", TRACES / "r-002.csv", "--program", TRACES / "134-3.yaml", "--json"],
        ["limits", "--json"],
    ]
    for job in jobs:
        assert installed(*job) == sinkside(*job)
    printed = installed(
        "print", "poster", CLEAN, "--department", department, "--out", tmp_path / "poster.pdf"
    )
    assert printed.status == 0, printed.err
