"""Charts of random histories count as a plain walk through the record book does; rates as NumPy has them."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from sinkside.desk.deviations import working
from sinkside.desk.deviations.charting import PER, By, Charted, Every, charts
from sinkside.desk.deviations.counting import Sought
from sinkside.desk.deviations.working import Entered
from sinkside.journal import Event
from sinkside.records import Wanted
from support.bench_house import CODES, BenchHouse, bench_house
from support.bench_sequence import Sequence
from support.figures import Figure
from support.load_house import to_the_pack

EVER = datetime(2020, 1, 1, tzinfo=UTC)
LATER = datetime(2040, 1, 1, tzinfo=UTC)
MADE = ("deviation-noticed", "deviation-reported")


def _charts(bench: BenchHouse, by: By, **more: Any) -> Charted:
    asked = {"since": bench.now - timedelta(days=40), "before": bench.now + timedelta(days=1), **more}
    every = asked.pop("every", Every.day)
    return charts(bench.house.archive, bench.house.visitor("lena"), Sought(**asked), by=by, every=every)


def _events(bench: BenchHouse, *kinds: str) -> list[Event]:
    with bench.house.archive.unit(writes=False) as unit:
        found = unit.journal.events("north", Wanted(kinds=kinds, limit=1_000_000))
    return sorted(found, key=lambda one: one.sequence)


def _packed(events: Iterable[Event]) -> list[datetime]:
    """When each run was first packed, by the record book."""
    first: dict[str, datetime] = {}
    for event in events:
        act: Any = event.data["act"]
        if event.data["outcome"] == "done" and act["act"] == "pack":
            at = datetime.fromisoformat(str(event.data["done"]))
            run = str(event.data["run"])
            first[run] = min(at, first.get(run, at))
    return sorted(first.values())


def _noticed_by_hand(events: Iterable[Event]) -> Counter[str]:
    """What the acts of the record book themselves say was wrong, by rules written down here once more."""
    found: Counter[str] = Counter()
    for event in events:
        act: Any = event.data["act"]
        if event.data["outcome"] != "done":
            continue
        if act["act"] == "end-load" and not act["complete"]:
            found["load-stopped"] += 1
        elif act["act"] == "look" and not act["passed"]:
            found["soil-found" if act["then"] == "reprocess-set" else "damaged"] += 1
        elif act["act"] == "deviate":
            found["not-as-written"] += 1
        elif act["act"] == "soil-found":
            found["soil-found"] += 1
        elif act["act"] == "pack-mishap":
            found[{"dropped": "dropped", "torn": "torn-wrap", "wet": "wet-pack"}[act["what"]]] += 1
    return found


def _agree(seed: int, steps: int) -> int:
    """One history, with reports by hand among it, held against the record book; how many there were."""
    sequence = Sequence(seed)
    bench = sequence.bench
    chance = random.Random(seed)  # noqa: S311 # repeatable
    for _ in range(4):
        sequence.go(steps // 4)
        bench.house.now = bench.now
        code = chance.choice((*CODES[:2], ""))
        entered = Entered(chance.choice(("torn-wrap", "label", "wet-pack")), bench.now, code=code)
        working.report(bench.house.archive, bench.house.visitor("nora"), entered, now=bench.now)
    made, taps = _events(bench, *MADE), _events(bench, "tapped")
    told = {
        By.fault: Counter(str(one.data["fault"]) for one in made),
        By.found: Counter(str(one.data["found"]) for one in made),
        By.machine: Counter(str(one.data["machine"]) for one in made),
        By.hour: Counter(_local(one, bench).strftime("%H") for one in made),
    }
    for by, expected in told.items():
        bars = _charts(bench, by).bars
        assert {one.name: one.count for one in bars} == expected, f"seed {seed}, {by}"
    by_acts = _noticed_by_hand(taps)
    noticed = Counter(str(one.data["fault"]) for one in made if one.kind == "deviation-noticed")
    assert {kind: noticed[kind] for kind in by_acts} == by_acts, f"seed {seed}"
    _agree_day_by_day(bench, made, taps)
    return len(made)


def _local(event: Event, bench: BenchHouse) -> datetime:
    at = datetime.fromisoformat(str(event.data["at"]))
    return at.astimezone(ZoneInfo(bench.house.visitor("lena").zone))


def _agree_day_by_day(bench: BenchHouse, made: list[Event], taps: list[Event]) -> None:
    zone = ZoneInfo(bench.house.visitor("lena").zone)
    seen = _charts(bench, By.fault)
    packed = Counter(at.astimezone(zone).date() for at in _packed(taps))
    found = Counter(_local(one, bench).date() for one in made)
    assert {one.begins: (one.count, one.sets) for one in seen.stretches if one.count or one.sets} == {
        day: (found[day], packed[day]) for day in packed.keys() | found.keys()
    }


def test_charts_of_some_random_histories_count_as_the_record_book() -> None:
    """Two histories: by fault, stage, machine, hour and day the same counts; and there are some."""
    assert sum(_agree(seed, 120) for seed in (3, 4)) > 10


@pytest.mark.long
def test_charts_of_many_random_histories_count_as_the_record_book(figure: Figure) -> None:
    """The same of two hundred histories."""
    reports = sum(_agree(seed, 200) for seed in range(200))
    assert reports > 1_000
    figure(f"200 histories, {reports:,} deviations, no count otherwise")


@pytest.fixture(scope="module")
def weeks() -> BenchHouse:
    """Sixteen weeks in which one set was packed each, with two deviations a week, then five."""
    bench = deepcopy(bench_house())
    to_the_pack(bench, CODES[0])
    with bench.house.archive.unit() as unit:
        (tap,) = [one for one in unit.bench.taps.on_copy("north", _copy(bench)) if one.act == "pack"]
        for week in range(16):
            at = tap.at + timedelta(weeks=week)
            unit.bench.taps.keep(_another(tap, f"week-{week}", at))
    for week in range(16):
        bench.now = bench.house.now = tap.at + timedelta(weeks=week)
        for number in range(2 if week < 8 else 5):
            entered = Entered("label" if number else "wet-pack", bench.now, delay_min=10 if number else None)
            working.report(bench.house.archive, bench.house.visitor("nora"), entered, now=bench.now)
    return bench


def _another(tap: Any, key: str, at: datetime) -> Any:
    return type(tap)(**{**vars(tap), "key": key, "run": f"r-{key}", "at": at})


def _copy(bench: BenchHouse) -> str:
    with bench.house.archive.unit(writes=False) as unit:
        found = unit.bench.copies.by_code("north", CODES[0])
        assert found is not None
        return found.id


def test_a_shift_from_week_to_week_is_a_signal(weeks: BenchHouse) -> None:
    """Eight weeks at two and eight at five: the run is long, the crossings few; rates are NumPy's."""
    seen = _charts(weeks, By.fault, since=weeks.now - timedelta(weeks=17), every=Every.week)
    counts = [one.count for one in seen.drawn]
    sets = [one.sets for one in seen.drawn]
    assert seen.run is not None
    assert seen.run.median == float(np.median(PER * np.array(counts) / np.array(sets)))
    assert (seen.run.run_is_long, seen.run.crossings_are_few) == (True, True)
    assert [(one.name, one.count) for one in seen.bars] == [("label", 8 * 1 + 8 * 4), ("wet-pack", 16)]
    assert (seen.delay_min, seen.delays) == (400, 40)


