"""A rule is as loud as its evidence: what may be read in another way is no alarm, and only the sure a stop.

Texts are our own, each with the loud reading beside the quiet one; no published corpus was available.
"""

from __future__ import annotations

import dataclasses

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Level, Place
from sinkside.instruction import Device, Instruction
from sinkside.review import Trip, review, rule_of

_SAID = {Level.stop, Level.concern}
_STEAM = "Sterilization\n9. Steam, fractionated vacuum: 134 °C, at least 3 min.\n"
_BATH = "Cleaning\n1. Tip and key: 5 minutes in the ultrasonic bath, 35 kHz.\n"
_APART = (
    "Disassembly\n1. Press the button and pull the handle off the tube.\n\nCleaning\n2. Rinse it for 1 min.\n"
)
_TRIED = "\nInspection\n3. {}\n4. It must lock and must not wobble.\n"
_WET = "Cleaning\n1. Rinse the head for 1 min.\n"
_WEAR = "Cleaning\n1. Brush the O-ring for 1 min.\n\nInspection\n2. {}\n"

#: A rule, a text that must raise it louder than a note, and one like it that must not.
PAIRS = [
    (
        "steam-temperature-not-recognised",
        _STEAM + "10. Or steam at 138 °C for 3 min.\n",
        _STEAM + "10. Highest temperature 138 °C.\n",
    ),
    (
        "steam-temperature-not-recognised",
        "Sterilization\n1. Maximum sterilization temperature 138 °C for 4 min.\n",
        _STEAM + "10. Maximum sterilization temperature 138 °C.\n",
    ),
    (
        "prohibited-then-asked",
        "Never place the grasper in an ultrasonic bath. The motor would suffer.\n\n" + _BATH,
        "Never place the grasper in an ultrasonic bath. Tip and key may go in.\n\n" + _BATH,
    ),
    (
        "prohibited-then-asked",
        "Never place the grasper in an ultrasonic bath. Tip and key may be oiled.\n\n" + _BATH,
        "Never place the grasper in an ultrasonic bath. The key is allowed in.\n\n" + _BATH,
    ),
    (
        "single-use-part-used-again",
        _WEAR.format("The O-ring is for single use."),
        _WEAR.format("O-ring cracked or flat: fit a new O-ring."),
    ),
    (
        "single-use-part-used-again",
        _WEAR.format("Fit a new O-ring: the O-ring is replaced before each use."),
        _WEAR.format("If the O-ring is worn, replace it with a new O-ring."),
    ),
    (
        "steam-tolerance-too-wide",
        "Sterilization\n1. Steam at 134 °C ± 5 K for 3 min.\n",
        "Sterilization\n1. Steam at 134 °C, which may rise by at most 3 K but must not fall, for 3 min.\n",
    ),
    (
        "jaw-closed-in-steam",
        "Packing\n1. Clamp the blades, lay all in a tray and wrap it.\n\n" + _STEAM,
        "Packing\n1. Arm in loops, clamp and blades beside it, in a tray; wrap it.\n\n" + _STEAM,
    ),
    (
        "dose-untold",
        "Cleaning\n1. Soak the grip in neutral detergent for 5 min.\n2. Rinse it for 1 min.\n",
        "Cleaning\n1. Brush it for 1 min, the brush wetted with detergent.\n2. Rinse it for 1 min.\n",
    ),
    (
        "inspected-after-packing",
        _WET + "\nPacking\n2. Wrap the head in a pouch.\n3. Inspect the head.\n",
        _WET + "2. Wrap the head in a wipe and spray twice.\n\nInspection\n3. Inspect the head.\n",
    ),
    (
        "chloride-contact",
        "Cleaning\n1. Soak all parts in bleach for 5 min.\n",
        "Cleaning\n1. Do not soak any of the parts in hydrogen peroxide or bleach.\n",
    ),
    (
        "time-not-stated",
        "Cleaning\n1. Brush it for 1 min.\n2. Place the tip in the ultrasonic bath.\n",
        "Cleaning\n1. Bath, filled parts, 40 kHz, 3 min.\n2. Then place the tip in the ultrasonic bath.\n",
    ),
    (
        "never-put-together",
        _APART + _TRIED.format("Click the ring on."),
        _APART + _TRIED.format("Click the handle on."),
    ),
]


def _levels(text: str, rule: str, language: str = "en") -> set[Level]:
    drafted = draft_text(f"Grasper G1\n\n{text}", language=language)
    return {finding.level for finding in review(drafted) if finding.rule == rule}


@pytest.mark.parametrize(("rule", "loud", "quiet"), PAIRS)
def test_a_rule_is_as_loud_as_its_evidence(rule: str, loud: str, quiet: str) -> None:
    """A rule speaks where a thing is wrong, and is at most a note where like words are right."""
    assert _levels(loud, rule) & _SAID
    assert not _levels(quiet, rule) & _SAID


@pytest.mark.parametrize(
    ("language", "service"),
    [
        ("es", "Revisión por el fabricante cada 150 ciclos; vida máxima de 600 ciclos."),
        ("fr", "Révision par le fabricant tous les 150 cycles; durée de vie 600 cycles."),
        ("de", "Überholung alle 150 Zyklen; Lebensdauer 600 Zyklen."),
        ("en", "Overhaul by the maker every 150 cycles; service life 600 cycles."),
    ],
)
def test_a_service_is_no_life_in_any_language(language: str, service: str) -> None:
    """The interval of a service and the life of a device are two numbers without contradiction."""
    heads = {"es": "Vida útil", "fr": "Durée de vie", "de": "Lebensdauer", "en": "Life"}
    assert not _levels(f"{heads[language]}\n1. {service}\n", "lives-differ", language)


def test_what_may_be_read_in_another_way_is_no_stop() -> None:
    """A rule of stops that is unsure of one place tells a concern there, and a note where it doubts."""
    stop = rule_of("prohibited-then-asked")
    trips = (
        Trip(Place(), {"what": "x"}),
        Trip(Place(), {"what": "y"}, unsure=True),
        Trip(Place(), {"what": "z"}, doubtful=True, unsure=True),
    )
    rule = dataclasses.replace(stop, check=lambda _: trips)
    told = review(Instruction(device=Device(name="Grasper")), rules=[rule])
    assert [finding.level for finding in told] == [Level.stop, Level.concern, Level.note]
