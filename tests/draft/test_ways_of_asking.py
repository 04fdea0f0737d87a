"""Prose, checklists and tables ask in their own ways; what only tells asks for nothing."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.lexicon import read_words
from sinkside.draft.positions import positions_in
from sinkside.instruction import Action, Stage, StatementKind


@pytest.mark.parametrize(
    ("words", "stage", "action"),
    [
        ("After the end of the operation the shaft is wiped.", Stage.point_of_use, Action.wipe),
        ("Before manual cleaning the ratchet is released.", Stage.preparation, Action.set_position),
        ("For machine cleaning place it in a basket.", Stage.cleaning, Action.load),
        ("After sterilisation the packs are stored on a shelf.", Stage.storage, Action.store),
        ("Packaging is done in two pouches.", Stage.packaging, Action.pack),
        ("Thermal disinfection is carried out at 90 °C for 5 min.", Stage.disinfection, Action.disinfect),
        ("Visible soil must be removed with a cloth.", Stage.cleaning, Action.wipe),
        ("The shaft must be visibly clean.", Stage.inspection, Action.inspect),
        ("Let the load cool down for 20 min.", Stage.sterilization, Action.cool),
    ],
)
def test_prose_without_headings_says_its_stage_itself(words: str, stage: Stage, action: Action) -> None:
    """How a sentence opens, and nouns that are 'done', stand in for headings and verbs."""
    text = f"LINNET clamp\n\nIt is made of steel and is delivered non-sterile.\n\n{words}\n"
    assert (stage, action) in [(step.stage, step.action) for step in draft_text(text).steps]


@pytest.mark.parametrize("box", ["[ ]", "☐", "-"])
def test_boxes_to_tick_are_items_and_participles_ask_there(box: str) -> None:
    """'[ ] Jaws wiped' asks as '- wipe the jaws' does; the words behind no box only tell."""
    heading = "Cleaning"
    (wiped,) = draft_text(f"{heading}\n\n{box} Jaws wiped with wet sponge\n").steps
    assert (wiped.stage, wiped.action) == (Stage.cleaning, Action.wipe)
    told = draft_text(f"{heading}\n\nThe hinge moved by years of use grows loose.\n")
    assert told.steps == ()


def test_a_table_of_work_asks_under_any_heading() -> None:
    """Under 'General rules' a table with a column for the process holds steps, one of parts holds none."""
    work = "General rules\n\nStep | Process | Agent | Time (min)\n1 | Rinse | water | 2\n2 | Oil | oil |\n"
    work += "3 | Pouch | double | -\n"
    assert [step.action for step in draft_text(work).steps] == [Action.rinse, Action.lubricate, Action.pack]
    parts = "General rules\n\n| Part | Material |\n|---|---|\n| brush | nylon |\n| tip | steel |\n"
    assert draft_text(parts).steps == ()


def test_a_sentence_that_begins_with_no_forbids() -> None:
    """'No water above 40 °C may be used' sets a limit; 'No lubrication is needed' asks for nothing."""
    drafted = draft_text("Cleaning\n\nNo detergents or water of any kind above 45 °C may ever be used.\n")
    assert drafted.steps == ()
    assert [(limit.max, limit.unit) for limit in drafted.device.limits] == [(45, "°C")]
    needless = draft_text("Care\n\n- No lubricant is needed.\n")
    assert [x.kind for x in needless.statements] != [StatementKind.prohibition]


def test_the_names_of_parts_may_stand_between_a_state_and_its_feature() -> None:
    """'Close the small suction valve' closes the valve; a box with a valve elsewhere stays what it is."""
    assert positions_in(read_words("Close the small suction valve.")) == {"port": "capped"}
    assert positions_in(read_words("Close the box that holds the pump and its valve.")) == {}


def test_a_row_may_hold_a_whole_machine_cycle() -> None:
    """Under 'What' and 'How', 'Washer' holds all its phases, each at its stage, and oil stays oil."""
    table = """Scope

Reusable clamp.

| Step | What   | How |
|------|--------|-----|
| 1    | Washer | Prewash 3 min cold, wash 60 °C 8 min, rinse 2 min, disinfection 90 °C 5 min, drying 25 min |
| 2    | Oil    | One drop of white oil, steam permeable, on the box lock |
| 3    | Handle | keep it dry |
"""
    steps = draft_text(table).steps
    assert [step.action for step in steps[:5]] == [
        Action.pre_rinse,
        Action.wash,
        Action.rinse,
        Action.disinfect,
        Action.dry,
    ]
    assert [step.stage for step in steps[3:6]] == [Stage.disinfection, Stage.drying, Stage.maintenance]


@pytest.mark.parametrize(
    ("words", "action"),
    [
        ("Remove the clamps and rinse them for 1 min.", Action.other),
        ("Take it out of the bath and rinse it for 1 min.", Action.other),
        ("Remove the shaft and rinse it for 1 min.", Action.take_apart),
    ],
)
def test_to_take_the_device_out_of_its_bath_takes_nothing_apart(words: str, action: Action) -> None:
    """Whoever lifts the whole device out only goes on; whoever removes a part takes apart."""
    text = f"LINNET LTD\nLARK artery clamp\n\nCleaning\n\n- {words}\n"
    assert draft_text(text).steps[0].action is action
