"""The fit table: which departments can do which instructions, and what would turn most of the rest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from sinkside.cycles.many.sharing import Cluster, Processes, ThisProcess, Workers
from sinkside.department import Department
from sinkside.documents import Value
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction
from sinkside.route import Fit, FitColumn, FitRow, FitWord, Wanted, fit_table, shopping_list

#: So many departments are worked on at once; fewer would find every instruction's needs too often.
_COLUMNS_AT_ONCE: Final = 10

#: Below so many cells another process costs more than it saves.
_WORTH_A_PROCESS: Final = 2_000

#: A department by its name in the table.
_Column = tuple[str, Department]
_Cells = dict[str, Fit]


class Cell(Value):
    """One cell of the table as it is printed."""

    instruction: str
    department: str
    fit: Fit


@dataclass(frozen=True)
class FitQuestion:
    """Which instructions are held against which departments, each by its name in the table."""

    instructions: Mapping[str, Instruction]
    departments: Mapping[str, Department]

    @property
    def cells(self) -> int:
        """How many cells the table has."""
        return len(self.instructions) * len(self.departments)


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
    work = partial(_columns_done, question.instructions)
    shares = [list(share) for share in _batched(list(question.departments.items()))]
    workers = _workers(question, cluster, processes)
    try:
        for share, done in zip(shares, workers.each(work, shares), strict=True):
            for (department, _), cells in zip(share, done, strict=True):
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


def _columns_done(instructions: Mapping[str, Instruction], share: Sequence[_Column]) -> list[_Cells]:
    """Every instruction held against each department of a share."""
    rows = {name: FitRow(instruction) for name, instruction in instructions.items()}
    done: list[_Cells] = []
    for name, department in share:
        made = fit_table(rows, {name: FitColumn(department)}, {})
        done.append({row: fit for (row, _), fit in made})
    return done


def wanted_by(
    department: Department, instructions: Mapping[str, Instruction], *, language: str = "en"
) -> tuple[Wanted, ...]:
    """What would turn most refusals of a department for the least.

    Raises:
        BadQuantity: as `fit_cells`.
        BadInput: if the language is unknown.
    """
    rows = {name: FitRow(instruction) for name, instruction in instructions.items()}
    return shopping_list(rows, FitColumn(department), language)


def worst_first(cells: Sequence[Cell]) -> list[Cell]:
    """Cells by what is to be done next: no route, then concerns, then those that fit."""
    order = list(FitWord)
    return sorted(
        cells, key=lambda cell: (order.index(cell.fit.word), -len(cell.fit.missing), cell.instruction)
    )
