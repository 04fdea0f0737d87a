"""Faults in words that no text before had: taps shut on nozzles, baths that nothing rinses off, odd stores.

The sentences are invented; that the way through a device must be open while it is flushed, and that no
agent may stay on it, is asked by ISO 17664-1 (from memory). Where packs are kept: CDC 2008 (from memory).
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

TITLE = "LINNET SURGICAL LTD\nLARK suction forceps with lumen and side port\n\n"
_OPA = "Disinfection\n1. Lay it in 0.55 % ortho-phthalaldehyde for 12 min.\n"
_PACK = "\nPackaging\n1. Pack it in a pouch."
_CLICK = "\n\nInspection\n1. The handle must click when it is turned."
CASES = [
    (
        "flushed-with-way-out-shut",
        "Cleaning\n1. Connect the shaft to an injector nozzle, its tap in the position SHUT.",
        "Cleaning\n1. Connect the shaft to an injector nozzle, its tap in the position OPEN.",
    ),
    (
        "flushed-with-way-out-shut",
        "Cleaning\n1. Put the shaft on an injector nozzle and screw the cap C down on the side port.",
        "Cleaning\n1. Put the shaft on an injector nozzle and take the cap C off the side port.",
    ),
    (
        "disinfectant-left-on",
        f"{_OPA}{_PACK}",
        f"{_OPA}2. Rinse it three times with sterile water.\n{_PACK}",
    ),
    (
        "cleaner-left-on",
        "Cleaning\n1. Move the parts straight from the cleaning solution into the rack of the bath.",
        "Cleaning\n1. Move the parts from the cleaning solution to the sink and rinse them.",
    ),
    (
        "harmful-store",
        "Storage\n1. Store the packs beneath the sink for up to 6 months.",
        "Storage\n1. Store the packs in a closed cupboard for up to 6 months.",
    ),
    (
        "never-put-together",
        f"Preparation\n1. Unscrew the handle of the shaft.{_CLICK}",
        f"Preparation\n1. Unscrew the plug of the stopcock.{_CLICK}",
    ),
]


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(f"{TITLE}{text}\n"))}


@pytest.mark.parametrize(("rule", "faulty", "right"), CASES)
def test_a_fault_is_heard_and_its_right_form_is_not(rule: str, faulty: str, right: str) -> None:
    """The rule speaks of the words with the fault and is silent on the same words put right."""
    assert rule in _rules(faulty)
    assert rule not in _rules(right)
