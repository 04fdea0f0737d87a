"""The demo: the whole main job from one command."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sinkside import documents
from sinkside.demo.traces import DEMO_TRACES
from sinkside.instruction import Instruction
from support.command import Ran, Sinkside

MOST_LINES = 10


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the demo is made."""
    return tmp_path_factory.mktemp("demo") / "workspace"


@pytest.fixture(scope="module")
def ran(installed: Sinkside, workspace: Path) -> Ran:
    """One run of the demo, from the built wheel."""
    return installed("demo", workspace, timeout_s=120)


def test_it_ends_with_a_short_summary(ran: Ran) -> None:
    """It says in at most ten lines what was read, what is wrong by level, what it made, what to type next."""
    assert ran.status == 0, ran.err
    assert len(ran.out.splitlines()) <= MOST_LINES
    for said in ("3 documents", "■", "▲", "●", "posters", "12 judged", "report.html", "sinkside review"):
        assert said in ran.out


def test_it_tells_how_far_it_has_come(ran: Ran) -> None:
    """Without a screen every stage says on standard error when it is done."""
    assert [line.split(":")[1].strip() for line in ran.err.splitlines()] == [
        "reading documents",
        "reviewing and routing",
        "printing posters",
        "judging recorder files",
    ]


def test_it_makes_a_poster_for_every_device_and_one_report(ran: Ran, workspace: Path) -> None:
    """Five devices, five posters, one report."""
    assert ran.status == 0
    assert len(list((workspace / "posters").glob("*.pdf"))) == 5
    assert (workspace / "report.html").stat().st_size > 10_000


def test_its_instructions_open_again(ran: Ran, workspace: Path) -> None:
    """What was drafted lies there as instructions that anybody can open, correct and review."""
    assert ran.status == 0
    drafted = [documents.load(Instruction, path) for path in (workspace / "instructions").glob("*.yaml")]
    assert len(drafted) == 3
    assert all(one.device.name and one.steps for one in drafted)


def test_faulty_cycles_do_not_meet_and_normal_ones_do(ran: Ran, workspace: Path) -> None:
    """Of the dozen recorder files, the normal ones meet their programs and the faulty ones do not."""
    assert ran.status == 0
    for trace in DEMO_TRACES:
        verdict = json.loads((workspace / "verdicts" / f"{trace.name}.json").read_text("utf-8"))["verdict"]
        assert (verdict == "meets") == (trace.kind == "normal"), trace


def test_two_documents_have_stops_and_the_rest_none(ran: Ran, workspace: Path) -> None:
    """The planted faults are found as stops in exactly the two documents that carry them."""
    assert ran.status == 0
    stopped = {
        path.stem
        for path in (workspace / "findings").glob("*.json")
        if any(one["level"] == "stop" for one in json.loads(path.read_text("utf-8"))["findings"])
    }
    assert stopped == {"sinus-forceps", "suction-punch"}


def test_it_replaces_only_what_a_demo_made(sinkside: Sinkside, tmp_path: Path) -> None:
    """A folder of somebody's own is left as it is, with one sentence and exit status 2."""
    kept = tmp_path / "mine" / "letter.txt"
    kept.parent.mkdir()
    kept.write_text("do not touch", encoding="utf-8")
    answer = sinkside("demo", kept.parent)
    assert answer.status == 2
    assert "not empty" in answer.err
    assert [path.name for path in tmp_path.rglob("*")] == ["mine", "letter.txt"]
