"""Pieces of a device through the text: told as one, counted, kept together, thrown away, used again.

The sentences are invented; that a text says how a device comes apart, and what serves once, is asked by
ISO 17664-1 (from memory). The rest is common practice, no source.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

TITLE = "TEASEL INSTRUMENTS\nWREN dissector with handle, tube and insert, supplied non-sterile\n\n"
_ONE = "Description\n{told}\n\nPreparation\n1. {work}\n\nCleaning\n1. Soak in detergent for 10 minutes.\n"
_SET = "Description\n{told}\n\nPackaging\n1. {work}\n"
_USE = "After use\n1. {told}\n\nCleaning\n1. Rinse.\n2. {work}\n"
CASES = [
    ("nothing-comes-off-and-does", _ONE, told, work, right)
    for told, work, right in [
        ("The dissector does not come apart.", "Unscrew the handle.", "Open the jaws."),
        ("Nothing is taken apart.", "Take the dissector apart.", "Do not take the dissector apart."),
        ("The dissector is one piece.", "Pull the insert out.", "Pull the stylet out."),
        ("No part comes off.", "Drop the two screws into the small basket.", "Leave the two screws alone."),
        ("It has no removable parts.", "Lay the two halves in the sieve.", "Lay it in the sieve."),
    ]
]
CASES += [
    ("sets-kept-and-mixed", _SET, told, work, right)
    for told, work, right in [
        ("Parts with the same number stay together.", "Sort them by kind.", "Sort them by number."),
        ("Handle and tube are not interchanged.", "Take any handle with any tube.", "Take its own tube."),
        ("Handle and tube belong together.", "Numbers need not agree.", "Check both numbers."),
        ("Never mix the parts of two sets.", "Tubes may come from other sets.", "Count the tubes."),
        ("Keep tube and insert together.", "Pack all tubes together in one tray.", "Pack tube and insert."),
    ]
]
CASES += [
    ("part-thrown-away-and-cleaned", _USE, told, work, right)
    for told, work, right in [
        ("Bin the seal ring.", "Brush the seal ring.", "Brush the seal ring seat."),
        ("Dispose of the seal ring.", "Soak the seal ring.", "Fit a new seal ring."),
        ("Drop the seal ring into the waste.", "Rinse the seal ring.", "Rinse the handle."),
        ("Throw the seal ring away.", "Wash the seal ring.", "Wash the tube."),
        ("The seal ring is discarded.", "Flush the seal ring.", "Never flush the seal ring."),
    ]
]
CASES += [
    ("parts-counted-otherwise", _USE, "Wipe it.", work, right)
    for work, right in [
        ("There are four parts: handle, tube and insert.", "There are three parts: handle, tube and insert."),
        ("Count five pieces: handle, tube, insert.", "Count five pieces: handle, two tubes and two inserts."),
        ("Two components: tube, insert and nut.", "Two components: tube and insert with its nut."),
    ]
]
ONCE = [
    "The seal ring serves a single operation.",
    "The seal ring serves one patient and is then binned.",
    "A fresh seal ring is taken for each patient.",
    "The seal ring is meant for a single treatment.",
    "The seal ring is used on one patient.",
]
MORE_THAN_ONCE = [
    "The seal ring serves for 20 operations.",
    "Renew the seal ring when it is worn.",
    "The seal ring is not used on a second instrument.",
]


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(f"{TITLE}{text}\n"))}


@pytest.mark.parametrize(("rule", "frame", "told", "faulty", "right"), CASES)
def test_pieces_are_followed_through_the_text(
    rule: str, frame: str, told: str, faulty: str, right: str
) -> None:
    """The rule speaks of the words with the fault and is silent on the same work put right."""
    assert rule in _rules(frame.format(told=told, work=faulty))
    assert rule not in _rules(frame.format(told=told, work=right))


@pytest.mark.parametrize("told", ONCE)
def test_a_part_for_one_use_is_not_cleaned(told: str) -> None:
    """However a text says that a part serves once, cleaning it is told."""
    text = _USE.format(told="Wipe it.", work="Brush the seal ring.")
    assert "single-use-part-used-again" in _rules(f"Description\n{told}\n\n{text}")


@pytest.mark.parametrize("told", MORE_THAN_ONCE)
def test_a_part_for_many_uses_is_cleaned(told: str) -> None:
    """Words on many uses, or on wear, make no single use."""
    text = _USE.format(told="Wipe it.", work="Brush the seal ring.")
    assert "single-use-part-used-again" not in _rules(f"Description\n{told}\n\n{text}")


def test_a_used_part_is_clamped_in_again() -> None:
    """A blade that is supplied sterile for one use comes back by words on what is sharp."""
    told = "Description\nThe blade is supplied sterile and is for single use.\n\nInspection\n1. {work}\n"
    assert "single-use-part-used-again" in _rules(
        told.format(work="Clamp the blade in again if it is sharp.")
    )
    assert "single-use-part-used-again" not in _rules(told.format(work="Clamp a new blade in."))
