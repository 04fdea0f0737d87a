"""The fit table: which departments can do which instructions, and what would turn most of the rest."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final

from sinkside.department import Department
from sinkside.documents import Value
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction
from sinkside.parallel import Cluster, Processes, ThisProcess, Workers
from sinkside.route import Fit, FitColumn, FitRow, FitWord, Wanted, fit_table, least_changes, shopping_list

#: So many departments are worked on at once; more would leave whoever waits without news for too long.
_COLUMNS_AT_ONCE: Final = 2

#: Below so many cells another process costs more than it saves.
_WORTH_A_PROCESS: Final = 2_000

_Cells = dict[str, Fit]

#: A department by its name in the table, with its cells that are known already.
_Column = tuple[str, Department, _Cells]


class Cell(Value):
    """One cell of the table as it is printed."""

    instruction: str
    department: str
    fit: Fit


@dataclass(frozen=True)
class FitQuestion:
    """Which instructions are held against which departments, each by its name in the table.

    `known` are answers of earlier by instruction and department; they stand as long as their keys do.
    """

    instructions: Mapping[str, Instruction]
    departments: Mapping[str, Department]
    known: Mapping[tuple[str, str], Fit] = field(default_factory=dict)

    @property
    def cells(self) -> int:
        """How many cells the table has."""
        return len(self.instructions) * len(self.departments)

    def columns(self) -> list[_Column]:
        """The departments, each with what is known of it."""
        known: dict[str, _Cells] = {name: {} for name in self.departments}
        for (row, column), cell in self.known.items():
            if column in known:
                known[column][row] = cell
        return [(name, department, known[name]) for name, department in self.departments.items()]


def fit_cells(
    question: FitQuestion, *, cluster: str | None = None, processes: int = 1
) -> Iterator[list[Cell]]:
    """The cells of a table, department by department; the same to the letter however many do the work.

    Args:
        question: Rows and columns.
        cluster: The address of a Dask scheduler whose machines do the work.
        processes: How many of this machine share it; small tables are made by one.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
        BadInput: if Dask is not installed.
        UnreadableFile: if no scheduler answers, or a process ran out of memory.
    """
    work = partial(_columns_done, secrets.token_hex(8), question.instructions)
    shares = [list(share) for share in _batched(question.columns())]
    workers = _workers(question, cluster, processes)
    try:
        for share, done in zip(shares, workers.each(work, shares), strict=True):
            for (department, *_), cells in zip(share, done, strict=True):
                yield [Cell(instruction=name, department=department, fit=fit) for name, fit in cells.items()]
    finally:
        if isinstance(workers, Cluster):
            workers.close()


def _batched(columns: Sequence[_Column]) -> Iterator[Sequence[_Column]]:
    for start in range(0, len(columns), _COLUMNS_AT_ONCE):
        yield columns[start : start + _COLUMNS_AT_ONCE]


def _workers(question: FitQuestion, cluster: str | None, processes: int) -> Workers[_Column, _Cells]:
    if cluster is not None:
        return Cluster[_Column, _Cells].at(cluster)
    if processes <= 1 or question.cells < _WORTH_A_PROCESS:
        return ThisProcess[_Column, _Cells]()
    return Processes(processes, lost=_lost)


def _lost(column: _Column) -> _Cells:
    raise UnreadableFile("a process broke down over this department", resource=column[0])


#: The rows of the question that this process worked on last: each share of it needs the same.
_ROWS: Final[dict[str, Mapping[str, FitRow]]] = {}


def _rows_of(question: str, instructions: Mapping[str, Instruction]) -> Mapping[str, FitRow]:
    rows = _ROWS.get(question)
    if rows is None:
        rows = {name: FitRow(instruction) for name, instruction in instructions.items()}
        _ROWS.clear()
        _ROWS[question] = rows
    return rows


def _columns_done(
    question: str, instructions: Mapping[str, Instruction], share: Sequence[_Column]
) -> list[_Cells]:
    """Every instruction held against each department of a share."""
    rows = _rows_of(question, instructions)
    done: list[_Cells] = []
    for name, department, known in share:
        before = {(row, name): cell for row, cell in known.items()}
        made = fit_table(rows, {name: FitColumn(department)}, before)
        done.append({row: cell for (row, _), cell in made})
    return done


def wanted_by(
    department: Department, instructions: Mapping[str, Instruction], *, language: str = "en"
) -> tuple[Wanted, ...]:
    """What would turn most refusals of a department for the least.

    Raises:
        BadQuantity: as `fit_cells`.
        BadInput: if the language is unknown.
    """
    column = FitColumn(department)
    least = {name: least_changes(FitRow(one), column, language) for name, one in instructions.items()}
    return shopping_list({name: changes for name, changes in least.items() if changes})


def worst_first(cells: Sequence[Cell]) -> list[Cell]:
    """Cells by what is to be done next: no route, then concerns, then those that fit."""
    order = list(FitWord)
    return sorted(
        cells, key=lambda cell: (order.index(cell.fit.word), -len(cell.fit.missing), cell.instruction)
    )
