"""Case numbers and rooms: what people write passes, a name never does."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.bench.case_number import case_number, room_name
from sinkside.errors import BadInput

# Invented, in scripts and orders that lists of people come in.
NAMES = (
    "Anna Kowalska", "KOWALSKA", "Kowalska, Anna", "Mr Smith", "Nguyễn Thị Mai", "Müller", "Müller 1957",
    "SMITH-1", "Smith 3", "A. Berg", "Li", "LI-1957", "Lee 12", "O'Hara", "Jean-Luc 001", "김민준", "J.Doe.1",
    "LI1957",
)  # fmt: skip


@pytest.mark.parametrize("written", ["2026-04711", "C-1183", "or3-2026-0117", "7001", "AB123.4", "12/20934"])
def test_numbers_as_hospitals_write_them_pass(written: str) -> None:
    """Groups of digits with a letter or two before them are a case number, in capitals."""
    assert case_number(f" {written} ") == written.upper()


@pytest.mark.parametrize(
    "written", [*NAMES, "", "12", "03.04.1957", "1957-04-03", "4/3/57", "19570403", "1957", "9" * 25]
)
def test_a_name_or_a_birthday_is_no_case_number(written: str) -> None:
    """Names, days, and what is too short or too long are refused, and the refusal repeats nothing of them."""
    with pytest.raises(BadInput, match="expected a case number") as refused:
        case_number(written)
    assert not written or written not in str(refused.value)


@given(st.text(st.characters(categories=["L", "Zs", "P"]), max_size=30))
def test_nothing_without_digits_is_a_case_number(written: str) -> None:
    """Letters, spaces and points in any script never make a number."""
    with pytest.raises(BadInput):
        case_number(written)


@pytest.mark.parametrize("written", ["OR 3", "Theatre 12", "Saal 4", "Quirófano 2", "R2", "7", "OP-Saal 3b"])
def test_rooms_pass(written: str) -> None:
    """A word for an operating room with a number behind, or the number alone."""
    assert room_name(written) == written


@pytest.mark.parametrize("written", [*NAMES, "3 Anna", "bed of Mr Berg"])
def test_a_name_is_no_room(written: str) -> None:
    """Only known words for rooms stand before the number, so that no name passes as one."""
    with pytest.raises(BadInput, match="expected a room"):
        room_name(written)
