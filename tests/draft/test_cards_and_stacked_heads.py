"""Cards told by key words, heads of tables on two lines, and signs of a maker's own: our own texts."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Action, Stage, Step

TITLE = "LINNET SURGICAL LTD\nLARK forceps\n\n"
_TABLE = """
                                               °C       min
No  Stage        What to do                    (range)  (least)   Remark
------------------------------------------------------------------------
 1  Wash         soak in cleaner               25-35    5         fresh bath
 2  Rinse        rinse under purified water    15-30    1         -
 3  Dry          dab dry                       -        -         no drop left
 4  Sterilize    steam, fractionated vacuum    134-137  3         -
"""


def _steps(text: str) -> tuple[Step, ...]:
    return draft_text(TITLE + text).steps


def test_units_above_the_heads_belong_to_them() -> None:
    """A unit on the line above the heads gives the figures of its column their unit."""
    soak, rinse, *_, cycle = _steps(_TABLE)
    assert [figure.unit for figure in soak.figures] == ["°C", "min"]
    assert (rinse.stage, cycle.stage) == (Stage.cleaning, Stage.sterilization)


def test_a_key_word_that_asks_stands_beside_sentences() -> None:
    """'Do' in the margin of a card heads its sentences, and each is a step of its own."""
    card = "WASHING\nDo           Rinse it for 2 min.\n             Brush the jaw for 1 min.\n"
    steps = _steps(
        f"{card}\nSTERILISING\nDo           Steam it at 134 °C for 5 min. Let it cool for 30 min.\n"
    )
    assert [step.action for step in steps[:2]] == [Action.rinse, Action.brush]
    assert steps[1].origin.text == "Brush the jaw for 1 min."


def test_a_sign_of_the_makers_own_heads_no_section() -> None:
    """'# Count. Wipe it.' marks a place where something is counted, and asks."""
    steps = _steps("AFTER THE OPERATION\n# Count. Wipe blood off with a cloth and sterile water.\n")
    assert Action.wipe in {step.action for step in steps}
    assert {step.stage for step in steps} == {Stage.point_of_use}


def test_phases_between_dashes_are_steps() -> None:
    """A program in one line with dashes between its phases is a step for each."""
    wash = "cold rinse 3 min - wash 55 °C, 8 min - rinse 2 min"
    run = f"Run: {wash} - disinfect 90 °C, 5 min - dry 95 °C, 20 min."
    steps = _steps(f"WASHER\n{run}\n")
    assert [step.stage for step in steps][-2:] == [Stage.disinfection, Stage.drying]
    assert "disinfect" not in steps[0].origin.text


def test_a_frequency_tells_ultrasound() -> None:
    """Nothing but an ultrasonic bath runs at 40 kHz."""
    assert _steps("CLEANING\nRun it at 40 kHz for 8 minutes.\n")[0].action is Action.sonicate


@pytest.mark.parametrize("head", ["WHY", "REASON", "BACKGROUND"])
def test_a_column_of_reasons_is_no_work(head: str) -> None:
    """What a column beside the work tells as its reason is asked of nobody, whatever verbs stand in it."""
    rows = (
        ("W1  Rinse the outside with tap water for 1 minute.", "Warmth sets protein."),
        ("W2  Soak it in the cleaner for 5 minutes.", "Soil leaves the hinge only while it moves."),
        ("W3  Brush the jaw for 30 seconds.", "The tube is flushed, not brushed."),
        ("P1  Put it into a pouch. Port uncovered.", "The red cap is for shipping only."),
        ("S1  Prevacuum, 134 °C, 3.5 minutes, dry 20 minutes.", "Steam passes its slots."),
        ("K1  Keep it dry.", "Damp paper lets germs through."),
    )
    lines = [f"{'WHAT TO DO':<60}{head}", "", *(f"{work:<60}{why}" for work, why in rows)]
    read = [step.origin.text for step in _steps("\n".join(lines))]
    assert len(read) >= len(rows)
    assert not [why for _, why in rows if any(why in text for text in read)]


_RULES = "Rules\n A  Cleaners: pH 6 to 9 in use.\n B  No saline.\n\n"
_STEP_BESIDE_NUMBER = """
| No. | Step        | Comp. | What              | With     | Values      |
|-----|-------------|-------|-------------------|----------|-------------|
| 1   | Point of use | A, B | wipe off          | cloth    | at once     |
| 2   | Rinse       | A     | flush the bore    | water    | 20 mL, min. |
| 3   | Packing     | A, B  | pack in a pouch   | -        | -           |
"""
_WHAT_WITH = """
| No. | Part | What           | With     | Values |
|-----|------|----------------|----------|--------|
| 1   | A    | flush the bore | water    | 20 mL  |
| 2   | B    | wipe it        | cloth    | -      |
"""


def test_step_beside_a_number_names_the_stage() -> None:
    """Under a heading of rules too, such a table tells work: 'What' is done to the 'Comp.' named."""
    wipe, flush, pack = _steps(f"Parts: A = shaft;  B = jaw.\n\n{_RULES}{_STEP_BESIDE_NUMBER}")
    assert (wipe.stage, flush.stage, pack.stage) == (Stage.point_of_use, Stage.cleaning, Stage.packaging)
    assert (wipe.action, flush.action, pack.action) == (Action.wipe, Action.flush, Action.pack)
    assert wipe.on == ("A", "B")
    assert flush.on[0] == "A"


def test_what_and_with_what_tell_work() -> None:
    """A table of what is done with what is none of rules, whatever heading stands above it."""
    steps = _steps(f"Parts: A = shaft;  B = jaw.\n\nCleaning\n\n{_RULES}{_WHAT_WITH}")
    assert [step.action for step in steps if step.action in {Action.flush, Action.wipe}] == [
        Action.flush,
        Action.wipe,
    ]


def test_a_table_of_what_and_why_tells_no_work() -> None:
    """Under a heading of rules its rows stay statements."""
    table = "| No. | What | Why |\n|---|---|---|\n| 1 | rinse water | spots |\n| 2 | dry air | rust |\n"
    assert _steps(f"{_RULES}{table}") == ()
