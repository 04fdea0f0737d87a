"""What headings say about the steps below them, and what stands above the first, in texts of our own."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.guessing import guessed_stages
from sinkside.draft.pages import text_pages
from sinkside.draft.passages import passages
from sinkside.draft.stages import stages_named
from sinkside.draft.staging import WorkAsked, stage_of
from sinkside.instruction import Action, Stage


@pytest.mark.parametrize(
    ("heading", "stages"),
    [
        ("AT THE TABLE", [Stage.point_of_use]),
        ("Straight after the procedure", [Stage.point_of_use]),
        ("Carrying to the department", [Stage.transport]),
        ("Washing by machine (preferred)", [Stage.cleaning]),
        ("3. At the sink", [Stage.cleaning]),
        ("Looking and trying out", [Stage.inspection]),
        ("Packing and steam", [Stage.packaging, Stage.sterilization]),
        ("Shelf and service life", [Stage.storage, Stage.maintenance]),
        ("Workbench", [Stage.inspection, Stage.maintenance, Stage.packaging]),
        ("What the box holds", []),
        ("Definitions", []),
    ],
)
def test_headings_name_their_stages_in_many_words(heading: str, stages: list[Stage]) -> None:
    """Makers head their sections by place, by time or by work; what names no stage stays open."""
    assert list(stages_named(heading)) == stages


_UNNAMED = """Cleaning

- Brush the tip for 1 min.

Zorbling

- {step}

Storage

