"""A month of deviations: counted by the department's own calendar, and on paper as it was counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from datetime import datetime, timedelta
from typing import Any

import pypdfium2
import pytest

from sinkside.aids.papers import sheets
from sinkside.bench.faults import policy
from sinkside.desk.deviations import working
from sinkside.desk.deviations.charting import By
from sinkside.desk.deviations.month import MonthOfDeviations, month_of
from sinkside.desk.deviations.month_paper import month_paper
from sinkside.desk.deviations.working import Entered
from sinkside.errors import BadInput, NotAllowed
from sinkside.instruction import Stage
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import to_the_pack
from support.pace import quiet_s

#: Vienna is an hour before UTC in winter: its February ends here.
MIDNIGHT = datetime.fromisoformat("2026-02-28T23:00:00+00:00")
BEFORE_MIDNIGHT = MIDNIGHT - timedelta(seconds=1)
MARCH = "2026-03"


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """Two sets were packed on the second of March; six things were found around the turn of the month."""
    bench = bench_house()
    bench.house.add("ruth", "infection-prevention")
    to_the_pack(bench, CODES[0], CODES[1])
    _found(bench, "wet-pack", MIDNIGHT, code=CODES[0], measure="the load was held")
    _found(bench, "wet-pack", MIDNIGHT + timedelta(hours=9), machine="sterilizer-1", delay_min=25)
    _found(bench, "soil-found", MIDNIGHT + timedelta(hours=9), machine="washer-1", words="soil in the lumen")
    _found(bench, "label", MIDNIGHT + timedelta(hours=12), measure="printed anew")
    _found(bench, "wet-pack", BEFORE_MIDNIGHT)
    _found(bench, "dropped", MIDNIGHT - timedelta(days=40), measure="sent back")
    return bench


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def _found(bench: BenchHouse, fault: str, at: datetime, **more: Any) -> str:
    entered = Entered(fault=fault, at=at, **more)
    return working.report(bench.house.archive, bench.house.visitor("nora"), entered, now=bench.now)


def _month(bench: BenchHouse, month: str = MARCH, name: str = "lena") -> MonthOfDeviations:
    return month_of(bench.house.archive, bench.house.visitor(name), month, now=bench.now)


def _paper(bench: BenchHouse, month: str = MARCH) -> bytes:
    return month_paper(
        bench.house.archive,
        bench.house.visitor("lena"),
        month,
        now=bench.now,
        live_url="https://house.example",
    )


def _text(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_a_month_is_one_of_the_department_s_own_calendar(bench: BenchHouse) -> None:
    """What was found a second before midnight in Vienna belongs to February, at midnight to March."""
    march, february = _month(bench), _month(bench, "2026-02")
    assert (len(march.found.rows), len(march.before.rows)) == (4, 1)
    assert [row.updated for row in february.found.rows] == [BEFORE_MIDNIGHT]
    assert (march.span.is_over, february.span.is_over) == (False, True)
    assert sum(one.sets for one in march.found.stretches) == 2
    assert (march.found.delay_min, march.found.delays) == (25, 1)
    assert sum(one.count for one in march.weeks.stretches) == 6


def test_it_is_counted_by_kind_stage_device_machine_and_hour(bench: BenchHouse) -> None:
    """Each count is that of the rows of the month; the most frequent that has a name goes week by week."""
    seen = _month(bench)
    for one in seen.otherwise:
        plain = Counter(str(row.fields[one.by.value] or "") for row in seen.found.rows)
        assert {bar.name: bar.count for bar in one.bars} == plain
        assert one.first in plain
        assert one.first
        assert one.weeks is not None
        assert len(one.weeks.rows) == sum(
            str(row.fields[one.by.value]) == one.first for row in seen.weeks.rows
        )
    by_hour = next(one for one in seen.otherwise if one.by is By.hour)
    assert (by_hour.first, by_hour.bars[0].count) == ("09", 2)


def test_what_is_open_now_stands_there_whatever_its_age(bench: BenchHouse) -> None:
    """What is due first at the head; what was closed by its measure is not among them."""
    seen = _month(bench)
    assert Counter(row.fields["fault"] for row in seen.open) == {"wet-pack": 3, "soil-found": 1}
    dues = [row.due for row in seen.open if row.due]
    assert dues == sorted(dues)
    assert len(dues) == len(seen.open)


def test_what_corrections_came_to_is_told_in_the_month_of_the_look(bench: BenchHouse) -> None:
    """It waits from the correction on; once somebody looked it is told in that month, with both counts."""
    key = _corrected(bench)
    (waits,) = _month(bench).looked
    assert (waits.report.fault, waits.due) == ("wet-pack", bench.now + timedelta(days=60))
    assert "to be looked at from 2026-05-01" in _text(_paper(bench))
    bench.later(24 * 60 * 61)
    _does(bench, "ruth", working.check_effect, key, held=True, words="no wet pack since")
    (looked,) = _month(bench, "2026-05").looked
    assert looked.correction.effect is not None
    assert _month(bench, MARCH).looked == ()
    told = _text(_paper(bench, "2026-05"))
    assert "It held: no wet pack since" in told
    before = looked.correction.effect.before
    assert f"{before.found} in {before.sets} sets, {before.days} days" in told


def _corrected(bench: BenchHouse) -> str:
    key = _found(bench, "wet-pack", bench.now, measure="the load was held")
    _does(bench, "lena", working.say_cause, key, began=Stage.packaging, words="the trays stood too close")
    tom = bench.house.people["tom"]
    _does(bench, "lena", working.name_corrector, key, words="space the trays", person=tom)
    _does(bench, "tom", working.say_corrected, key, words="a spacer lies on every rack")
    return key


def _does(bench: BenchHouse, name: str, verb: Callable[..., None], key: str, **fields: Any) -> None:
    verb(bench.house.archive, bench.house.visitor(name), key, now=bench.now, **fields)


def test_the_paper_says_what_was_counted_and_nobody_s_name(bench: BenchHouse) -> None:
    """Figures, kinds in their order, what is overdue; within two seconds of processor time, byte for byte."""
    bench.later(60 * 24 * 3)
    _paper(bench)
    assert quiet_s(lambda: _paper(bench), counts=1) <= 2.0
    pdf = _paper(bench)
    assert pdf == _paper(bench)
    text = _text(pdf)
    for said in (
        "Deviations, March 2026",
        "2026-03-01 to 2026-03-05",
        "the month is not over",
        "Found 4 the month before: 1",
        "Per 100 sets packed 200 2 sets",
        "25 min of 1 known, of 3 nobody said so",
        "Open now (4)",
        "soil in the lumen",
        "■\N{NO-BREAK SPACE}2026-03-01".replace("\N{NO-BREAK SPACE}", " "),
        "By hour of the day",
        "qualified persons decide",
    ):
        assert said in text, said
    assert text.index(policy().faults["wet-pack"].words) < text.index(policy().faults["label"].words)
    assert not any(name in text for name in ("Nora", "Lena", "Tom"))
    assert 2 <= sheets(pdf) <= 4


def test_a_month_without_anything_says_so(bench: BenchHouse) -> None:
    """No bars, no rates, and a sentence for each."""
    text = _text(_paper(bench, "2025-11"))
    assert "No deviation was found in this month." in text
    assert "No set was processed in this time" in text


@pytest.mark.parametrize("month", ["2026-13", "soon", "2026-3-1", "2026-04", "9999-12", "0000-01"])
def test_what_is_no_month_is_refused(bench: BenchHouse, month: str) -> None:
    """One that is none, and one that has not begun."""
    with pytest.raises(BadInput) as refused:
        _month(bench, month)
    assert refused.value.resource == "month"


def test_it_takes_the_right_to_read_deviations(bench: BenchHouse) -> None:
    """A maker's representative has no such right."""
    bench.house.add("vera", "external-representative")
    with pytest.raises(NotAllowed):
        _month(bench, name="vera")
