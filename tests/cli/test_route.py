"""`sinkside route` for people: one line for each stop, then the smallest change; counted as on paper."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.cli.app import run
from support.command import SAMPLES

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))
DEPARTMENT = str(DATA / "department.yaml")
DISSECTOR = str(DATA / "instructions" / "modular-dissector.yaml")
SPINE = str(SAMPLES / "d_spine_endoscopy_bad.txt")


def test_a_refusal_is_one_line_a_stop_and_then_the_smallest_repair(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Every stop is a line with mark, word and place, at most two of a terminal; the repair comes next."""
    assert run(["route", SPINE, "--department", DEPARTMENT]) == 1
    head, *lines = capsys.readouterr().out.splitlines()
    stops = [line for line in lines if line.startswith("  ■ stop: ")]
    assert head.endswith(f"no route, {len(stops)} stops in this department")
    assert lines[: len(stops)] == stops
    assert all("(page 1, line " in line for line in stops)
    assert lines[len(stops)] == "  Smallest repair, all of it together:"
    assert max(map(len, lines)) <= 160


def test_review_route_and_poster_count_the_same_stops(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """What the review and the route count apart, a refused poster names apart, and as their sum."""
    run(["review", SPINE])
    in_text = int(capsys.readouterr().out.split()[0])
    run(["route", SPINE, "--department", DEPARTMENT])
    here = int(capsys.readouterr().out.partition("no route, ")[2].split()[0])
    out = ["--out", str(tmp_path / "poster.pdf")]
    assert run(["print", "poster", SPINE, "--department", DEPARTMENT, *out]) == 2
    where = f"{in_text} in the maker’s text, {here} in this department"
    assert f"{in_text + here} stops are open: {where}" in capsys.readouterr().err


def test_what_is_enough_stands_apart_from_what_else_would_help(capsys: pytest.CaptureFixture[str]) -> None:
    """One change is enough for the dissector: the first machine's; the second's would do as well."""
    assert run(["route", DISSECTOR, "--department", DEPARTMENT]) == 1
    lines = capsys.readouterr().out.splitlines()
    at = lines.index("  Others that would help:")
    assert lines[at - 1].startswith("  Smallest change: Validate")
    assert lines[at - 1].endswith("(Sterilizer 1).")
    assert lines[at + 1].startswith("    1. Validate")
    assert lines[at + 1].endswith("(Sterilizer 2).")