def test_limits_are_of_the_pooled_rate(weeks: BenchHouse) -> None:
    """Centre and limits of each week by NumPy, three Poisson deviations about the pooled rate."""
    seen = _charts(weeks, By.fault, since=weeks.now - timedelta(weeks=17), every=Every.week)
    counts = np.array([one.count for one in seen.drawn])
    sets = np.array([one.sets for one in seen.drawn])
    assert seen.limits is not None
    centre = counts.sum() / sets.sum()
    assert seen.limits.centre == pytest.approx(centre)
    assert list(seen.limits.high) == pytest.approx((centre + 3 * np.sqrt(centre / sets)).tolist())
    assert seen.outside == ()


def test_months_and_weeks_join_without_gap(weeks: BenchHouse) -> None:
    """Stretches follow one another, weeks from Monday, months from the first; nothing is counted twice."""
    for every in (Every.week, Every.month):
        seen = _charts(weeks, By.fault, since=EVER, before=LATER, every=every)
        begins = [one.begins for one in seen.stretches]
        assert {one.day if every is Every.month else one.weekday() + 1 for one in begins} == {1}
        ends = [one.ends for one in seen.stretches]
        assert ends[:-1] == begins[1:]
        assert sum(one.count for one in seen.stretches) == len(seen.rows) == 56
        assert sum(one.sets for one in seen.stretches) == 17


def test_what_is_sought_narrows_the_count(weeks: BenchHouse) -> None:
    """By fault and by hour; of a machine that took nothing there is no rate at all, and no chart."""
    one = _charts(weeks, By.fault, since=EVER, fault="wet-pack", every=Every.month)
    assert [(bar.name, bar.count) for bar in one.bars] == [("wet-pack", 16)]
    hour = one.rows[0].fields["hour"]
    assert len(_charts(weeks, By.hour, since=EVER, hour=str(hour), every=Every.month).rows) > 0
    none = _charts(weeks, By.fault, since=EVER, machine="sterilizer-1", every=Every.month)
    assert (none.bars, none.run, none.limits, none.outside) == ((), None, None, ())
