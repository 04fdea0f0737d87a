"""What people type as a label's number becomes one checked GS1 key, or an own number."""

from __future__ import annotations

from datetime import date

import pytest

from sinkside.aids.labels.elements import in_brackets
from sinkside.desk.paper_numbers import SaidNumber, numbered
from sinkside.errors import BadInput


@pytest.mark.parametrize(
    ("said", "read"),
    [
        (
            SaidNumber(gtin="9501101530003", serial="7", lot="A1", use_by=date(2027, 5, 30), load="12"),
            "(01)09501101530003(17)270530(21)7(10)A1(91)12",
        ),
        (SaidNumber(grai="9501101530003", serial="SET7"), "(8003)09501101530003SET7"),
        (SaidNumber(giai="9521234SET7", load="12"), "(8004)9521234SET7(91)12"),
    ],
)
def test_each_key_is_laid_out_with_what_belongs_to_it(said: SaidNumber, read: str) -> None:
    """GTIN, GRAI and GIAI stand as the GS1 Barcode Syntax Dictionary has them (read)."""
    assert in_brackets(numbered(said).elements) == read


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (SaidNumber(), "no number is said"),
        (SaidNumber(gtin="9501101530003", own="7"), "said at once"),
        (SaidNumber(gtin="9501101530004"), "expected 3"),
        (SaidNumber(gtin="123"), r"3 digits are no GTIN \('123'\); expected 8, 12, 13 or 14"),
        (SaidNumber(gtin="95011015300O3"), "is no GTIN; expected 8, 12, 13 or 14 digits"),
        (SaidNumber(giai="9521234SET7", serial="7"), "no serial number beside it"),
        (SaidNumber(giai="9521234SET7", lot="A1"), "lot stands alone"),
        (SaidNumber(own="7", lot="A1"), "carries no lot"),
    ],
)
def test_what_does_not_belong_together_is_refused(said: SaidNumber, why: str) -> None:
    """None, two at once, a wrong check digit, or something that the key cannot carry is refused."""
    with pytest.raises(BadInput, match=why):
        numbered(said)
