"""A house in which two sets went all the way from theatre into the store, with what belongs beside that."""

from __future__ import annotations

import functools
from copy import deepcopy
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from sinkside.aids.papers import Kind
from sinkside.desk import indicators, paper_printing, paper_register, solution_log
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.paper_making import PaperChoice
from sinkside.desk.paper_printing import Wanted
from sinkside.desk.ports import Archive
from sinkside.desk.solution_log import MadeUp
from sinkside.desk.solution_making import Said
from sinkside.route import Station
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import decided, packed, recorded, sterilized, washed

CASE: Final = "2026-0815"
LOT: Final = "NF-1177"
INDICATOR_LOT: Final = "A17"
TWO: Final = CODES[:2]
AT_THE_SINK: Final = "Sink 1"
DEVIATION: Final = "one flush fewer than written"


@dataclass
class EvidenceHouse:
    """The house of the bench, the poster that hangs, both loads and the record of the second."""

    bench: BenchHouse
    poster: str
    washer_load: str
    steam_load: str
    cycle: str

    def run(self, code: str = CODES[0]) -> str:
        """The run of a set."""
        with self.bench.house.archive.unit(writes=False) as unit:
            return copy_of_code(unit, "north", code).run


def evidence_house() -> EvidenceHouse:
    """A house of one's own, as it stands when both sets are in the store."""
    return deepcopy(_made())


@functools.cache
def _made() -> EvidenceHouse:
    return evidence_house_in(None)


def evidence_house_in(archive: Archive | None) -> EvidenceHouse:
    """The same, made anew in an empty archive; in memory where none is given."""
    bench = bench_house(archive=archive)
    bench.house.add("olga", "auditor")
    bench.house.add("ruth", "infection-prevention")
    poster = _poster(bench)
    _solution(bench)
    _used(bench)
    _at_the_sink(bench)
    washer_load = washed(bench, *TWO)
    packed(bench, *TWO)
    steam_load = sterilized(bench, *TWO)
    cycle = recorded(bench, steam_load)
    _chemical_indicator(bench, cycle)
    bench.later(5)
    decided(bench, cycle)
    bench.later(45)
    for code in TWO:
        bench.done("lena", "put-in-store", code=code, place="rack 3, shelf B")
    return EvidenceHouse(bench, poster, washer_load, steam_load, cycle)


def _poster(bench: BenchHouse) -> str:
    house = bench.house
    wanted = Wanted(bench.instruction, PaperChoice(Kind.poster), "https://house.example/at/north/papers")
    code = paper_printing.print_paper(house.archive, house.visitor("eve"), wanted, now=bench.now).code
    paper_register.hang(house.archive, house.visitor("tom"), code, place=AT_THE_SINK, copies=1, now=bench.now)
    return code


def _solution(bench: BenchHouse) -> None:
    said = Said("neutraflow", "30", temperature="35", point="", dose="5 mL/L")
    solution_log.log_solution(
        bench.house.archive, bench.house.visitor("tom"), said, MadeUp(LOT, bench.now), now=bench.now
    )


def _used(bench: BenchHouse) -> None:
    """Nora reports both as used 20 minutes ago; all of their first treatment was done."""
    for code in TWO:
        used = (bench.later(1) - timedelta(minutes=20)).isoformat()
        bench.done("nora", "report-use", code=code, case=CASE, last_used=used, treated=True)


def _at_the_sink(bench: BenchHouse) -> None:
    """Tom does all of the first set; Tia, who has no sign-off, the second one step by step."""
    bench.later(4)
    first, second = TWO
    bench.done("tom", "take-up", code=first)
    bench.done("tom", "start-station", code=first, station="sink")
    bench.later(11)
    flush = bench.task("flush", first)
    bench.done("tom", "deviate", code=first, task=flush, what=DEVIATION, reason="the syringe broke")
    bench.done("tom", "finish-station", code=first, station="sink")
    bench.done("tia", "take-up", code=second)
    _step_by_step(bench, second)


def _step_by_step(bench: BenchHouse, code: str) -> None:
    with bench.house.archive.unit(writes=False) as unit:
        plan = run_of(unit, copy_of_code(unit, "north", code)).plan
    for task in plan.at(Station.sink):
        if task.at_least_s:
            bench.done("tia", "start-task", code=code, task=task.id)
            bench.later(task.at_least_s / 60)
        done = {"times": task.times, "seen": bool(task.until)}
        bench.done("tia", "finish-task", code=code, task=task.id, **done)
        bench.later(1)


def _chemical_indicator(bench: BenchHouse, cycle: str) -> None:
    house, tom = bench.house, bench.house.visitor("tom")
    lot = indicators.add_lot(
        house.archive,
        tom,
        "chemical",
        name="Stripfive",
        lot=INDICATOR_LOT,
        expires=bench.now.date() + timedelta(days=90),
        now=bench.now,
    )
    indicators.look_at_chemical(house.archive, tom, cycle, lot, passed=True, now=bench.now)
