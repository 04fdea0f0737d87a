"""Single slips, each put into a sample document of our own, and how they are counted."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from samples import measure_edits
from samples.measure_edits import EDITS, OWN, count, edited, report

SETS = sorted(path.stem for path in EDITS.glob("*.json"))
LISTED = (EDITS / "README.md").read_text("utf-8")
#: A control: nothing is planted in it, so nothing may be said of it.
CONTROL = "open/pellagrove_drill_guide_us_bullets"


def _edits(name: str) -> list[dict[str, Any]]:
    edits: list[dict[str, Any]] = json.loads((EDITS / f"{name}.json").read_text("utf-8"))
    return edits


def _folded(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", SETS)
def test_every_edit_can_be_put_in(name: str) -> None:
    """What is to be changed stands once in the carrier, every quote in what it becomes; no id twice."""
    edits = _edits(name)
    assert len({one["id"] for one in edits}) == len(edits)
    for one in edits:
        text = _folded(edited((OWN / f"{one['carrier']}.txt").read_text("utf-8"), one))
        assert [quote for quote in one["quotes"] if _folded(quote) not in text] == []


@pytest.mark.parametrize("name", SETS)
def test_every_set_is_listed(name: str) -> None:
    """With as many slips and decoys as the page beside it says."""
    edits = _edits(name)
    decoys = sum(one["kind"] == "decoy" for one in edits)
    assert f"| {name} | {len(edits) - decoys} | {decoys} |" in LISTED


def _edit(find: str, put: str, *, kind: str = "arithmetic", severity: str = "major") -> dict[str, Any]:
    whole = {"id": "E01", "carrier": CONTROL, "kind": kind, "severity": severity, "why": "x"}
    return {**whole, "edits": [{"find": find, "put": put}], "quotes": [put]}


#: A right sum of the control, and a wrong one.
RIGHT, WRONG = "with 4 x 25 mL (100 mL in all)", "with 4 x 25 mL (120 mL in all)"


def test_a_slip_that_is_seen_and_a_decoy_that_is_left_alone_are_counted() -> None:
    """A wrong sum is found; the right one in other words is left alone."""
    slip, decoy = _edit(RIGHT, WRONG), _edit(RIGHT, RIGHT.replace("in all", "in sum"), kind="decoy")
    seen = count([slip, decoy])
    assert (seen.slips, seen.found, seen.decoys, seen.alarms, seen.missed) == (1, 1, 1, [], [])
    assert report("x", seen, with_misses=False) == [
        "x: 1 of 1 slips seen (1.000), noise 0, stops among it 0, alarms on 1 decoys 0"
    ]


def test_what_is_not_seen_and_what_is_cried_wrongly_is_counted() -> None:
    """A quote elsewhere is not pointed at: the finding is then noise, on a decoy an alarm."""
    slip = {**_edit(RIGHT, WRONG), "quotes": ["nowhere near these words at all"]}
    seen = count([slip, {**slip, "kind": "decoy"}])
    assert (seen.found, len(seen.missed)) == (0, 1)
    assert len([*seen.stops, *seen.noise]) == len(seen.alarms) >= 1


def test_misses_of_a_set_kept_aside_are_never_said() -> None:
    """Only totals are printed of it, whatever is asked for."""
    seen = count([{**_edit(RIGHT, WRONG), "quotes": ["nowhere near these words at all"]}])
    assert len(report("a", seen, with_misses=True)) > 1
    assert len(report("d", seen, with_misses=True)) == 1


def test_a_place_that_is_not_there_once_is_refused() -> None:
    """An edit that stands nowhere, or twice, says which."""
    with pytest.raises(ValueError, match="E01: 'zorb' does not stand once"):
        edited("nothing of the kind", _edit("zorb", "x"))


def test_sets_are_measured_by_name_or_by_path(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file anywhere is measured as one of the sets here is."""
    path = tmp_path / "mine.json"
    path.write_text(json.dumps([_edit(RIGHT, WRONG)]), "utf-8")
    assert measure_edits.main([str(path), "--misses"]) == 0
    assert capsys.readouterr().out.startswith("mine: 1 of 1 slips seen (1.000)")
