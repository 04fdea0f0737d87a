"""Measured figures of routes and of the fit table: `make bench`."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from pydantic import BaseModel

from bench import ROOT, Row, side_by_side
from sinkside import documents
from sinkside.department import Department
from sinkside.department.document import Machine
from sinkside.desk.fit_table import FitQuestion, fit_cells
from sinkside.instruction import Instruction
from sinkside.route import FitColumn, FitRow, fit, resolve, route_set
from sinkside.sets import Member, SetDocument

DATA: Final = ROOT / "src" / "sinkside" / "demo" / "data"
_MACHINES: Final = 40
_SUPPLIES: Final = 400
_SET: Final = 30
#: The whole table of the bar; `make bench` makes a part and says how long the whole takes at that pace.
_ROWS, _COLUMNS = 500, 200
_PART: Final = (100, 20)
_WHOLE_S: Final = 600.0
_WRITING: Final = "writing its documents as JSON"


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
    members = _variants(instructions, _SET)
    in_set = SetDocument(name="Set", members=tuple(Member(instruction=name) for name in members))
    what = f"route: {len(longest.steps)} steps, {len(large.machines)} machines, {_SUPPLIES} things"
    return [
        _row(what, lambda: resolve(longest, large), _written([large]), bar=0.050, runs=5),
        _row(
            f"set of {_SET} devices, proved",
            lambda: route_set(in_set, members, department),
            _written(members.values()),
            bar=2.0,
        ),
    ]


def table(department: Department, instructions: Sequence[Instruction]) -> list[Row]:
    """The fit table: what changes cost, and the whole at the pace of a part."""
    every = _variants(instructions, _ROWS)
    rows = [FitRow(one) for one in every.values()]
    one, sites = FitRow(instructions[0]), _departments(department, _COLUMNS)
    columns = [FitColumn(site) for site in sites.values()]
    return [
        _part(department, instructions),
        _row(
            f"one changed instruction, {_COLUMNS} departments",
            lambda: [fit(one, column) for column in columns],
            _written(sites.values()),
            bar=1.0,
        ),
        _row(
            f"a changed department, {_ROWS} instructions",
            lambda: [fit(row, FitColumn(department)) for row in rows],
            _written(every.values()),
            bar=10.0,
        ),
    ]


def _part(department: Department, instructions: Sequence[Instruction]) -> Row:
    """A part of the table, from nothing, and how long the whole takes at that pace."""
    rows, columns = _PART
    question = FitQuestion(_variants(instructions, rows), _departments(department, columns))
    share = _ROWS * _COLUMNS / question.cells
    seconds, beside = side_by_side(lambda: _made(question), _documents_of(question), runs=1)
    what = f"fit table {_ROWS} × {_COLUMNS}, as {rows} × {columns}"
    return Row(what, seconds * share, _WRITING, beside * share, _WHOLE_S)


def whole_table(department: Department, instructions: Sequence[Instruction]) -> Row:
    """The whole table, from nothing: some minutes."""
    question = FitQuestion(_variants(instructions, _ROWS), _departments(department, _COLUMNS))
    start = time.perf_counter()
    _made(question)
    seconds = time.perf_counter() - start
    _, beside = side_by_side(lambda: None, _documents_of(question), runs=1)
    return Row(f"fit table {_ROWS} × {_COLUMNS}, from nothing", seconds, _WRITING, beside, _WHOLE_S)


def _made(question: FitQuestion) -> None:
    for _ in fit_cells(question, processes=os.cpu_count() or 1):
        pass


def _documents_of(question: FitQuestion) -> Callable[[], None]:
    return _written([*question.instructions.values(), *question.departments.values()])


def _written(given: Iterable[BaseModel]) -> Callable[[], None]:
    """What each figure stands beside: writing the documents that it is about as JSON."""
    kept = list(given)

    def write() -> None:
        for document in kept:
            documents.to_json(document, compact=True)

    return write


def _row(
    what: str, ours: Callable[[], object], plain: Callable[[], object], *, bar: float, runs: int = 3
) -> Row:
    seconds, beside = side_by_side(ours, plain, runs=runs)
    return Row(what, seconds, _WRITING, beside, bar)


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
