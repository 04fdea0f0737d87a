"""Which stage a step belongs to, and why: headings, actions, work before it and words are weighed.

Expected stages follow the chapters in which ISO 17664-1 has makers tell each thing (from memory), and
common practice where it leaves the choice.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.staging import WorkAsked, evidence_for, stage_of
from sinkside.instruction import Action, Instruction, Stage

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps, 5 mm\n\n"


def under(heading: str, *lines: str) -> Instruction:
    return draft_text(f"{TITLE}{heading}\n\n" + "\n".join(f"{n}. {line}" for n, line in enumerate(lines, 1)))


@pytest.mark.parametrize(
    ("heading", "line", "stage"),
    [
        ("Cleaning", "Blow medical air of 2 bar through the shaft for 20 s.", Stage.drying),
        ("Cleaning", "Wipe out drops that are left in the joint.", Stage.drying),
        ("Cleaning", "Dab the handle dry with a lint-free cloth.", Stage.drying),
        ("Cleaning", "Wipe the handle with a damp cloth.", Stage.cleaning),
        ("Packing", "Wipe the cable with a disinfectant wipe for 1 min.", Stage.disinfection),
        ("Preparation and cleaning", "Soak all parts for 10 min.", Stage.cleaning),
        ("Preparation and cleaning", "A protein residue test shall be carried out.", Stage.inspection),
        ("Inspection", "If anything is bent, send it back to us.", Stage.inspection),
        ("Inspection", "Then take the shaft off again.", Stage.preparation),
        ("Storage", "Double pouches: 6 months.", Stage.storage),
        ("Storage", "Before use, fit the insert with sterile gloves.", Stage.storage),
        ("Sterilization", "Keep it at 134 °C for 5 min.", Stage.sterilization),
        ("Sterilization", "Aerate for 12 hours.", Stage.sterilization),
        ("Packaging and sterilization", "Wet packs go back to step 3.", Stage.sterilization),
    ],
)
def test_what_is_done_and_where_it_stands_are_weighed(heading: str, line: str, stage: Stage) -> None:
    """Neither the heading nor the action decides alone; words of the sentence can outweigh both."""
    assert [step.stage for step in under(heading, line).steps][-1] is stage


def test_work_goes_on_under_a_heading_with_several_stages() -> None:
    """What tells no stage itself goes on with the work before it."""
    steps = under("Preparation and cleaning", "Soak all parts.", "Move the jaws 5 times.").steps
    assert [step.stage for step in steps] == [Stage.cleaning, Stage.cleaning]


def test_a_heading_of_two_stages_yields_to_the_one_that_is_spoken_of() -> None:
    """'Before packing, …' is packing, even in the middle of a paragraph about sterilization."""
    text = "The steam has to reach every part. Before packing, close the jaws."
    assert under("Sterilization and packing", text).steps[-1].stage is Stage.packaging


def test_every_weight_has_a_reason() -> None:
    """Each piece of evidence says in words why it speaks for its stage."""
    asked = WorkAsked(Action.wipe, (Stage.cleaning,), Stage.cleaning, cues=(Stage.drying,))
    reasons = {(one.stage, one.reason) for one in evidence_for(asked)}
    assert (Stage.cleaning, "the heading names it") in reasons
    assert (Stage.drying, "its words tell it") in reasons
    assert stage_of(asked) is Stage.drying


def test_a_table_does_not_lend_its_stage_over_a_heading() -> None:
    """The stage of the last row of a table ends with the heading behind it."""
    table = "| Stage | Action |\n|---|---|\n| Drying | hot air, 110 °C, 20 min |\n"
    drafted = draft_text(
        f"{TITLE}Machine\n\n{table}\nFunction test\n\n| A | close the jaws |\n| B | open them |\n"
    )
    assert {step.stage for step in drafted.steps[1:]} == {Stage.inspection}


def test_unknown_headings_above_all_known_ones_describe() -> None:
    """What stands under them tells of the device; no step is made of it."""
    text = "WHAT THE BOX HOLDS\n\nTake a mild cleaner.\n\nCLEANING\n\n- Rinse it.\n\nZORBLING\n\n- Wrap it.\n"
    drafted = draft_text(TITLE + text)
    assert [step.origin.text for step in drafted.steps] == ["Rinse it.", "Wrap it."]


@pytest.mark.parametrize(
    ("heading", "line", "action"),
    [
        ("At the table", "Closed box, damp cloth inside.", Action.transport),
        ("At the table", "Needle off", Action.take_apart),
        ("Cleaning", "The time in the bath must not be shortened below ten minutes.", Action.wash),
        ("Storage", "Keep at 15 to 30 °C, up to 6 months.", Action.store),
        ("Sterilization", "Keep it at 134 °C for 5 min.", Action.sterilize),
        ("Cleaning", "Slide a brush of 5 mm through the shaft six times.", Action.brush),
        ("Care", "One drop of white oil is put on the joint.", Action.lubricate),
        ("Cleaning", "A brush of 6 mm is passed through the tube ten times.", Action.brush),
    ],
)
def test_fragments_and_rules_are_the_steps_that_they_mean(heading: str, line: str, action: Action) -> None:
    """Items without a verb, passives and what forbids to do less, each as a technician would take it."""
    assert action in {step.action for step in under(heading, line, "Count the parts.").steps}


def test_parameters_in_the_heading_of_a_table_hold_for_its_cycles() -> None:
    """'Sterilization with 3 pulses' over a table is more than a heading."""
    table = "| Cycle | Temperature | Time |\n|---|---|---|\n| A | 134 °C | 5 min |\n"
    drafted = draft_text(f"{TITLE}Table 2: Sterilization with pre-vacuum, 3 pulses\n\n{table}")
    assert [figure.value for step in drafted.steps for figure in step.figures_of("count", "pulses")] == [3]


def test_a_rule_for_one_section_ends_with_it() -> None:
    """'During the whole of clause 2' governs 2.1 and 2.2, and nothing behind them."""
    text = "2 Cleaning\n2.1 The ratchet shall be released during the whole of clause 2.\n2.2 Soak it.\n\n"
    drafted = draft_text(f"{TITLE}{text}3 Packing\n3.1 Wrap it.\n")
    assert [step.positions for step in drafted.steps][-2:] == [{"ratchet": "released"}, {}]


def test_how_a_thing_is_done_is_no_stage_of_its_own() -> None:
    """'By hand: …' under 'Disinfection' disinfects, and so does 'Disinfection: manual'."""
    for heading, line in (
        ("Disinfection", "By hand: soak it for 10 min in 0.2 % agent."),
        ("DISINFECTION: MANUAL", "Soak it for 10 min in 0.2 % agent."),
    ):
        assert under(heading, line).steps[-1].stage is Stage.disinfection


def test_steam_is_known_by_its_temperature() -> None:
    """A line with 134 °C and a time is a cycle where no heading says so, and hot air of 140 °C is none."""
    hot_air = "Washer\n\n- Dry with air of 140 °C, 15 min.\n"
    steps = draft_text(f"{TITLE}Packing\n\n- Wrap it.\n- 134 °C, 4 min, dry 20 min.\n\n{hot_air}").steps
    assert [(step.stage, step.action) for step in steps][1:] == [
        (Stage.sterilization, Action.sterilize),
        (Stage.drying, Action.dry),
    ]


def test_a_cell_left_empty_goes_on_with_the_stage_above() -> None:
    """Merged cells of a stage name it once; the rows below are of the same phase."""
    table = "| Stage | Parameter | Value |\n|---|---|---|\n| Pre-rinse | water | cold |\n| | time | 2 min |\n"
    steps = draft_text(f"{TITLE}Machine\n\n{table}").steps
    assert [step.action for step in steps] == [Action.pre_rinse, Action.pre_rinse]


def test_a_letter_without_headings_tells_its_stages_by_how_sentences_open() -> None:
    """'Right after the operation' leads all that follows in its paragraph."""
    text = "Right after the operation, wipe the cable with a cloth. Rinse it with water.\n\nDry it.\n"
    assert [step.stage for step in draft_text(TITLE + text).steps][:2] == [Stage.point_of_use] * 2
