"""Things to do that are worded as rules or descriptions, in texts of our own (common practice, no source)."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Action, Instruction, Stage, StatementKind

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps, 5 mm\n\n"


def under(heading: str, line: str) -> Instruction:
    return draft_text(f"{TITLE}{heading}\n\n- {line}\n\nPackaging\n\n- Wrap it.\n")


@pytest.mark.parametrize(
    ("heading", "line"),
    [
        ("Point of use", "The time from the last use to the beginning of cleaning shall not exceed 3 hours."),
        ("At the table", "The set is to reach the cleaning room within 90 minutes."),
        ("At the table", "At the sink: max. 2 h after use."),
        ("After surgery", "It should be in the washer no longer than one hour after the operation."),
        ("Transport", "It may stay overnight in its box, up to twelve hours."),
        ("Transport", "Washing shall be started within 2 hours after the use."),
        ("Transport", "No more than 4 h may pass between use and reprocessing."),
    ],
)
def test_a_longest_time_until_cleaning_is_the_start_of_cleaning(heading: str, line: str) -> None:
    """However it is worded, it is one step on the way to cleaning, with its longest time."""
    step = under(heading, line).steps[0]
    assert (step.action, step.stage) == (Action.start_cleaning, Stage.transport)
    assert [figure.max for figure in step.figures if figure.max] != []


@pytest.mark.parametrize(
    "line", ["Rinse it for at most 2 min before cleaning.", "Soak it for up to 10 min after use."]
)
def test_the_time_of_something_else_is_none(line: str) -> None:
    """A longest time of what is done at the table says nothing of when cleaning begins."""
    assert Action.start_cleaning not in {step.action for step in under("Point of use", line).steps}


@pytest.mark.parametrize(
    "line",
    [
        "A container must not weigh more than 10 kg.",
        "The mass of a packed tray shall not exceed 10 kg.",
        "The tray weighs at most 10 kg.",
    ],
)
def test_the_heaviest_set_is_to_be_weighed(line: str) -> None:
    """Under packaging a largest mass asks to weigh; under another heading it stays a limit."""
    step = under("Packing", line).steps[0]
    assert (step.action, step.figures[0].max, step.figures[0].unit) == (Action.weigh, 10, "kg")
    assert Action.weigh not in {one.action for one in under("Technical data", line).steps}


@pytest.mark.parametrize(
    "line",
    [
        "The liner comes sterile; throw it away at the end of the case.",
        "Blades are single-use and are removed and discarded before cleaning.",
        "Drills: for one patient, then into the sharps container.",
    ],
)
def test_what_is_thrown_away_is_asked_for_even_where_the_device_is_described(line: str) -> None:
    """A part that is discarded after use is a step wherever the maker tells it."""
    assert Action.discard_part in {step.action for step in under("The device", line).steps}


def test_a_warning_stays_a_warning() -> None:
    """A sentence that a warning word opens makes no step of its own."""
    assert under("The device", "CAUTION: Used blades go into the sharps container.").steps[0].origin.text == (
        "Wrap it."
    )


def test_what_harms_the_device_is_no_thing_to_do() -> None:
    """'Ultrasound harms the contacts' asks for no ultrasound."""
    drafted = under("Cleaning", "Ultrasound harms the contacts.")
    assert [step.origin.text for step in drafted.steps] == ["Wrap it."]
    assert drafted.statements[-1].kind is StatementKind.warning


def test_who_must_be_somewhere_in_time_has_that_time_to_get_there() -> None:
    """'The awl must be in cleaning within 2 hours' needs no word on since when."""
    step = under("Use", "The awl must be in cleaning within 2 hours.").steps[0]
    assert (step.action, step.figures[0].max) == (Action.start_cleaning, 2)


@pytest.mark.parametrize(
    "line",
    [
        "The set contains a flush adapter and a rinse cap.",
        "Materials: flush adapter, soft brush of 5 mm, syringe.",
        "Who: sterile processing technician",
        "1 drying rack",
    ],
)
def test_what_lies_ready_and_who_does_it_are_no_steps(line: str) -> None:
    """Inventories and labels of people name things that sound like actions."""
    asked = {step.action for step in under("Cleaning", line).steps}
    assert asked.isdisjoint({Action.flush, Action.rinse, Action.brush, Action.dry})


def test_a_part_called_as_its_movement_is_a_part() -> None:
    """'Slide and shaft are put …' slides nothing."""
    steps = under("Cleaning", "Slide and shaft are washed in the bath.").steps
    assert [step.action for step in steps][:1] == [Action.wash]
