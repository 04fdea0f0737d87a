"""The samples, measured by the scorer beside them (its truth was written apart from this program)."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from sinkside import documents
from sinkside.draft import draft
from sinkside.instruction import Instruction

SAMPLES = Path(__file__).parent.parent / "samples"
BULLETS, TABLE, BAD = "a_arthroscopy_us_bullets", "c_paediatric_lap_table", "d_spine_endoscopy_bad"

#: A number with a unit, found without any of the program's own words.
_PLAIN_FIGURE = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:min\b|minutes?|seconds|hours|h\b|mL|kHz|MHz|mm\b|bar\b|psi|%|kV|cycles|months|C\b|deg)"
)


def _measured(scorer: ModuleType, truth: dict[str, Any], name: str, path: Path) -> dict[str, float]:
    text = (SAMPLES / f"{name}.txt").read_text(encoding="utf-8")
    row = scorer.judge(truth, text, documents.to_values(draft(path)), [])
    right, total, false = row["figures"]
    position_right, position_true, position_drafted = row["positions"]
    return {
        "steps": row["steps"][0] / row["steps"][1],
        "stage": row["stage"][0] / row["stage"][1],
        "figures": 2 * right / (2 * right + false + total - right),
        "bound": row["bound"][0] / row["bound"][1],
        "positions": 2 * position_right / (position_true + position_drafted),
    }


@pytest.mark.parametrize("name", [BULLETS, TABLE, BAD])
def test_samples_reach_the_bars(
    scorer: ModuleType, truth_of: Callable[[str], dict[str, Any]], name: str
) -> None:
    """Steps, stages, figures, bounds and positions of the text samples are read as well as asked for."""
    measured = _measured(scorer, truth_of(name), name, SAMPLES / f"{name}.txt")
    assert measured["steps"] >= 0.97
    assert measured["stage"] >= 0.9
    assert measured["figures"] >= 0.97
    assert measured["bound"] >= 0.97
    assert measured["positions"] >= 0.9


@pytest.mark.parametrize("columns", [1, 2])
@pytest.mark.parametrize("name", [BULLETS, TABLE])
def test_the_same_text_set_as_pdf_reaches_the_bars(
    scorer: ModuleType,
    truth_of: Callable[[str], dict[str, Any]],
    set_pdf: Callable[..., Path],
    name: str,
    columns: int,
) -> None:
    """Running heads, page numbers, columns, hyphenation and ruled tables cost next to nothing."""
    path = set_pdf((SAMPLES / f"{name}.txt").read_text(encoding="utf-8"), columns=columns)
    measured = _measured(scorer, truth_of(name), name, path)
    assert measured["steps"] >= 0.95
    assert measured["stage"] >= 0.8
    assert measured["figures"] >= 0.95
    assert measured["bound"] >= 0.95
    assert measured["positions"] >= 0.9


def test_a_table_without_rules_is_read_by_its_columns(
    scorer: ModuleType, truth_of: Callable[[str], dict[str, Any]], set_pdf: Callable[..., Path]
) -> None:
    """Cells that only stand under each other are as good as ruled ones."""
    path = set_pdf((SAMPLES / f"{TABLE}.txt").read_text(encoding="utf-8"), ruled=False)
    measured = _measured(scorer, truth_of(TABLE), TABLE, path)
    assert measured["steps"] >= 0.95
    assert measured["stage"] >= 0.9
    assert measured["figures"] >= 0.95


def _figures_written(instruction: Instruction) -> str:
    figures = [figure.as_written for step in instruction.steps for figure in step.figures]
    figures += [figure.as_written for statement in instruction.statements for figure in statement.figures]
    figures += [limit.as_written for limit in instruction.device.limits]
    return " | ".join([*figures, *(one.text for one in instruction.not_understood)])


@pytest.mark.parametrize("name", [BULLETS, TABLE, BAD])
def test_no_figure_is_dropped(name: str) -> None:
    """Every number with a unit stands in a step, a statement, a limit or under 'not understood'."""
    text = (SAMPLES / f"{name}.txt").read_text(encoding="utf-8")
    written = _figures_written(draft(SAMPLES / f"{name}.txt"))
    stated = [match[1] for match in _PLAIN_FIGURE.finditer(text)]
    missing = [number for number in stated if not re.search(rf"(?<!\d){number}(?!\d)", written)]
    assert missing == []


def test_every_step_keeps_its_place() -> None:
    """The words of each step stand in the file on the lines that its origin names."""
    lines = (SAMPLES / f"{BULLETS}.txt").read_text(encoding="utf-8").splitlines()
    for step in draft(SAMPLES / f"{BULLETS}.txt").steps:
        origin = step.origin
        assert origin.page == 1
        around = " ".join(" ".join(lines[origin.line - 1 : origin.line_end]).split())
        assert origin.text in around
