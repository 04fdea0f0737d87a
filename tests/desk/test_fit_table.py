"""The fit table over many departments: the same in one process, in several, and on a cluster."""

from __future__ import annotations

from typing import Any

import distributed
import pytest

from sinkside.desk.fit_table import Cell, FitQuestion, fit_cells, wanted_by, worst_first
from sinkside.route import FitWord
from support.random_routing import a_random_case_of_fitting


@pytest.fixture(scope="module")
def question() -> FitQuestion:
    """Sixty instructions and thirty-five departments: enough for more than one process."""
    return FitQuestion(*a_random_case_of_fitting(rows=60, columns=35))


@pytest.fixture(scope="module")
def plain(question: FitQuestion) -> list[list[Cell]]:
    """The table as one process makes it."""
    return list(fit_cells(question))


def test_several_processes_make_the_same_table(question: FitQuestion, plain: list[list[Cell]]) -> None:
    """Two processes give the cells of one, in the same order."""
    assert list(fit_cells(question, processes=2)) == plain


def test_a_cluster_makes_the_same_table(question: FitQuestion, plain: list[list[Cell]]) -> None:
    """The machines of a Dask cluster give the cells of one process."""
    local: Any = distributed.LocalCluster
    with local(2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
        assert list(fit_cells(question, cluster=cluster.scheduler_address)) == plain


def test_every_instruction_stands_once_in_every_department(
    question: FitQuestion, plain: list[list[Cell]]
) -> None:
    """The table is whole: a cell for each instruction and department."""
    named = {(cell.instruction, cell.department) for cells in plain for cell in cells}
    assert len(named) == question.cells == sum(len(cells) for cells in plain)


def test_what_is_to_be_done_next_stands_first(plain: list[list[Cell]]) -> None:
    """Refusals come before concerns, and these before what fits."""
    for cells in plain:
        words = [list(FitWord).index(cell.fit.word) for cell in worst_first(cells)]
        assert words == sorted(words)


def test_a_department_with_refusals_is_told_what_would_turn_them(
    question: FitQuestion, plain: list[list[Cell]]
) -> None:
    """Whoever has a refusal is told a change that helps it; whoever has none is told nothing."""
    for cells in plain[:8]:
        department = question.departments[cells[0].department]
        told = wanted_by(department, question.instructions)
        refused = {cell.instruction for cell in cells if cell.fit.missing}
        assert {name for one in told for name in (*one.turns, *one.helps)} == refused
