"""Charts whose side names the stage: what stands behind it is read as sentences of that stage."""

from __future__ import annotations

from sinkside.draft import draft_text
from sinkside.instruction import Stage

CHART = """ORLAND rasp

INSTRUCTIONS
----------------------------------------------------------------------
Point of use          Wipe off bone debris with a damp cloth. Push 20 mL
                      of water through the bore.
----------------------------------------------------------------------
Containment and       Put the rasp into a closed box. Begin cleaning
transport             within 2 hours.
----------------------------------------------------------------------
Cleaning: manual      1. Rinse with cold water for at least 1 minute.
                      2. Soak in detergent for 10 minutes.
----------------------------------------------------------------------
Inspection            Look at every tooth through a lens.
"""

WITH_STROKES = """ORLAND rasp

| Stage | Instruction |
|---|---|
| Cleaning | Rinse with cold water for at least 1 minute. Soak it in detergent for 10 minutes. |
| Drying | Wipe it with a cloth. Blow air through the bore for 20 seconds. |
"""

TABLE = """ORLAND rasp

Automated cleaning

Phase          Medium          Time
Pre-rinse      cold water      2 min
Wash           detergent       6 min
Drying         hot air         20 min
"""


def _staged(text: str) -> list[tuple[Stage, str]]:
    return [(step.stage, step.origin.text) for step in draft_text(text).steps]


def test_side_of_a_chart_tells_the_stage() -> None:
    """Every sentence behind a label is a step of its own, of the stage that the label names."""
    staged = _staged(CHART)
    assert [stage for stage, _ in staged] == [
        *(Stage.point_of_use,) * 2,
        *(Stage.transport,) * 2,
        *(Stage.cleaning,) * 2,
        Stage.inspection,
    ]
    assert staged[1][1] == "Push 20 mL of water through the bore."


def test_label_on_two_lines_is_one() -> None:
    """A label may be broken: 'Containment and / transport'."""
    assert "Containment and transport" in [heading.text for heading in draft_text(CHART).headings]


def test_prose_in_a_drawn_row_is_read_by_sentences() -> None:
    """A cell of several sentences gives a step for each, not one for the row."""
    staged = _staged(WITH_STROKES)
    assert [stage for stage, _ in staged] == [*(Stage.cleaning,) * 2, *(Stage.drying,) * 2]
    assert staged[3][1] == "Blow air through the bore for 20 seconds."


def test_table_of_short_cells_stays_a_table() -> None:
    """Phases with a medium and a time beside them are rows, one step each."""
    steps = draft_text(TABLE).steps
    assert [len(step.figures) for step in steps] == [1, 1, 1]
    assert "|" in steps[0].origin.text
