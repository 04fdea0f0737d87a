"""A rule speaks only where both sides are about one thing: the same part, channel, chemical, stage.

Texts are our own; each pair differs only in the subject.
"""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Level
from sinkside.instruction import Action, Device, Instruction, Origin, Stage, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review import review

_HEAD = "Grasper G1\n\n"
_STEAM = "\nSterilization\n1. Sterilize with steam, fractionated vacuum, 134 °C, 5 min, drying 20 min.\n"
_CAP = "The seal cap is for one patient only.\n\n"


def levels(text: str, rule: str) -> set[Level]:
    return {finding.level for finding in review(draft_text(_HEAD + text)) if finding.rule == rule}


#: A rule, a text that must raise it louder than a note, and the same words about something else.
PAIRS = [
    (
        "prohibited-then-asked",
        "The jet channel (JC) cannot be brushed.\n\nCleaning\n1. Brush the JC with a soft brush for 1 min.\n",
        "The jet channel (JC) cannot be brushed.\n\nCleaning\n1. Brush the WC with a soft brush for 1 min.\n",
    ),
    (
        "prohibited-then-asked",
        "HP and MC must never be immersed.\n\nCleaning\n1. Immerse HP in the detergent for 5 min.\n",
        "HP and MC must never be immersed.\n\nCleaning\n1. Immerse CP in the detergent for 5 min.\n",
    ),
    (
        "chloride-contact",
        "Point of use\n1. Place the grasper in saline.\n",
        "Point of use\n1. Wipe the grasper. Saline is a no-no: it pits stainless steel.\n",
    ),
    (
        "sterile-and-not-sterile",
        "The handpiece is supplied sterile.\nThe handpiece is supplied non-sterile.\n",
        "Blades are supplied sterile and leave with the handpiece.\nThe handpiece is supplied non-sterile.\n",
    ),
    (
        "sterile-and-not-sterile",
        "Parts: G = grip;  P = probe.\n\nP is supplied non-sterile. P is supplied sterile.\n",
        "Parts: G = grip;  P = probe.\n\nAll are supplied non-sterile (P is supplied sterile in a tube).\n",
    ),
    (
        "chloride-contact",
        "Point of use\n1. Keep the grasper moist with saline.\n",
        "Point of use\n1. Keep physiological saline and any bleach well away from the grasper.\n",
    ),
    (
        "time-not-stated",
        "Cleaning\n1. Place the sheath in an ultrasonic bath.\n2. Rinse the sheath for 1 min.\n",
        "Cleaning\n1. Ultrasonic baths are not suitable for the sheath.\n2. Rinse the sheath for 1 min.\n",
    ),
    (
        "pressure-above-own-limit",
        "The pressure of water must not exceed 1 bar.\n\nCleaning\n1. Flush the port with water of 2 bar.\n",
        "The reading must not drop by more than 1 kPa.\n\nCleaning\n1. Flush the port with water of 2 bar.\n",
    ),
    (
        "port-capped-in-steam",
        "Packing\n1. Put the cap on the port.\n2. Pack the grasper in a pouch.\n" + _STEAM,
        "Packing\n1. Put the cap of the port in the basket.\n2. Pack the grasper in a pouch.\n" + _STEAM,
    ),
    (
        "a0-disagrees",
        "Disinfection\n1. Disinfect with water at 93 °C for 150 s (A0 3000).\n",
        "Disinfection\n1. Disinfect with water at 93 °C for 150 s (A0 2993).\n",
    ),
    (
        "taken-apart-after-cleaning",
        "Cleaning\n1. Soak the sheath for 5 min.\n2. Take the valve apart.\n",
        "Cleaning\n1. Ultrasound is not suitable for the sheath.\n2. Take the valve apart.\n",
    ),
    (
        "taken-apart-after-cleaning",
        "Cleaning\n1. Unscrew the valve.\n2. Brush through the channel.\n3. Pull the stylet out.\n",
        "Cleaning\n1. Unscrew the valve.\n2. Pull the stylet out.\n3. Brush through the channel.\n",
    ),
    (
        "single-use-part-used-again",
        _CAP + "Cleaning\n1. Wipe the seal cap and press it back on the port.\n",
        _CAP + "Cleaning\n1. Wipe the lens cap and press it back on the port.\n",
    ),
    (
        "life-unlimited-and-limited",
        "The grasper was tested for 200 cycles.\nIts life is without any limit on the number of cycles.\n",
        "The grasper was tested for 200 cycles.\nIts life ends after that number of cycles.\n",
    ),
]


@pytest.mark.parametrize(("rule", "same", "other"), PAIRS, ids=[pair[0] for pair in PAIRS])
def test_a_rule_speaks_of_one_subject_only(rule: str, same: str, other: str) -> None:
    """What is said of one thing is held against it, and against nothing else."""
    assert levels(same, rule) & {Level.stop, Level.concern}
    assert not levels(other, rule) & {Level.stop, Level.concern}


@pytest.mark.parametrize(
    "words",
    ["without unnecessary delay", "under suitable magnification", "until it looks right"],
)
def test_words_that_measure_nothing_are_told(words: str) -> None:
    """Delay, magnification and rinsing in words that two people judge differently are noted."""
    assert levels(f"Cleaning\n1. Rinse the grasper {words}.\n", "wording-cannot-be-checked") == {Level.note}


@pytest.mark.parametrize(
    ("words", "months", "is_told"), [("Put it into a pouch.", (), True), ("Pouch: 6 months.", (6,), False)]
)
def test_how_long_a_pack_keeps_is_no_late_packing(
    words: str, months: tuple[int, ...], *, is_told: bool
) -> None:
    """A pack behind the sterilizer is too late; words on how long a pack keeps are not."""
    figures = tuple(Figure(quantity=FigureQuantity.time, value=n, unit="month") for n in months)
    cycle = Step(id="s1", stage=Stage.sterilization, action=Action.sterilize, origin=Origin(text="134 °C"))
    pack = Step(
        id="s2", stage=Stage.packaging, action=Action.pack, figures=figures, origin=Origin(text=words)
    )
    findings = review(Instruction(device=Device(name="Grasper"), steps=(cycle, pack)))
    assert ("packed-after-sterilization" in {finding.rule for finding in findings}) is is_told
