"""The morning of scene 3: 74 sets in 11 loads since the last negative indicator, 19 used in 13 cases."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.recall import CauseKind
from sinkside.bench.run import Place
from sinkside.desk.bench.runs import keep_run, open_run
from sinkside.desk.indicator_documents import Indicator, Outcome
from sinkside.desk.indicators import kept_indicator
from sinkside.desk.recall.documents import Cause
from sinkside.records import CaseSet, KeptCase, KeptCopy, KeptLoad, LoadedCopy
from support.bench_house import BenchHouse, bench_house

LOADS: Final = 11
SETS: Final = 74
USED: Final = 19
CASES: Final = 13
POSITIVE: Final = Cause(
    kind=CauseKind.indicator, of="sterilizer-1", words="Indicator of load 11 grew.", load="l-11"
)


def a_morning_with_a_positive_indicator(*, sets: int = SETS, used: int = USED) -> tuple[BenchHouse, datetime]:
    """74 sets in 11 loads of both programs since yesterday 06:40, 19 used in 13 cases; one load before.

    Each load has a record of its own, by the same number.
    """
    bench = bench_house()
    bench.house.add("ruth", "infection-prevention")
    negative = bench.now
    with bench.house.archive.unit() as unit:
        for number in range(-1, LOADS):
            started = negative + timedelta(hours=2 * number + 1)
            program = ("134 °C, 3 min", "121 °C, 20 min")[number % 2]
            unit.bench.loads.put(
                KeptLoad(
                    f"l-{number + 1}",
                    "north",
                    "sterilizer",
                    "sterilizer-1",
                    program,
                    "released",
                    started,
                    started=started,
                    cycle=f"y-{number + 1}",
                    fields={"implant": number == 3},
                )
            )
    for number in range(sets + 5):
        _a_set(bench, number, f"l-{number % LOADS + 1}" if number < sets else "l-0", used=used)
    return bench, negative


def indicators_of(bench: BenchHouse, negative: datetime, *, read: Outcome) -> str:
    """The indicator of the load before all, which did not grow, and that of load 11; the id of the latter."""
    lena = bench.house.visitor("lena")
    with bench.house.archive.unit() as unit:
        for load, outcome in ((0, "negative"), (LOADS, read)):
            started = negative + timedelta(hours=2 * load)
            made = Indicator(
                kind="biological",
                cycle=f"y-{load}",
                machine="sterilizer-1",
                machine_name="Sterilizer 1",
                lot="t-1",
                lot_words="Spore test, lot 7",
                started=started,
                read_from=started + timedelta(hours=1),
                outcome=outcome,
                by=lena.person,
                at=started,
            )
            kept_indicator(unit, lena, f"i-{load}", made, event="indicator-placed", now=started)
    return f"i-{LOADS}"


def _a_set(bench: BenchHouse, number: int, load: str, *, used: int) -> None:
    """A set that lay in a load; the first were used since, one is issued, the rest in store."""
    visitor = bench.house.visitor("lena")
    code = f"R-{number}"
    with bench.house.archive.unit() as unit:
        copy = KeptCopy(
            f"c-{number}", "north", code, "set", bench.set, "Suction set", "in-use", "store", bench.now
        )
        unit.bench.copies.put(copy)
        opened = open_run(unit, visitor, copy, at=bench.now, now=bench.now)
        unit.bench.loads.keep_in(LoadedCopy(load, copy.id, opened.run.id, bench.now))
        stored = opened.run.model_copy(update={"place": Place.issued if number == used else Place.in_store})
        opened = keep_run(unit, opened, stored, now=bench.now)
        if number >= used:
            return
        case = f"k-{number % CASES}"
        unit.bench.cases.put(KeptCase(case, "north", f"OP-{number % CASES}", "2", bench.now, "closed"))
        unit.bench.cases.put_set(
            CaseSet(case, bench.set, turn=number + 1, copy=copy.id, state="used", run=opened.run.id)
        )
        open_run(unit, visitor, opened.copy, at=bench.now, now=bench.now)
