"""A house with an approved suction tube, a set of two of them, and three copies of that set with codes."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib import resources
from itertools import count
from pathlib import Path
from typing import Any, Final

from sinkside.bench.in_loads import decided, put_in
from sinkside.bench.run import InLoad
from sinkside.bench.tap import Tap, Tapped
from sinkside.department import Department
from sinkside.desk import departments, sets, sign_offs
from sinkside.desk.bench import copies, tapping
from sinkside.desk.bench.runs import copy_of_code, keep_run, run_of
from sinkside.desk.ports import Archive
from sinkside.desk.routes import open_department
from sinkside.draft import draft
from sinkside.instruction import Instruction
from sinkside.route import Station
from sinkside.sets import Member, SetDocument
from support.desk_house import House, new_house
from support.set_house import approved
from support.standing_house import ALONE

SUCTION_SET: Final = "Suction set"
CODES: Final = ("SET-1", "SET-2", "SET-3")

#: Acts that are done with no set.
OF_NO_SET: Final = frozenset({"close-case", "acknowledge-alarm"})

#: Where the department's people work on a tube by hand.
BY_HAND: Final = (Station.sink, Station.bench, Station.packing, Station.sterilizer)


@functools.cache
def demo_department() -> Department:
    """The demo's department, with its machines and programs."""
    with resources.as_file(resources.files("sinkside.demo") / "data") as folder:
        return open_department(Path(folder) / "department.yaml")


@functools.cache
def suction_tube() -> Instruction:
    """The demo's text of a suction tube, drafted."""
    with resources.as_file(resources.files("sinkside.demo") / "data" / "teaching") as folder:
        return draft(Path(folder) / "suction-tube.txt")


@dataclass
class BenchHouse:
    """The house, the set, and one tablet whose taps stand in one queue."""

    house: House
    set: str
    instruction: str
    now: datetime
    numbers: Any

    def later(self, minutes: float) -> datetime:
        """Let time go by."""
        self.now += timedelta(minutes=minutes)
        return self.now

    def tap(self, name: str, act: str, *, key: str = "", **fields: Any) -> Tapped:
        """One act by somebody, now; by what is known of it when it is one of a set, the first copy."""
        number = next(self.numbers)
        named = act in OF_NO_SET or "code" in fields or "machine" in fields
        on_first = {} if named else {"code": CODES[0]}
        values = {"act": act, **on_first, **fields}
        one = Tap.model_validate({"key": key or f"key-{number:05}", "at": self.now, "act": values})
        return tapping.tap(self.house.archive, self.house.visitor(name), [one], now=self.now)[0]

    def task(self, action: str, code: str = CODES[0]) -> str:
        """The task at the sink that does something: letters shift as the text is drafted better."""
        with self.house.archive.unit(writes=False) as unit:
            plan = run_of(unit, copy_of_code(unit, "north", code)).plan
        return next(one.id for one in plan.at(Station.sink) if one.action == action)

    def done(self, name: str, act: str, **fields: Any) -> Tapped:
        """The same, and it must have been done."""
        answer = self.tap(name, act, **fields)
        assert answer.outcome == "done", answer.said
        return answer


def bench_house(text: Instruction | None = None, archive: Archive | None = None) -> BenchHouse:
    """Lena leads, Tom works alone on tubes, Tia is new, Nora is in theatre; Eve and Uma teach.

    The tubes are processed by the demo's text unless told; all of it is in memory unless an archive is given.
    """
    house = new_house(archive)
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("nora", "theatre")):
        house.add(name, role)
    for name in ("tom", "tia"):
        house.add(name, "technician")
    lena = house.visitor("lena")
    departments.keep_department(house.archive, lena, demo_department(), now=house.now)
    instruction = approved(house, text or suction_tube())
    eve, tom = house.visitor("eve"), house.people["tom"]
    sign_offs.give(house.archive, eve, tom, "tubular", BY_HAND, ALONE, now=house.now)
    members = (Member(instruction=instruction, name="suction tube", count=2),)
    key = sets.make_set(
        house.archive, lena, SetDocument(name=SUCTION_SET, members=members, packaging="pouch"), now=house.now
    )
    for code in CODES:
        copies.add_copy(house.archive, lena, key, code=code, now=house.now)
    return BenchHouse(house, key, instruction, house.now, count(1))


def processed(bench: BenchHouse, load: str, station: Station, machine: str, program: str) -> None:
    """As a load leaves it that somebody released; loads have tests of their own."""
    with bench.house.archive.unit() as unit:
        opened = run_of(unit, copy_of_code(unit, "north", CODES[0]))
        inside = InLoad(
            load=load,
            station=station,
            machine=machine,
            program=program,
            members=("suction tube",),
            at=bench.now,
        )
        run = put_in(opened.plan, opened.run, inside)
        opened = keep_run(unit, opened, run, now=bench.now)
        keep_run(unit, opened, decided(run, load, "released", at=bench.now, cooled=bench.now), now=bench.now)


def on_the_clean_side(bench: BenchHouse) -> None:
    """The first copy, which has arrived, cleaned by hand and washed, on the clean side."""
    bench.done("tom", "take-up")
    bench.done("tom", "start-station", station="sink")
    bench.later(11)
    bench.done("tom", "finish-station", station="sink")
    processed(bench, "l-1", Station.washer, "washer-1", "Instruments 90")
    bench.done("tom", "to-clean-side")


def at_packing(bench: BenchHouse) -> None:
    """The first copy, arrived, cleaned, washed, inspected and counted."""
    bench.done("tom", "arrive")
    on_the_clean_side(bench)
    bench.done("tom", "look-all")
    bench.done("tom", "finish-station", station="bench")
    bench.done("tom", "count-all")
