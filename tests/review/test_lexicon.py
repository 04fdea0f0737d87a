"""What words say: prohibitions that hold, and those that only set a bound."""

from __future__ import annotations

import pytest

from sinkside.review.lexicon import bans, negated, references, says


@pytest.mark.parametrize(
    ("text", "sense"),
    [
        ("Do not immerse the instrument in liquids.", "immersion"),
        ("The motor must never be submerged.", "immersion"),
        ("Ultrasonic treatment of H is prohibited because the seal is damaged.", "ultrasonic"),
        ("Gravity sterilization is not allowed.", "gravity"),
        ("Do not use ultrasound.", "ultrasonic"),
        ("Not suitable for immersion.", "immersion"),
    ],
)
def test_a_prohibition_is_heard(text: str, sense: str) -> None:
    """Plain prohibitions forbid the whole thing, in whatever order their words stand."""
    assert bans(text, sense) is not None


@pytest.mark.parametrize(
    ("text", "sense"),
    [
        ("Do not soak in saline.", "immersion"),
        ("Do not soak for more than 10 minutes.", "immersion"),
        ("Do not immerse until the cap is closed.", "immersion"),
        ("If the cap is missing, do not immerse the handle.", "immersion"),
        ("H may be immersed.", "immersion"),
        ("The device need not be immersed.", "immersion"),
        ("Ultrasonic cleaning is not required.", "ultrasonic"),
        ("Sonicate for 10 minutes; do not overload the bath.", "ultrasonic"),
    ],
)
def test_a_bound_is_no_prohibition(text: str, sense: str) -> None:
    """A medium, a time, a condition or a mere freedom does not forbid the whole thing."""
    assert bans(text, sense) is None


def test_a_denied_word_is_no_request() -> None:
    """Saline that is forbidden, or that something is free of, is not asked for."""
    assert negated("wipe off visible soil; do not use saline", "saline")
    assert not negated("put the instrument into a dish with saline solution", "saline")


def test_a_word_inside_another_is_not_heard() -> None:
    """`soil` does not say `oil`, and `eto` is not in `veto`."""
    assert not says("remove visible soil", "lubrication")
    assert not says("a veto", "ethylene-oxide")


def test_references_are_found_with_their_kind() -> None:
    """Chapters, sections and rows with their numbers; a range names both ends."""
    found = list(references("See chapter 12, section 4.3 and rows 12-17."))
    assert found == [("chapter", "12"), ("section", "4.3"), ("row", "12"), ("row", "17")]
