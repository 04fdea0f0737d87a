"""Measured figures of routes and of the fit table: `make bench`."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sinkside import documents
from sinkside.department import Department
from sinkside.department.document import Machine
from sinkside.desk.fit_table import FitQuestion, fit_cells
from sinkside.instruction import Instruction
from sinkside.route import Asked, Offered, fit, resolve, route_set
from sinkside.sets import Member, SetDocument

ROOT: Final = Path(__file__).parents[1]
DATA: Final = ROOT / "src" / "sinkside" / "demo" / "data"
_MACHINES: Final = 40
_SUPPLIES: Final = 400
_SET: Final = 30
#: The whole table of the bar; `make bench` makes a part and says how long the whole takes at that pace.
_ROWS, _COLUMNS = 500, 200
_PART: Final = (100, 20)


@dataclass(frozen=True)
class Row:
    """One measured figure, its bar, and what it stands beside."""

    what: str
    seconds: float
    bar_seconds: float
    beside: str = ""

    def __str__(self) -> str:
        bar = f"{'within' if self.seconds <= self.bar_seconds else 'ABOVE'} the bar of {self.bar_seconds:g} s"
        return f"{self.what:<58} {self.seconds:9.3f} s   {bar}   {self.beside}".rstrip()


def _timed(work: object, *, runs: int = 5) -> float:
    """Median seconds of some runs after one that does not count."""
    assert callable(work)
    work()
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return sorted(taken)[runs // 2]


def _grown(department: Department) -> Department:
    """The demo's department with forty machines and four hundred things on its shelves."""

    def repeated(things: Sequence[object], count: int) -> tuple[object, ...]:
        copies = [
            thing.model_copy(update={"id": f"{thing.id}-{turn}", "name": f"{thing.name} {turn}"})  # type: ignore[attr-defined]
            for turn in range(count // len(things) + 1)
            for thing in things
        ]
        return tuple(copies[:count])

    shelves = ("brushes", "chemicals", "tools", "packaging")
    each = _SUPPLIES // len(shelves)
    machines: tuple[Machine, ...] = repeated(department.machines, _MACHINES)  # type: ignore[assignment]
    kept = (*department.machines, *machines[: _MACHINES - len(department.machines)])
    grown = {
        name: (*getattr(department, name), *repeated(getattr(department, name), each)) for name in shelves
    }
    return department.model_copy(update={"machines": kept, **grown})


def _variants(instructions: Sequence[Instruction], count: int) -> dict[str, Instruction]:
    """So many instructions, each with a step less or another name, so that no two are one."""
    found = {}
    for number in range(count):
        one = instructions[number % len(instructions)]
        left = number % max(1, len(one.steps) - 1)
        steps = one.steps[:left] + one.steps[left + 1 :]
        named = one.device.model_copy(update={"name": f"{one.device.name} {number}"})
        found[f"instruction {number}"] = one.model_copy(update={"device": named, "steps": steps})
    return found


def _departments(department: Department, count: int) -> dict[str, Department]:
    """So many departments, each without one of its things."""
    found = {}
    for number in range(count):
        shelf = ("brushes", "chemicals", "packaging", "tools", "lubricants")[number % 5]
        things = getattr(department, shelf)
        left = number % len(things)
        without = {shelf: things[:left] + things[left + 1 :], "name": f"department {number}"}
        found[f"department {number}"] = department.model_copy(update=without)
    return found


def single(department: Department, instructions: Sequence[Instruction]) -> list[Row]:
    """One instruction against one department, small and large, and a set of thirty."""
    longest = max(instructions, key=lambda one: len(one.steps))
    large = _grown(department)
    what = f"{len(longest.steps)} steps, {len(large.machines)} machines, {_SUPPLIES} things"
    plain = _timed(lambda: documents.to_json(large))
    beside = f"beside writing that department ({plain * 1000:.0f} ms)"
    members = _variants(instructions, _SET)
    in_set = SetDocument(name="Set", members=tuple(Member(instruction=name) for name in members))
    return [
        Row(f"route, warm: {what}", _timed(lambda: resolve(longest, large)), 0.050, beside),
        Row(
            f"set of {_SET} devices, proved",
            _timed(lambda: route_set(in_set, members, department), runs=3),
            2.0,
        ),
    ]


def table(department: Department, instructions: Sequence[Instruction]) -> list[Row]:
    """The fit table: a part of it, what changes cost, and the whole at the part's pace."""
    rows, columns = _PART
    part = FitQuestion(_variants(instructions, rows), _departments(department, columns))
    start = time.perf_counter()
    for _ in fit_cells(part, processes=os.cpu_count() or 1):
        pass
    whole = (time.perf_counter() - start) * _ROWS * _COLUMNS / part.cells
    asked = [Asked(one) for one in _variants(instructions, _ROWS).values()]
    one = Asked(instructions[0])
    offered = [Offered(site) for site in _departments(department, _COLUMNS).values()]
    return [
        Row(f"fit table {_ROWS} × {_COLUMNS}, at the pace of {rows} × {columns}", whole, 600.0),
        Row(
            f"one changed instruction, {_COLUMNS} departments",
            _timed(lambda: [fit(one, column) for column in offered], runs=3),
            1.0,
        ),
        Row(
            f"a changed department, {_ROWS} instructions",
            _timed(lambda: [fit(row, Offered(department)) for row in asked], runs=3),
            10.0,
        ),
    ]


def whole_table(department: Department, instructions: Sequence[Instruction]) -> Row:
    """The whole table, from nothing: some minutes."""
    question = FitQuestion(_variants(instructions, _ROWS), _departments(department, _COLUMNS))
    start = time.perf_counter()
    for _ in fit_cells(question, processes=os.cpu_count() or 1):
        pass
    return Row(f"fit table {_ROWS} × {_COLUMNS}, from nothing", time.perf_counter() - start, 600.0)


def main() -> None:
    """Print every figure; with --whole the whole table too."""
    department = documents.load(Department, DATA / "department.yaml")
    instructions = [documents.load(Instruction, path) for path in sorted((DATA / "instructions").iterdir())]
    for row in (*single(department, instructions), *table(department, instructions)):
        print(row)
    if "--whole" in sys.argv:
        print(whole_table(department, instructions))


if __name__ == "__main__":
    main()
