"""Element strings: check digits and associations against published examples of the GS1 system."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.aids.labels.elements import (
    Element,
    assembled,
    check_digit,
    fnc1_form,
    in_brackets,
    read_brackets,
)
from sinkside.errors import BadInput

# Payload and digit as published by national GS1 organisations on their check digit pages (629104150021,
# 730001100001), and in the reference code of the GS1 Barcode Syntax Resource and an open reader's tests (the
# rest). All read.
PUBLISHED_DIGITS = [
    ("629104150021", 3),
    ("730001100001", 7),
    ("703801005447", 1),
    ("978820551237", 5),
    ("0234567", 3),
    ("123456789012", 8),
    ("12345678901234567", 5),
]

# How elements lie in a symbol, from the tests of the GS1 Barcode Syntax Engine (read).
PUBLISHED_FORMS = [
    ("(01)12345678901231(10)12345", "^01123456789012311012345"),
    ("(01)07032069804988(10)0329", "^0107032069804988100329"),
]

# What the same tests refuse, and why (read).
PUBLISHED_REFUSALS = [
    ("(01)123456789012312(10)12345", "14 digits"),
    ("(01)95012345678902", "expected 3"),
    ("(01)95012345678903(11)131313", "no day"),
    ("(01)12345678901231(10)222222222222222222222", "1 to 20"),
    ("(15)210526", "do not carry"),
]


@pytest.mark.parametrize(("payload", "digit"), PUBLISHED_DIGITS)
def test_check_digits_are_the_published_ones(payload: str, digit: int) -> None:
    """Numbers of 8, 12, 13, 14 and 18 digits get the digit that was published with them."""
    assert check_digit(payload) == digit


@pytest.mark.parametrize(("said", "form"), PUBLISHED_FORMS)
def test_elements_lie_in_the_symbol_as_published(said: str, form: str) -> None:
    """What people read in brackets lies in the symbol without them, a separator only where one is needed."""
    assert fnc1_form(read_brackets(said)) == form


@pytest.mark.parametrize(("said", "why"), PUBLISHED_REFUSALS)
def test_what_was_published_as_wrong_is_refused(said: str, why: str) -> None:
    """A wrong length, check digit or date is refused with what was expected."""
    with pytest.raises(BadInput, match=why):
        read_brackets(said)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        # The associations `req=` and the form of a GRAI (8003) of the GS1 Barcode Syntax Dictionary (read).
        ("(8004)9521234SET2(10)7", r"\(10\) lot stands alone; expected \(01\) GTIN"),
        ("(21)77", "serial number stands alone"),
        ("(8003)17071324001022", "no GRAI"),
        ("(8003)09501101530004", "expected 3"),
        ("(8004)9521234A(8003)09501101530003", "same thing twice"),
        ("(91)a(91)b", "stands twice"),
        ("9521234SET2", "no element string"),
        ("(8004)SET2", "GS1 company prefix"),
    ],
)
def test_what_cannot_stand_is_refused(said: str, why: str) -> None:
    """A lot without its item, two names for one thing, a number without prefix is refused."""
    with pytest.raises(BadInput, match=why):
        read_brackets(said)


def test_a_returnable_asset_keeps_its_serial_number() -> None:
    """The number of the GS1 system's own examples (from memory) is taken with a serial number behind it."""
    said = "(8003)09501101530003085952"
    assert in_brackets(read_brackets(said)) == said


def test_elements_that_end_by_themselves_come_first() -> None:
    """A lot in front of a date would need a separator; put last it needs none."""
    elements = assembled([Element("10", "0329"), Element("01", "07032069804988"), Element("17", "210526")])
    assert fnc1_form(elements) == "^010703206980498817210526100329"


@given(st.text("0123456789", min_size=1, max_size=17), st.integers(0, 16), st.integers(1, 9))
def test_one_wrong_digit_is_always_found(payload: str, place: int, by: int) -> None:
    """No single digit can change without the check digit changing, as 3 and 1 share no factor with 10."""
    at = place % len(payload)
    changed = payload[:at] + str((int(payload[at]) + by) % 10) + payload[at + 1 :]
    assert check_digit(changed) != check_digit(payload)
