"""Lines of the paper pack: read as people copy them, entered in the order in which things happened, once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.bench.sheets import Outage, SheetLine, Written, in_true_order
from sinkside.errors import BadInput

DOWN = datetime(2026, 3, 2, 2, 0, tzinfo=UTC)
UP = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
NIGHT = Outage(DOWN, UP)


@pytest.mark.parametrize(
    ("written", "line"),
    [
        ("A1-3", SheetLine("A", 1, 3)),
        (" ab12 – 10", SheetLine("AB", 12, 10)),
        ("y1-08", SheetLine("Y", 1, 8)),
    ],
)
def test_a_line_is_read_as_people_copy_it(written: str, line: SheetLine) -> None:
    """Small letters, blanks, a long dash and a leading zero are forgiven."""
    assert SheetLine.read(written) == line


@pytest.mark.parametrize(
    "written", ["", "A1", "1-3", "A0-3", "A1-0", "O1-3", "I1-3", "A1-3-4", "A123-4", "Ä1-2"]
)
def test_what_no_sheet_has_is_refused_with_what_was_expected(written: str) -> None:
    """Letters that a hand writes like a digit stand on no sheet (common practice, no source)."""
    with pytest.raises(BadInput, match="expected one such as A1-3"):
        SheetLine.read(written)


lines = st.builds(
    SheetLine, st.sampled_from(["A", "B", "Y", "AA", "AB"]), st.integers(1, 40), st.integers(1, 12)
)
minutes = st.integers(0, 240).map(lambda minute: DOWN + timedelta(minutes=minute))


@given(st.dictionaries(lines, minutes, max_size=40), st.randoms())
def test_whatever_the_order_of_entering_the_true_order_is_kept(
    written: dict[SheetLine, datetime], chance: object
) -> None:
    """Shuffled and entered twice, lines come out by their times, each once."""
    told = [Written(line, at) for line, at in written.items()] * 2
    chance.shuffle(told)  # type: ignore[attr-defined]
    found = in_true_order(told)
    assert {one.line: one.at for one in found} == written
    assert len(found) == len(written)
    assert [one.at for one in found] == sorted(written.values())


def test_a_line_with_two_times_is_refused() -> None:
    """The same line with two times is one slip too many; both times are told."""
    line = SheetLine("A", 1, 3)
    with pytest.raises(BadInput, match=r"A1-3 stands here with 2026-03-02 02:00 and with 2026-03-02 06:00"):
        in_true_order([Written(line, DOWN), Written(line, UP)])


@pytest.mark.parametrize(
    ("minutes_from_start", "fits"), [(-6, False), (-5, True), (0, True), (245, True), (246, False)]
)
def test_only_times_within_the_outage_are_taken(minutes_from_start: int, *, fits: bool) -> None:
    """Scene 11: the network is down from 02:00 to 06:00; clocks may differ by five minutes."""
    at = DOWN + timedelta(minutes=minutes_from_start)
    later = UP + timedelta(hours=1)
    if fits:
        NIGHT.refuse_outside(at, now=later)
        return
    with pytest.raises(BadInput, match=r"expected 2026-03-02 02:00 to 2026-03-02 06:00"):
        NIGHT.refuse_outside(at, now=later)


def test_while_it_lasts_nothing_still_to_come_is_taken() -> None:
    """An outage that has not ended takes times up to now."""
    with pytest.raises(BadInput, match=r"to 2026-03-02 03:00"):
        Outage(DOWN).refuse_outside(DOWN + timedelta(hours=2), now=DOWN + timedelta(hours=1))
