"""Lists that are forbidden never become things to do."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Instruction, StatementKind


def _asked(instruction: Instruction) -> list[str]:
    return [step.action.value for step in instruction.steps]


def _forbidden(instruction: Instruction) -> list[str]:
    return [x.origin.text for x in instruction.statements if x.kind is StatementKind.prohibition]


def test_a_lead_in_forbids_every_piece_of_its_list() -> None:
    """'Do not: a; b; c' forbids all three, and the sentence behind it asks again."""
    drafted = draft_text(
        "Cleaning\n\nDo not: soak the motor; boil it; lay it in a steam cabinet. Rinse the tip for 2 min."
    )
    assert _asked(drafted) == ["rinse"]
    assert _forbidden(drafted) == [
        "Do not: soak the motor;",
        "Do not: boil it;",
        "Do not: lay it in a steam cabinet.",
    ]


@pytest.mark.parametrize("lead", ["Do not:", "Never:", "The following is not allowed:", "You must not:"])
def test_bullets_behind_a_forbidding_lead_are_forbidden(lead: str) -> None:
    """The list ends where its bullets end."""
    drafted = draft_text(f"Cleaning\n\n{lead}\n- immerse the plug\n- wash by machine\n\nWipe for 1 min.")
    assert _asked(drafted) == ["wipe"]
    assert [text.rpartition(": ")[2] for text in _forbidden(drafted)][-2:] == [
        "immerse the plug",
        "wash by machine",
    ]


def test_a_heading_forbids_until_the_next() -> None:
    """'DO NOT' over a list, 'DO' over the next."""
    drafted = draft_text("Cleaning\n\nDO NOT\n- soak the cable\n- use bleach\n\nDO\n- wipe the cable dry\n")
    assert [step.origin.text for step in drafted.steps] == ["wipe the cable dry"]
    assert len(_forbidden(drafted)) == len(["soak", "bleach"])


def test_a_column_forbids_its_cells() -> None:
    """Beside 'Do' stands 'Do not'; the bound of a forbidden figure becomes the most that is allowed."""
    drafted = draft_text(
        "Cleaning\n\n| Do | Do not |\n|---|---|\n| Rinse for 1 min | Soak in saline |\n"
        "| Wipe the shaft | Autoclave above 138 °C |\n"
    )
    assert _asked(drafted) == ["rinse", "wipe"]
    assert _forbidden(drafted) == ["Do not: Soak in saline", "Do not: Autoclave above 138 °C"]
    assert [(limit.limits, limit.max) for limit in drafted.device.limits] == [("temperature", 138.0)]


def test_to_forbid_leaving_out_is_to_ask() -> None:
    """'Do not skip these steps' forbids none of them."""
    drafted = draft_text("Cleaning\n\nDo not skip any of these:\n- rinse for 1 min\n- brush for 2 min\n")
    assert _asked(drafted) == ["rinse", "brush"]


def test_the_next_number_ends_a_forbidden_list() -> None:
    """Letters under a numbered prohibition are forbidden; the number that follows is not."""
    drafted = draft_text(
        "Cleaning\n\n1. Never do this:\n a) soak overnight\n b) dry on a heater\n"
        "2. Flush with 20 mL of water."
    )
    assert _asked(drafted) == ["flush"]


def test_under_water_is_a_place() -> None:
    """'Rinse under water for 2 min' sets no upper bound; 'under 2 min' does."""
    placed, bound = (
        draft_text(f"Cleaning\n\n1. {text}").steps[0].figures[0]
        for text in ("Rinse under water for 2 min.", "Rinse for under 2 min.")
    )
    assert (placed.value, placed.max) == (2.0, None)
    assert (bound.value, bound.max) == (None, 2.0)
