"""The fit table beside routes made one by one, and what it makes again when something changes."""

from __future__ import annotations

import random
from collections.abc import Sequence

from sinkside.department import Department, changed
from sinkside.instruction import Instruction
from sinkside.route import (
    Change,
    Fit,
    FitColumn,
    FitRow,
    FitWord,
    fit,
    fit_table,
    least_changes,
    resolve,
    shopping_list,
)
from support.random_routing import a_random_department, a_random_instruction

_ROWS = 30
_COLUMNS = 8


def _rows(count: int = _ROWS) -> dict[str, Instruction]:
    return {f"row {seed}": a_random_instruction(_chance(seed)) for seed in range(count)}


def _columns(count: int = _COLUMNS) -> dict[str, Department]:
    return {f"column {seed}": a_random_department(_chance(1_000 + seed)) for seed in range(count)}


def _chance(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - a drawn case, no secret


def _table(
    rows: dict[str, Instruction],
    columns: dict[str, Department],
    known: dict[tuple[str, str], Fit] | None = None,
) -> dict[tuple[str, str], Fit]:
    asked = {name: FitRow(instruction) for name, instruction in rows.items()}
    offered = {name: FitColumn(department) for name, department in columns.items()}
    return dict(fit_table(asked, offered, known or {}))


def test_every_cell_says_what_the_route_itself_says() -> None:
    """Over 240 random cells the word is the route's: resolved or not, and with how many concerns."""
    rows, columns = _rows(), _columns()
    for (row, column), cell in _table(rows, columns).items():
        route = resolve(rows[row], columns[column])
        assert (cell.word is not FitWord.no_route) == route.resolved, (row, column)
        if route.resolved:
            concerned = any(finding.level != "note" for finding in route.findings)
            assert (cell.word is FitWord.with_concerns) == concerned, (row, column)


def test_a_cell_is_made_again_only_where_something_it_hangs_on_has_changed() -> None:
    """A brush more makes again the cells of instructions that brush, and keeps every other as it was."""
    rows, columns = _rows(), _columns(1)
    before = _table(rows, columns)
    ((name, department),) = columns.items()
    brush = {"id": "new", "name": "new brush", "diameter": "9 mm"}
    more = Department.model_validate(
        {**department.model_dump(), "brushes": [*department.model_dump()["brushes"], brush]}
    )
    after = _table(rows, {name: more}, before)
    for row, instruction in rows.items():
        brushes = any(step.action == "brush" for step in instruction.steps)
        kept = after[row, name] is before[row, name]
        assert kept != brushes, row


def test_cells_with_one_key_say_one_thing() -> None:
    """Over random departments a key that two cells share never stands for two answers."""
    rows = _rows(12)
    seen: dict[str, Fit] = {}
    for department in _columns(60).values():
        offered = FitColumn(department)
        for instruction in rows.values():
            cell = fit(FitRow(instruction), offered)
            assert seen.setdefault(cell.key, cell) == cell


def test_the_shopping_list_turns_what_it_says() -> None:
    """Each change said to turn refusals by itself turns them when it is made, and the most stand first."""
    rows = _rows()
    for department in _columns().values():
        told = shopping_list(_least(rows, department))
        counts = [len(one.turns) for one in told]
        assert counts == sorted(counts, reverse=True)
        for one in told:
            if one.change.edit is not None:
                mended = changed(department, one.change.edit)
                assert not _refused(rows, one.turns, mended)


def _least(rows: dict[str, Instruction], department: Department) -> dict[str, tuple[Change, ...]]:
    found = {name: least_changes(FitRow(one), FitColumn(department)) for name, one in rows.items()}
    return {name: changes for name, changes in found.items() if changes}


def _refused(rows: dict[str, Instruction], names: Sequence[str], department: Department) -> list[str]:
    return [name for name in names if not resolve(rows[name], department).resolved]


def test_everything_refused_is_helped_by_something_on_the_list() -> None:
    """No refusal is left without a change on the list, though it may take several together."""
    rows = _rows()
    for name, department in _columns().items():
        cells = _table(rows, {name: department})
        refused = {row for (row, _), cell in cells.items() if cell.word is FitWord.no_route}
        told = shopping_list(_least(rows, department))
        helped = {row for one in told for row in (*one.turns, *one.helps)}
        assert helped == refused
