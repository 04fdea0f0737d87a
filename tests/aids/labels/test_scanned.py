"""What scanners type is read back as what labels say, against published element strings."""

from __future__ import annotations

import pytest

from sinkside.aids.labels.elements import fnc1_form, read_brackets
from sinkside.aids.labels.scanned import code_of, read_scanned

# From the tests of the GS1 Barcode Syntax Engine (read): as people write it, and as it lies in the symbol.
PUBLISHED = [
    ("(01)12345678901231(10)12345", "^01123456789012311012345"),
    ("(01)07032069804988(10)0329", "^0107032069804988100329"),
    ("(01)12345678901231(10)12345(21)7", "^01123456789012311012345^217"),
]


@pytest.mark.parametrize(("written", "in_symbol"), PUBLISHED)
def test_published_strings_are_read_with_and_without_announcement(written: str, in_symbol: str) -> None:
    """Announced, with a group separator for function 1 or with its sign, all say what people write."""
    said = read_brackets(written)
    typed = in_symbol.replace("^", "\x1d")
    for scanned in (in_symbol, typed, f"]d2{typed.lstrip(chr(29))}", f"]Q3{typed}", written):
        assert read_scanned(scanned) == said


def test_a_label_of_ours_leads_back_to_its_copy() -> None:
    """The code of a set label, with its load beside it, is the set's own number whichever way it is read."""
    label = read_brackets("(8004)9521234SINUS-0002(91)L0711")
    typed = fnc1_form(label).replace("^", "\x1d")
    assert {code_of(typed), code_of(f"]d2{typed}"), code_of("(8004)9521234SINUS-0002")} == {
        "(8004)9521234SINUS-0002"
    }


@pytest.mark.parametrize("plain", ["4711", "SET-1", "01123456789012", "8004", "https://house/papers/p-1", ""])
def test_what_is_no_element_string_stays_as_it_is(plain: str) -> None:
    """Numbers of the house, half a trade item and addresses are nobody else's."""
    assert code_of(f" {plain} ") == plain
