"""Programmes of cleaning tests: what is due, what follows a failure, what so many tests show."""

from __future__ import annotations

import itertools
import math
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from sinkside.bench.programmes.due import Piece, due_days, first_days, interval_days, next_pieces
from sinkside.bench.programmes.programme import (
    Lift,
    Programme,
    TestedDevice,
    read_seen,
    read_value,
    refuse_old_kit,
)
from sinkside.bench.programmes.proof import chart_of, how_many_show, shown
from sinkside.bench.programmes.reaction import Outcome, asked_next, standing_of
from sinkside.bench.programmes.words import plain
from sinkside.desk.programmes.policy import policy
from sinkside.errors import BadInput

BEGIN = date(2026, 3, 2)


def _device(key: str, *, times: int = 1, difficult: bool = False, family: str = "") -> TestedDevice:
    return TestedDevice(
        id=key,
        name=key,
        times=times,
        difficult=difficult,
        family=(family,) if family else (),
        places=("lumen",),
        since=BEGIN,
    )


def _programme(*devices: TestedDevice, period_days: int = 91, lifts: tuple[Lift, ...] = ()) -> Programme:
    return Programme(name="P", method="atp", period_days=period_days, devices=devices, lifts=lifts)


def _outcome(device: str, day: int, *, passed: bool) -> Outcome:
    at = datetime(2026, 3, 2, 8, tzinfo=UTC) + timedelta(days=day)
    return Outcome(device, at, at.date(), passed)


@given(
    period_days=st.integers(1, 60),
    times=st.lists(st.tuples(st.integers(1, 60), st.booleans()), min_size=1, max_size=8),
    early=st.lists(st.tuples(st.integers(0, 7), st.integers(0, 200)), max_size=30),
    length=st.integers(1, 200),
    start=st.integers(0, 140),
)
def test_any_period_holds_as_many_tests_of_each_device_as_asked(
    period_days: int,
    times: list[tuple[int, bool]],
    early: list[tuple[int, int]],
    length: int,
    start: int,
) -> None:
    """Day by day, by brute force: whoever does what is due has enough tests in every stretch of one period.

    Tests that somebody does before they are due move the next one and still leave no stretch short.
    """
    devices = [
        _device(f"d{at}", times=min(asked, period_days), difficult=hard)
        for at, (asked, hard) in enumerate(times)
    ]
    programme = _programme(*devices, period_days=period_days)
    last: dict[str, date] = {}
    done: dict[str, list[int]] = {one.id: [] for one in devices}
    for day in range(start + length + period_days):
        today = BEGIN + timedelta(days=day)
        due = {one.device.id for one in due_days(programme, last) if one.day <= today}
        extra = {f"d{device}" for device, at in early if at == day and device < len(devices)}
        for key in due | extra:
            last[key] = today
            done[key].append(day)
    for one in devices:
        inside = [day for day in done[one.id] if start <= day < start + period_days]
        assert len(inside) >= one.times, (one.id, period_days)


def test_first_tests_are_spread_and_the_hard_devices_come_first() -> None:
    """Four devices once in 28 days are not all due on the first day; a difficult one is."""
    devices = [_device("a", times=1), _device("b"), _device("c"), _device("hard", difficult=True)]
    days = first_days(devices, 28)
    assert days["hard"] == BEGIN
    assert [(days[key] - BEGIN).days for key in ("a", "b", "c")] == [7, 14, 21]


def test_difficult_devices_come_more_often_by_policy() -> None:
    """The policy asks more of the difficult ones; more tests make shorter intervals."""
    assert policy().times_difficult > policy().times
    assert interval_days(policy().times_difficult, 91) == 30


def test_a_programme_with_two_tests_a_day_is_refused() -> None:
    """More tests than days of the period cannot be planned."""
    with pytest.raises(ValueError, match="at most one a day"):
        _programme(_device("a", times=8), period_days=7)


def test_the_longest_untested_piece_comes_next() -> None:
    """One that was never tested stands before one tested long ago, and that before a recent one."""
    old, new = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 2, 1, tzinfo=UTC)
    pieces = [Piece("A", "store", new), Piece("B", "store", old), Piece("C", "sink", None)]
    assert [one.code for one in next_pieces(pieces)] == ["C", "B", "A"]


def test_one_failure_asks_for_a_repeat_and_a_pass_ends_it() -> None:
    """After a failure the device is due at once; after the repeat passed it is due in its turn."""
    programme = _programme(_device("a"))
    failed = [_outcome("a", 3, passed=False)]
    standings, dues = asked_next(programme, failed, policy().steps)
    assert standings["a"].step == policy().steps[0]
    assert dues[0].day == BEGIN + timedelta(days=3)
    standings, dues = asked_next(programme, [*failed, _outcome("a", 4, passed=True)], policy().steps)
    assert standings["a"].step is None
    assert dues[0].day == BEGIN + timedelta(days=4 + 91)


def test_two_failures_in_a_row_ask_for_the_family_and_for_nothing_else() -> None:
    """Another device of the family is due at once until it is tested; one of no family stays in its turn."""
    programme = _programme(_device("a", family="t"), _device("b", family="t"), _device("c", family="x"))
    tested = [_outcome(key, 1, passed=True) for key in "abc"]
    failed = [*tested, _outcome("a", 5, passed=False), _outcome("a", 6, passed=False)]
    _, dues = asked_next(programme, failed, policy().steps)
    days = {one.device.id: (one.day - BEGIN).days for one in dues}
    assert days == {"a": 6, "b": 6, "c": 92}
    _, dues = asked_next(programme, [*failed, _outcome("b", 7, passed=True)], policy().steps)
    assert {one.device.id: (one.day - BEGIN).days for one in dues}["b"] == 98


