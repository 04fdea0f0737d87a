"""Ways of setting a text that makers use, in texts of our own: lists, tables, labels, questions."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.pages import text_pages
from sinkside.draft.passages import passages
from sinkside.instruction import Action, Stage

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps\n\n"


@pytest.mark.parametrize(
    "heading",
    [
        "[B] CLEANING",
        "== Cleaning ==",
        "<< CLEANING >>",
        "*** Cleaning ***",
        "[CLEANING]",
        "■ CLEANING",
        "CLEANING:",
        "## Cleaning",
        "Step 2 – Cleaning",
        "B. CLEANING",
        "Table 4: Cleaning",
        "CLEANING, IF THE DEVICE WAS USED ON A PATIENT",
    ],
)
def test_headings_are_set_off_in_many_ways(heading: str) -> None:
    """Brackets, rules of signs, capitals, colons and numbers set a heading off."""
    drafted = draft_text(f"{TITLE}POINT OF USE\n\n- Wipe it.\n\n{heading}\n\n- Brush it.\n")
    assert [one.stage for one in drafted.headings][1:] == [Stage.cleaning]
    assert [step.stage for step in drafted.steps] == [Stage.point_of_use, Stage.cleaning]


QUESTIONS = """{a}How do the scissors leave the operating room?

{b}Wipe them and put them into a closed box.

{a}How do I clean them by hand?

{b}Soak them for 10 minutes, then brush the joint.

{a}What must I not do?

{b}Do not use metal brushes.

{a}Which steam cycle is right?

{b}Use 134 °C for 5 minutes.

{a}How many times can they be used?

{b}At most 75 times.
"""


@pytest.mark.parametrize(("asked", "answered"), [("", ""), ("Q: ", "A: "), ("Q3. ", "A3. ")])
def test_questions_head_their_answers(asked: str, answered: str) -> None:
    """A text of questions and answers is read as one with headings; no question is a step."""
    drafted = draft_text(TITLE + QUESTIONS.format(a=asked, b=answered))
    assert [(step.stage, step.action) for step in drafted.steps] == [
        (Stage.point_of_use, Action.wipe),
        (Stage.transport, Action.transport),
        (Stage.cleaning, Action.soak),
        (Stage.cleaning, Action.brush),
        (Stage.sterilization, Action.sterilize),
        (Stage.maintenance, Action.count_use),
    ]


def test_a_question_within_an_item_is_no_heading() -> None:
    """'Soil? Back to step 1.' asks for something."""
    drafted = draft_text(f"{TITLE}Inspection\n\n1. Look at it. Soil? Start again from step 1.\n")
    assert [heading.text for heading in drafted.headings] == ["Inspection"]


@pytest.mark.parametrize("mark", ["-", "•", ">>", ">", "»", "–", "+", "■", "➢", "[3] ", "3-1 "])
def test_items_begin_with_many_marks(mark: str) -> None:
    """Every line is an item of its own, and its verb asks."""
    text = f"{TITLE}Cleaning\n\n{mark} Rinse it\n{mark} Brush it\n"
    assert [step.action for step in draft_text(text).steps] == [Action.rinse, Action.brush]


def test_a_line_that_begins_with_a_comparison_is_no_bullet() -> None:
    """'> 5 min' is a figure."""
    read = passages(text_pages("Cleaning\n\nSoak it\n> 5 min in the bath\n").lines)
    assert "> 5 min" in " ".join(passage.text for passage in read)


def test_units_on_a_second_line_of_heads_govern_the_columns() -> None:
    """Heads over two lines and a rule below them: the numbers have the units that stand over them."""
    text = """Machine

    Phase            Water            Temperature    Time     Additive
                                      °C             min
    --------------------------------------------------------------------
    Pre-rinse        drinking water   20             2        none
    Main wash        drinking water   45 - 55        10       cleaner, pH 8
    Disinfection     demineralised    90             >= 5     none
"""
    steps = draft_text(TITLE + text).steps
    told = [[(figure.min, figure.value, figure.unit) for figure in step.figures] for step in steps]
    assert told[0] == [(None, 20, "°C"), (None, 2, "min")]
    assert (45, None, "°C") in told[1]
    assert told[2] == [(None, 90, "°C"), (5, None, "min")]


def test_counts_stand_over_columns_too() -> None:
    """'Pulses' over a column makes pulses of its numbers."""
    text = "| Cycle | Temperature | Pulses |\n|---|---|---|\n| A | 134 °C | 3 or more |\n"
    [step] = draft_text(f"{TITLE}Sterilization\n\n{text}").steps
    assert [(figure.min, figure.role) for figure in step.figures_of("count", "pulses")] == [(3, "pulses")]


def test_a_table_of_limits_gives_limits() -> None:
    """The first cell names what the second one bounds; a number of cycles needs no word behind it."""
    text = """Table 1: Limits