- Keep it dry.
"""


@pytest.mark.parametrize(
    ("step", "stage"),
    [
        ("Wrap the tray in two layers.", Stage.packaging),
        ("Put one drop of oil on the joint.", Stage.maintenance),
        ("Soak the parts for 5 min.", Stage.cleaning),
    ],
)
def test_a_heading_without_a_stage_takes_it_from_what_is_asked_below(step: str, stage: Stage) -> None:
    """A word that nobody knows heads a section: what is asked for there says which stage it is."""
    drafted = draft_text(_UNNAMED.format(step=step))
    assert [(heading.text, heading.stage) for heading in drafted.headings][1] == ("Zorbling", stage)
    assert drafted.steps[1].stage is stage


def test_a_heading_over_plain_statements_opens_no_stage() -> None:
    """Where nothing is asked for, nothing is guessed; a heading that describes is none either."""
    text = (
        "Zorbling\n\nThe handle is made of steel.\n\nWarnings\n\nRinse hands well.\n\nCleaning\n\nBrush it.\n"
    )
    assert guessed_stages(passages(text_pages(text).lines), "en") == {}


def test_remarks_behind_the_steps_may_ask_and_above_them_describe() -> None:
    """'Remarks' behind a table holds further things to do; above it, it only explains."""
    behind = draft_text("Cleaning\n\n- Brush the tip.\n\nRemarks\n\nFit a new seal to the shaft.\n")
    assert [step.origin.text for step in behind.steps][-1] == "Fit a new seal to the shaft."
    above = draft_text("Remarks\n\nFit a new seal to the shaft.\n\nCleaning\n\n- Brush the tip.\n")
    assert [step.origin.text for step in above.steps] == ["Brush the tip."]


def test_work_that_goes_on_in_an_item_keeps_its_stage() -> None:
    """'Wipe the excess away' behind oiling is care; a wipe of its own is not."""
    heading = "Inspection and care"
    steps = draft_text(f"{heading}\n\n1. Put oil on the joint. Wipe the excess away.\n").steps
    assert [step.stage for step in steps] == [Stage.maintenance, Stage.maintenance]
    named = (Stage.inspection, Stage.maintenance)
    assert stage_of(WorkAsked(Action.wipe, named, Stage.maintenance)) is Stage.inspection


@pytest.mark.parametrize("notice", ["", "Draft. Not for clinical use.\n\n", "Uncontrolled when printed.\n\n"])
def test_a_notice_above_the_title_does_not_cut_it(notice: str) -> None:
    """Maker and device are named below a notice as well as without one."""
    title = "NORRBY SURGICAL LTD\nLOVAGE bone punch, size 3 - Processing card 7"
    device = draft_text(f"{notice}{title}\n\nCleaning\n\n- Brush it.\n").device
    assert (device.name, device.maker) == ("LOVAGE bone punch, size 3", "NORRBY SURGICAL LTD")


def test_the_device_is_found_in_the_name_of_its_document() -> None:
    """'Information for the processing of the bone saw …' names it; a drill guide is no guide book."""
    long = "Information for the processing of the oscillating bone saw TEASEL\nDocument 9"
    assert draft_text(f"Norrby\n{long}\n\nCleaning\n\n- Brush it.\n").device.name == (
        "oscillating bone saw TEASEL"
    )
    guide = draft_text("NORRBY LTD\nTEASEL drill guide\nCare sheet 3\n\nCleaning\n\n- Brush it.\n")
    assert guide.device.name == "TEASEL drill guide"


def test_labels_in_a_column_of_their_own_begin_items() -> None:
    """'  A   T must be off' is item A; running text that begins with 'a' is none."""
    read = passages(text_pages("Conditions\n\n  A   Take care.\n  B   Go slow.\n").lines)
    assert [passage.number for passage in read[1:]] == ["A", "B"]
    assert passages(text_pages("Cleaning\n\n a brush of nylon is used\n").lines)[1].number is None


def test_a_label_says_the_stage_of_its_items() -> None:
    """'Try: …; …' under 'Drying' holds for each of its items; a label that names no stage for none."""
    tried = draft_text("Drying\n\n- Try: suck 50 mL of water through; flush the tip.\n").steps
    assert {step.stage for step in tried} == {Stage.inspection}
    other = draft_text("Cleaning\n\n- Port: suck 50 mL of water through; flush the tip.\n").steps
    assert {step.stage for step in other} == {Stage.cleaning}


def test_parameters_on_lines_of_their_own_are_items() -> None:
    """'Label: value' under 'Label: value' goes on with nothing, however long the line is."""
    text = (
        "Steam\n  Fractionated vacuum with saturated steam: 134 °C, 3 min\n"
        "  Allowed also in all departments: 121 °C, 20 min\n"
    )
    assert [passage.text[:6] for passage in passages(text_pages(f"Cleaning\n\n{text}").lines)[-2:]] == [
        "Fracti",
        "Allowe",
    ]


def test_where_the_device_is_sent_away_it_was_used() -> None:
    """A heading that nobody knows, over wiping and sending away, before all cleaning."""
    title, sent = "LINNET LTD\nLARK clamp", "- Send it to CSSD within 1 h."
    text = f"{title}\n\nZorb\n\n- Wipe the tip.\n- Rinse the tip.\n{sent}\n\nCleaning\n\n- Brush it.\n"
    steps = draft_text(text).steps
    assert [step.stage for step in steps[:3]] == [Stage.point_of_use, Stage.point_of_use, Stage.transport]


def test_labels_in_capitals_head_their_lines() -> None:
    """The template of many makers: 'STORAGE: Dry.' is a heading with its text, 'WARNING: …' none."""
    text = "WARNINGS: Wear gloves. Be careful.\nINITIAL TREATMENT: Wipe the tip.\nSTORAGE: Dry, dust-free.\n"
    drafted = draft_text(f"LINNET LTD\nLARK clamp\n\n{text}")
    assert [heading.stage for heading in drafted.headings] == [None, Stage.point_of_use, Stage.storage]
    assert [step.stage for step in drafted.steps] == [Stage.point_of_use, Stage.storage]
    assert draft_text("Cleaning\n\nWARNING: The tips are sharp.\n").headings[1:] == ()


def test_sections_may_be_numbered_with_their_sign() -> None:
    """'§4 Packing' heads, '§4.1 …' is an item of it."""
    drafted = draft_text("LARK clamp\n\n§4 Packing\n§4.1 Wrap it twice.\n\n§5 Storage\nKeep it dry.\n")
    assert [(step.stage, step.number) for step in drafted.steps] == [
        (Stage.packaging, "4.1"),
        (Stage.storage, None),
    ]


def test_do_and_do_not_are_no_stages() -> None:
    """Under 'DO' all steps are found by what they ask, under 'DO NOT' none."""
    drafted = draft_text("LARK clamp\n\nDO\n- Rinse it.\n- Store it dry.\n\nDO NOT\n- Soak it overnight.\n")
    assert [step.stage for step in drafted.steps] == [Stage.cleaning, Stage.storage]


def test_intended_use_is_no_point_of_use() -> None:
    """A stage inside a longer phrase that describes is none."""
    assert stages_named("Intended use and description") == ()
    assert stages_named("After use") == (Stage.point_of_use,)


def test_cells_beside_each_other_above_the_first_heading_are_titles() -> None:
    """'CARE INSTRUCTIONS   Doc. 7' beside each other name the document, a row of work none."""
    text = "LINNET SURGICAL LTD\n| CLEANING INSTRUCTIONS | Doc. 7 |\nLARK clamp\n\nCleaning\n\n- Brush it.\n"
    drafted = draft_text(text)
    assert [step.origin.text for step in drafted.steps] == ["Brush it."]
    assert drafted.device.name == "LARK clamp"
    assert draft_text("LARK clamp\n\n| Cleaning | rinse 2 min |\n| Drying | wipe dry |\n").steps != ()


@pytest.mark.parametrize("line", ["Device: LARK bone punch, REF 7. Maker: Linnet.", "LARK bone punch, REF 7"])
def test_a_label_names_the_device_outright(line: str) -> None:
    """'Device: …' in a sentence above the steps is as good as a title."""
    assert draft_text(f"INSTRUCTIONS FOR PROCESSING\n{line}\n\nCleaning\n\n- Brush it.\n").device.name == (
        "LARK bone punch"
    )


def test_the_title_may_say_all_that_is_done_to_the_device() -> None:
    """'Cleaning and sterilisation of the LARK …' heads the document, no stage, and names the device."""
    title = "Cleaning, disinfection and sterilisation of the LARK tissue punch"
    drafted = draft_text(f"LINNET LTD\n{title}\n\nCleaning\n\n- Brush it.\n")
    assert [heading.text for heading in drafted.headings] == ["Cleaning"]
    assert drafted.device.name == "LARK tissue punch"


@pytest.mark.parametrize(
    ("line", "number"),
    [("2.5 mm is its bore.", None), ("12 Nm hold it.", None), ("2.5 Brush it.", "2.5"), ("4 In use", "4")],
)
def test_a_line_may_begin_with_a_size(line: str, number: str | None) -> None:
    """'2.5 mm …' is no item 2.5."""
    assert passages(text_pages(f"Cleaning\n\n{line}\n").lines)[-1].number == number