def test_three_failures_within_a_period_ask_for_the_family_although_repeats_passed() -> None:
    """Failures that pass when repeated add up within one period, and are forgotten after it."""
    steps = policy().steps
    near = [
        _outcome("a", day, passed=passed) for day, passed in ((1, False), (2, True), (9, False), (10, True))
    ]
    third = _outcome("a", 20, passed=False)
    assert standing_of([*near, third], (), steps, period_days=91).step == steps[1]
    late = _outcome("a", 120, passed=False)
    assert standing_of([*near, late], (), steps, period_days=91).step == steps[0]


def test_three_failures_in_a_row_stop_work_until_somebody_lifts_it() -> None:
    """A passed test does not lift a stop; a decision does, and counting begins anew."""
    failed = [_outcome("a", day, passed=False) for day in (1, 2, 3)]
    steps = policy().steps
    assert standing_of(failed, (), steps, period_days=91).is_stopped
    passed = [*failed, _outcome("a", 4, passed=True)]
    assert standing_of(passed, (), steps, period_days=91).is_stopped
    lift = Lift(device="a", reason="jet was blocked", by="p", at=datetime(2026, 3, 7, tzinfo=UTC))
    assert not standing_of(passed, [lift], steps, period_days=91).is_stopped
    again = standing_of([*passed, _outcome("a", 9, passed=False)], [lift], steps, period_days=91)
    assert again.step == steps[0]


def test_readings_pass_on_the_mark_and_not_above_it() -> None:
    """A pass mark is what may be reached; what is no number, or below zero, is refused."""
    assert read_value("lumen", "10", "RLU", at_most=10).met
    assert not read_value("lumen", "10.1", "RLU", at_most=10).met
    assert read_seen("joint", "nothing").met
    for said in ("", "-1", "many", "nan"):
        with pytest.raises(BadInput):
            read_value("lumen", said, "RLU", at_most=10)
    with pytest.raises(BadInput):
        read_seen("joint", "")


def test_an_expired_kit_gives_no_result() -> None:
    """The last day itself is still good; the day after is not; a lot is always asked for."""
    refuse_old_kit("L7", BEGIN, day=BEGIN)
    with pytest.raises(BadInput, match="expired on 2026-03-02"):
        refuse_old_kit("L7", BEGIN, day=BEGIN + timedelta(days=1))
    with pytest.raises(BadInput, match="lot"):
        refuse_old_kit(" ", BEGIN, day=BEGIN)


def test_words_with_a_name_are_refused() -> None:
    """A note about the work is kept; one that names a patient is not."""
    assert plain(" soil  at the tip ", "note") == "soil at the tip"
    with pytest.raises(BadInput, match="name"):
        plain("tested after Frau Berg", "note")


@pytest.mark.parametrize("tested", [1, 2, 5, 10, 20, 59, 100, 500])
def test_without_failures_the_bound_is_the_closed_form_and_near_three_over_n(tested: int) -> None:
    """1 - 0.05^(1/n); 3/n is above it, from 30 on by less than 5 % (Hanley, Lippman-Hand 1983; memory)."""
    bound = shown(tested, 0).at_most
    assert bound == pytest.approx(1 - 0.05 ** (1 / tested), rel=1e-9)
    assert bound <= 3 / tested
    assert tested < 30 or 3 / tested / bound - 1 < 0.05


@pytest.mark.parametrize(("tested", "failed"), [(10, 1), (59, 1), (100, 7), (20, 20), (3, 0), (250, 12)])
def test_bounds_are_clopper_and_pearsons(tested: int, failed: int) -> None:
    """SciPy's exact interval of a binomial share, and its one-sided upper bound, say the same."""
    found = shown(tested, failed)
    exact = stats.binomtest(failed, tested).proportion_ci(0.95, method="exact")
    assert found.between == pytest.approx((exact.low, exact.high), abs=1e-9)
    one_sided = stats.binomtest(failed, tested, alternative="less").proportion_ci(0.95, method="exact")
    assert found.at_most == pytest.approx(one_sided.high, abs=1e-9)


def test_how_many_tests_are_needed_is_what_the_logarithm_says() -> None:
    """The least n with 0.95^n at most 0.05 is 59, with 0.9^n 29 (tables of attribute sampling; computed)."""
    for share in (0.05, 0.1, 0.2):
        assert how_many_show(share) == math.ceil(math.log(0.05) / math.log(1 - share))


def test_few_readings_make_no_chart_and_ten_do() -> None:
    """The chart of single readings is the e-Handbook's: centre and three times mean range / 1.128."""
    values = [12.0, 15.0, 11.0, 14.0, 13.0, 16.0, 12.0, 13.0, 15.0, 14.0]
    assert chart_of(values[:9]) is None
    chart = chart_of(values)
    assert chart is not None
    mean_range = sum(abs(a - b) for a, b in itertools.pairwise(values)) / 9
    assert chart.high == pytest.approx(sum(values) / 10 + 3 * mean_range / 1.128, rel=1e-9)
