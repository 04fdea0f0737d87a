"""What a document tells about its numbers and parts as a whole, in texts of our own."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import PartUse

TITLE = "LINNET SURGICAL LTD\nLARK grasping forceps\n\n"


@pytest.mark.parametrize(
    "line",
    [
        "Rinse as in [3].",
        "Repeat from <3>.",
        "Draw the shaft tube (2) out of the handle.",
        "Do 4-2 again.",
        "Rinse as in 4-1.",
    ],
)
def test_numbers_that_call_something_out_are_no_figures(line: str) -> None:
    """Numbers in brackets, of parts and of items are neither figures nor left for a human."""
    text = f"""{TITLE}Parts

(1) handle      steel
(2) shaft tube  steel
(3) jaw insert  steel

Cleaning

4-1  Soak all parts.
4-2  Brush all parts.
4-3  {line}
"""
    drafted = draft_text(text)
    assert drafted.not_understood == ()
    assert [step.figures for step in drafted.steps][-1] == ()


def test_a_number_in_parentheses_that_calls_out_nothing_is_kept_for_a_human() -> None:
    """Where no part has the number, it may be a figure without its unit."""
    drafted = draft_text(f"{TITLE}Cleaning\n\n- Rinse it in water (40).\n")
    assert [one.text for one in drafted.not_understood] == ["in water (40)."]


@pytest.mark.parametrize(
    "listed",
    [
        "Parts\n\n A   handle with ratchet\n B   shaft\n C   jaw insert, single-use\n",
        "| Letter | Part |\n|---|---|\n| A | handle with ratchet |\n| B | shaft |\n| C | jaw, single-use |\n",
        "Legend\n\nA handle with ratchet, B shaft, C jaw insert for single use.\n",
    ],
)
def test_lists_give_parts_their_letters(listed: str) -> None:
    """Items, rows and one sentence name the parts; the steps then say by letter what they are done on."""
    drafted = draft_text(f"{TITLE}{listed}\nCleaning\n\n- Soak A and B for 5 min.\n")
    assert [(part.id, part.name.split()[0]) for part in drafted.device.parts] == [
        ("A", "handle"),
        ("B", "shaft"),
        ("C", "jaw"),
    ]
    assert drafted.device.parts[2].use is PartUse.discard_after_use
    assert drafted.steps[-1].on == ("A", "B")


def test_letters_of_steps_are_no_parts() -> None:
    """'A  Release the ratchet.' is an item with a letter, whatever the parts are called."""
    text = "Dismantling\n\nA  Release the ratchet.\nB  Pull the shaft off.\nC  Lift the seal out.\n"
    drafted = draft_text(TITLE + text)
    assert drafted.device.parts == ()
    assert [step.number for step in drafted.steps] == ["A", "B", "C"]


def test_degrees_are_those_of_the_document() -> None:
    """'Sixty degrees' of water are °C where all other temperatures are; a wheel turns through an angle."""
    text = "Cleaning\n\n- Rinse with water of about sixty degrees.\n- Turn the wheel by 90 degrees.\n"
    drafted = draft_text(f"{TITLE}{text}- Soak at 35 °C.\n")
    units = [(figure.quantity.value, figure.unit) for step in drafted.steps for figure in step.figures]
    assert units[:2] == [("temperature", "°C"), ("angle", "deg")]
