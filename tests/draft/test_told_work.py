"""Work that makers tell and do not order, and the marks, tags and tables in which they write it.

The sentences are invented. Expected stages follow the chapters of ISO 17664-1 (from memory); Markdown's
emphasis marks are those of the CommonMark specification, 6.2 (from memory). Where makers put what is
common practice, no source.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Action, Instruction, Stage, StatementKind

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps, 5 mm\n\n"


def drafted(text: str) -> Instruction:
    return draft_text(f"{TITLE}{text}")


@pytest.mark.parametrize(
    ("written", "figure", "least", "most"),
    [
        ("Soak it for **at least 12 min** in water.", "at least 12 min", 12.0, None),
        ("Rinse it with water *below 31 °C*, every part.", "below 31 °C", None, 31.0),
        ("Rinse it __1 min__ under the tap; see note*.", "1 min", 1.0, 1.0),
    ],
)
def test_marks_that_stress_words_are_no_part_of_them(
    written: str, figure: str, least: float | None, most: float | None
) -> None:
    """Bounds are read across the marks, and the figure is written as a reader sees it."""
    read = drafted(f"## Cleaning\n\n1. {written}").steps[0].figures[0]
    ends = (read.value, read.value) if read.value is not None else (read.min, read.max)
    assert (read.as_written, *ends) == (figure, least, most)


def test_a_star_before_a_number_multiplies() -> None:
    """'3 * 50 mL' stresses nothing: both numbers stay."""
    step = drafted("Cleaning\n\n1. Flush the port with 3 * 50 mL of water.").steps[0]
    assert "50 mL" in [figure.as_written for figure in step.figures]
    assert "*" in step.origin.text


TWO_TONGUES = """1  Reinigung / Cleaning

DE  Alle Teile unter fließendem Wasser 90 Sekunden spülen, nicht wärmer als 35 °C.
EN  Rinse all parts under running water of not more than 35 °C for 90 seconds.
DE  Das Maul mit einer weichen Bürste 2 Minuten bürsten.
EN  Brush the jaw with a soft brush for 2 minutes.
DE  Den Schaft mit 3 × 40 mL Lösung durchspülen.
EN  Flush the shaft with 3 × 40 mL of solution.
"""


def test_a_line_that_names_its_language_is_in_it() -> None:
    """'DE' and 'EN' before every line part the languages, and each figure is read once."""
    instruction = drafted(TWO_TONGUES)
    assert [step.origin.text.split()[0] for step in instruction.steps] == ["Rinse", "Brush", "Flush"]
    assert [len(step.figures) for step in instruction.steps] == [2, 1, 2]
    assert [other.language for other in instruction.translations] == ["de"]


@pytest.mark.parametrize(
    ("sentence", "stage", "action"),
    [
        ("The kit is delivered to the washing room within 40 minutes.", Stage.transport, Action.transport),
        ("Next one inspects the jaw under good light.", Stage.inspection, Action.inspect),
        ("Those who have a washer put the small parts into a net box.", Stage.cleaning, Action.load),
        ("The hinge gets a thin film of water-soluble grease.", Stage.maintenance, Action.lubricate),
        (
            "The seal is changed after every 40 operations by our dealer.",
            Stage.maintenance,
            Action.replace_part,
        ),
    ],
)
def test_prose_without_headings_tells_what_somebody_does(sentence: str, stage: Stage, action: Action) -> None:
    """Who does it, what a thing gets and how often it is done say where the work belongs."""
    text = f"The shaft is rinsed with water for 2 minutes.\n\n{sentence}"
    step = drafted(text).steps[-1]
    assert (step.stage, step.action) == (stage, action)


def test_a_table_goes_with_the_sentence_that_opens_it() -> None:
    """Under a heading of two stages every row belongs to the one that leads the table in."""
    rows = (
        "| | usual | other |\n|---|---|---|\n| temperature | 134 °C | 132 °C |\n| holding | 4 min | 4 min |\n"
    )
    text = f"## Pack and sterilise\n\n1. Wrap it in two sheets.\n2. Autoclave, pre-vacuum:\n\n{rows}"
    stages = [step.stage for step in drafted(text).steps]
    assert stages[0] is Stage.packaging
    assert set(stages[1:]) == {Stage.sterilization}


def test_what_was_joined_for_a_test_is_made_ready_again() -> None:
    """Taking off what the same item put on is preparation; taking off alone is what its heading says."""
    joined = "Screw the head on, let it run for 10 seconds. Remove the head."
    alone = "Remove the head if it is bent."
    for line, stage in ((joined, Stage.preparation), (alone, Stage.inspection)):
        steps = drafted(f"Inspection\n\n1. {line}").steps
        assert [x.stage for x in steps if x.action is Action.take_apart] == [stage], line


@pytest.mark.parametrize(
    "line", ["Drills: up to 20 uses each.", "Ratchet: 400 autoclave times, then send it to us."]
)
def test_numbers_of_uses_under_restrictions_are_lives(line: str) -> None:
    """Where a text describes, so many uses can only be those of a life, and it is counted."""
    text = f"1 Restrictions\n\n* {line}\n\n2 Cleaning\n\n1. Rinse it for 1 min."
    instruction = drafted(text)
    assert StatementKind.life in {statement.kind for statement in instruction.statements}
    assert instruction.steps[0].stage is Stage.maintenance


def test_drills_laid_into_water_are_put_together_with_nothing() -> None:
    """'Drop … into' a beaker with water soaks; a pin dropped into its hole is put in."""
    text = "Point of use\n\n1. Drop the drills into a beaker with distilled water.\n"
    assert drafted(text).steps[0].action is Action.soak
    other = "Inspection\n\n1. Drop the pin into its hole.\n"
    assert drafted(other).steps[0].action is Action.put_together


def test_a_list_of_phases_is_read_to_its_end() -> None:
    """Nouns between verbs are phases too: the disinfection is no part of the rinse before it."""
    text = (
        "Machine cleaning\n\nThe program has cold rinse for 3 minutes, wash at 60 °C for 6 minutes, "
        "rinse for 2 minutes, disinfection at 90 °C for 5 minutes, and hot wind at 105 °C for 15 minutes."
    )
    steps = drafted(text).steps
    assert [step.stage for step in steps][-2:] == [Stage.disinfection, Stage.drying]
    assert [figure.as_written for figure in steps[-2].figures] == ["90 °C", "5 minutes"]


def test_letters_in_a_part_number_are_no_unit() -> None:
    """'lid XY-P7C' holds no temperature."""
    step = drafted("Preparation\n\n1. Close the compartment with the lid XY-P7C.").steps[0]
    assert not step.figures


def test_a_title_over_prose_heads_no_stage() -> None:
    """'Looking after the sheath' stands over the whole text, and each paragraph says where its work is."""
    text = (
        "Looking after the Larkmoor sheath\n\nThe sheath is rinsed for two minutes under cold water.\n\n"
        "The temperature is 134 °C and is held for three minutes.\n\n"
        "Keep the tray in a clean, dry store between 15 and 25 °C.\n"
    )
    stages = [step.stage for step in draft_text(f"LINNET SURGICAL LTD\n\n{text}").steps]
    assert stages == [Stage.cleaning, Stage.sterilization, Stage.storage]
