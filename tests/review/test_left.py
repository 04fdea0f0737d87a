"""What is left in, left on, left out or left open to two readings is heard, and its right form is let be.

The sentences are invented; that every way inside is open and reached, and that nothing wet or unclean
goes into a pack, is asked by ISO 17664-1 (from memory). What ends packs: CDC 2008 (from memory).
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

TITLE = "LINNET SURGICAL LTD\nLARK aspiration needle with stopcock, cannula and stylet\n\n"
_WASH = "Washer\n2. Wash: 55 °C, 10 minutes, pH 9.\n"
_STEAM = "Sterilization\n1. Steam: 134 °C, 5 minutes.\n"
_PACK = "\nPackaging\n1. Wrap the tray twice.\n"
CASES = [
    (
        "lumen-filled-while-cleaned",
        "Cleaning\n1. The stylet remains in the cannula so that it is not lost. Brush the cannula 5 times.",
        "Cleaning\n1. Pull the stylet out of the cannula. Brush the cannula 5 times.",
    ),
    (
        "lumen-filled-in-pack",
        "Inspection\n1. Leave the stylet in the cannula after the test.\n" + _PACK,
        "Inspection\n1. Push the stylet into the cannula and pull it out again.\n" + _PACK,
    ),
    (
        "flushed-with-way-out-shut",
        "Cleaning\n1. Close the stopcock and flush the cannula with 3 x 20 mL of detergent.",
        "Cleaning\n1. Open the stopcock and flush the cannula with 3 x 20 mL of detergent.",
    ),
    (
        "lubricated-before-cleaning",
        "Cleaning\n1. Oil the stopcock so that it is protected from water during cleaning.\n" + _WASH,
        "Cleaning\n1. Soak in detergent for 10 minutes.\n" + _WASH + "Care\n3. Oil the stopcock.",
    ),
    (
        "wetted-after-drying",
        "Drying\n1. Dry with a cloth.\nInspection\n2. Give it a last rinse with purified water.\n" + _PACK,
        "Drying\n1. Rinse it.\n2. Dry with a cloth.\nInspection\n3. Look at the tip.\n" + _PACK,
    ),
    (
        "shelf-lives-differ",
        "Storage\n1. Store for no longer than 6 months. A whole pouch stays sterile without limit of time.",
        "Storage\n1. Store for no longer than 6 months. A torn pouch is processed again at once.",
    ),
    (
        "renewals-differ",
        "Maintenance\n1. Change the filter after each use.\n2. Renew the filter every Monday.",
        "Maintenance\n1. Change the filter after each use.\n2. Renew the filter holder if it is worn.",
    ),
    (
        "sterile-pack-opened",
        _STEAM + "2. Fold the wraps open, oil the tap, fold them shut again.",
        _STEAM + "2. Leave the wraps closed until use.",
    ),
]


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(f"{TITLE}{text}\n"))}


@pytest.mark.parametrize(("rule", "faulty", "right"), CASES, ids=[case[0] for case in CASES])
def test_what_is_left_wrong_is_heard_and_its_right_form_is_not(rule: str, faulty: str, right: str) -> None:
    """The rule speaks of the words with the fault and is silent on the same work put right."""
    assert rule in _rules(faulty)
    assert rule not in _rules(right)