| Property | Limit |
|---|---|
| Maximum temperature | 141 °C |
| pH of detergents | 5.5 - 10.8 |
| Weight of packed tray | max. 5 kg |

Cleaning

- Brush it.
"""
    drafted = draft_text(TITLE + text)
    limits = {(limit.limits, limit.min, limit.max) for limit in drafted.device.limits}
    assert {("ph", 5.5, 10.8), ("mass", None, 5)} <= limits
    assert "temperature" in {limit for limit, _, _ in limits}
    assert drafted.not_understood == ()
    assert [step.origin.text for step in drafted.steps] == ["Brush it."]


def test_a_note_to_a_row_belongs_to_its_stage() -> None:
    """'Row 2: …' below a table adds to the step with that number."""
    table = (
        "| No. | Action | Time |\n|---|---|---|\n| 1 | Soak | 5 min |\n| 2 | Sterilize | 4 min, 134 °C |\n"
    )
    note = "Notes\n\nRow 2: 18 min where prion rules apply.\n"
    assert draft_text(f"{TITLE}{table}\n{note}").steps[-1].stage is Stage.sterilization


def test_a_list_of_phases_in_a_sentence_is_a_step_for_each() -> None:
    """A noun that could be a verb does not hide the others."""
    cycle = (
        "The cycle consists of a 2-minute pre-rinse, a ten-minute wash at 55 °C, two rinses of one minute "
        "each, thermal disinfection at 90 °C for five minutes, and drying at 110 °C for twenty minutes."
    )
    steps = draft_text(f"{TITLE}Machine\n\n{cycle}\n").steps
    assert [step.action.value for step in steps] == ["pre-rinse", "wash", "rinse", "disinfect", "dry"]
    assert [figure.value for figure in steps[1].figures] == [10, 55]


@pytest.mark.parametrize(
    ("line", "unit", "value"),
    [("Keep it up to 26 weeks.", "week", 26), ("Tighten it to 60 N·cm.", "N·cm", 60)],
)
def test_weeks_and_torques_are_figures(line: str, unit: str, value: float) -> None:
    """Shelf lives in weeks, and how hard a nut is tightened."""
    [figure] = draft_text(f"{TITLE}Storage\n\n- {line}\n").steps[0].figures
    assert (figure.unit, figure.max if unit == "week" else figure.value) == (unit, value)


def test_a_label_may_announce_the_stage() -> None:
    """'Stage: …' over 'Who: …' and 'What: …' heads them; by whom it is done is no step."""
    block = "Stage: {}\nWho: scrub nurse\nWhat: {}\n\n"
    text = block.format("Point of care", "Wipe it.") + block.format("Packing", "Wrap it in two layers.")
    steps = draft_text(TITLE + text).steps
    assert [(step.stage, step.action) for step in steps] == [
        (Stage.point_of_use, Action.wipe),
        (Stage.packaging, Action.pack),
    ]


def test_a_stage_alone_on_its_line_is_a_heading_without_white_space() -> None:
    """Close-set texts put 'Cleaning' and 'Disinfection' between their items."""
    text = "Cleaning\n1. Soak it for 10 min.\n2. Brush it.\nDisinfection\n3. Rinse it for 5 min at 90 °C.\n"
    drafted = draft_text(TITLE + text)
    assert [heading.text for heading in drafted.headings] == ["Cleaning", "Disinfection"]


def test_a_letter_and_a_space_begin_an_item_if_the_letters_follow_each_other() -> None:
    """Where the distance was lost, as in columns of a page, 'a', 'b' and 'c' still count the items."""
    text = "Cleaning\n\na Rinse it.\nb Brush the\nLuer port.\nc Dry it.\n"
    assert [step.number for step in draft_text(TITLE + text).steps] == ["a", "b", "c"]
    read = passages(text_pages("Cleaning\n\nBrush it with\na Luer adapter of steel.\n").lines)
    assert [passage.number for passage in read][-1] is None


def test_a_number_that_was_wrapped_is_no_item() -> None:
    """'… for' at the end of a line and '20 s.' at the start of the next are one figure."""
    text = "Drying\n\nBlow air of 0.5 bar through the luer port for\n20 s. Dab the handle dry.\n"
    figures = [figure for step in draft_text(TITLE + text).steps for figure in step.figures]
    assert [(figure.value, figure.unit) for figure in figures] == [(0.5, "bar"), (20, "s")]
