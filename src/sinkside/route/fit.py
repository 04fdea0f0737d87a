"""Whether departments can do instructions, cell by cell, and what would turn most refusals for the least.

A cell says only whether there is a route, and what is missing; the route is made when the cell is opened. It
carries a key of everything that it hangs on, so that only cells with another key are made again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Final

from pydantic import BaseModel

from sinkside.department import Department, MachineKind
from sinkside.documents import Value, to_json
from sinkside.instruction import Instruction
from sinkside.route import conflicts, sizes
from sinkside.route.candidates import Board
from sinkside.route.document import Change
from sinkside.route.needs import (
    AirNeed,
    BathNeed,
    BrushNeed,
    CabinetNeed,
    ChemicalNeed,
    Choice,
    GasNeed,
    LubricantNeed,
    Need,
    PackagingNeed,
    SkillNeed,
    SteamNeed,
    ToolNeed,
    WasherNeed,
    WaterNeed,
)
from sinkside.route.repairing import key_of, smallest_repair
from sinkside.route.requirements import requirements_of
from sinkside.route.weighing import best, concerns_of

#: What of a department each kind of need looks at: a field, or the machines of a kind.
_LOOKS_AT: Final[Mapping[type[Need], tuple[str, ...]]] = {
    SteamNeed: (MachineKind.steam_sterilizer,),
    GasNeed: (MachineKind.gas_sterilizer,),
    WasherNeed: (MachineKind.washer_disinfector, "chemicals", "water"),
    BathNeed: (MachineKind.ultrasonic_bath,),
    CabinetNeed: (MachineKind.drying_cabinet,),
    WaterNeed: ("water",),
    ChemicalNeed: ("chemicals",),
    BrushNeed: ("brushes",),
    LubricantNeed: ("lubricants",),
    AirNeed: ("air",),
    ToolNeed: ("tools",),
    PackagingNeed: ("packaging", "policies"),
    SkillNeed: ("shifts", "families", "staff", "policies"),
}


class FitWord(StrEnum):
    """What a cell says, the most to do first: no way, a way that somebody must look at, a way."""

    no_route = "no route"
    with_concerns = "with concerns"
    fits = "fits"


class Fit(Value):
    """Whether a department can do an instruction: how many concerns a route carries, or what is missing.

    `key` is a digest of all that the answer hangs on; of the department that is what it `looks_at`.
    """

    word: FitWord
    concerns: int = 0
    missing: tuple[str, ...] = ()
    key: str
    looks_at: tuple[str, ...] = ()


class Wanted(Value):
    """A change of a department with the instructions that it turns by itself, and those that it helps."""

    change: Change
    turns: tuple[str, ...] = ()
    helps: tuple[str, ...] = ()


class FitRow:
    """An instruction as a row of the table: its needs found once, however many departments are asked."""

    def __init__(self, instruction: Instruction) -> None:
        """Find what the instruction needs.

        Raises:
            BadQuantity: if a figure carries a unit that measures something else than it says.
        """
        self.choices = requirements_of(instruction)
        self.digest = _digest(instruction)
        self.looks_at = tuple(
            sorted({part for need in _needs(self.choices) for part in _LOOKS_AT[type(need)]})
        )


class FitColumn:
    """A department as a column of the table: its things held against each need once."""

    def __init__(self, department: Department) -> None:
        """Start with nothing asked."""
        self.board = Board(department)
        self.parts = dict(_parts(department))

    def key_of(self, digest: str, looks_at: Sequence[str]) -> str:
        """Everything that the cell of an instruction hangs on, as one digest; the instruction is not needed.

        Args:
            digest: of the instruction.
            looks_at: which parts of a department it looks at, as its row tells.
        """
        parts = "".join(self.parts[name] for name in looks_at)
        return hashlib.sha256(f"{digest}{parts}".encode()).hexdigest()


def fit(row: FitRow, column: FitColumn) -> Fit:
    """One cell: whether a department can do an instruction.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    key = column.key_of(row.digest, row.looks_at)
    ways = best(row.choices, column.board)
    missing = tuple(dict.fromkeys(need.wanted.text() for way in ways for need in way.failed))
    if missing:
        return Fit(word=FitWord.no_route, missing=missing, key=key, looks_at=row.looks_at)
    concerns = int(sum(concerns_of(picked) for way in ways for picked in way.chosen))
    word = FitWord.with_concerns if concerns else FitWord.fits
    return Fit(word=word, concerns=concerns, key=key, looks_at=row.looks_at)


def fit_table(
    rows: Mapping[str, FitRow], columns: Mapping[str, FitColumn], known: Mapping[tuple[str, str], Fit]
) -> Iterator[tuple[tuple[str, str], Fit]]:
    """The cells of a table by row and column; a known cell is made again only if its key has changed.

    Args:
        rows: The instructions.
        columns: The departments.
        known: Cells that were made before, with their keys.

    Raises:
        BadQuantity: as `fit`.
    """
    for column_name, column in columns.items():
        for row_name, row in rows.items():
            before = known.get((row_name, column_name))
            fresh = before is not None and before.key == column.key_of(row.digest, row.looks_at)
            yield (row_name, column_name), before if before is not None and fresh else fit(row, column)


def least_changes(row: FitRow, column: FitColumn, language: str = "en") -> tuple[Change, ...]:
    """The changes of a department that together give an instruction its route; none if it has one.

    Raises:
        BadQuantity: as `fit`.
        BadInput: if the language is unknown.
    """
    if not any(way.failed for way in best(row.choices, column.board)):
        return ()
    return tuple(_smallest(row, column.board, language).values())


def shopping_list(least: Mapping[str, Sequence[Change]]) -> tuple[Wanted, ...]:
    """The changes of a department, first those that turn most refusals alone, then those that help most.

    Questions to a maker come last, each by itself: no answer of one maker's settles another's text.

    Args:
        least: for each refused instruction the changes that together give it a route.
    """
    changes: dict[str, Change] = {}
    turns: dict[str, list[str]] = {}
    helps: dict[str, list[str]] = {}
    for name, needed in least.items():
        for change in needed:
            key = key_of(change.sentence, change.edit) + (name if _asks_the_maker(change) else "")
            changes.setdefault(key, change)
            (turns if len(needed) == 1 else helps).setdefault(key, []).append(name)
    told = (
        Wanted(change=change, turns=tuple(turns.get(key, ())), helps=tuple(helps.get(key, ())))
        for key, change in changes.items()
    )
    return tuple(
        sorted(
            told,
            key=lambda one: (
                _asks_the_maker(one.change),
                -len(one.turns),
                -len(one.helps),
                one.change.size,
            ),
        )
    )


def _asks_the_maker(change: Change) -> bool:
    return change.edit is None and change.size == sizes.ASK_THE_MAKER


def _smallest(row: FitRow, board: Board, language: str) -> dict[str, Change]:
    """The changes of the smallest repair of an instruction."""
    repair = smallest_repair(row.choices, board, language)
    told = (
        change
        for way in repair.ways
        for need in way.failed
        for change in conflicts.changes_for(need, board.appraisal(need), language, does=board.would_do)
    )
    keyed = ((key_of(change.sentence, change.edit), change) for change in told)
    return {key: change for key, change in keyed if key in repair.keys}


def _needs(choices: Sequence[Choice]) -> Iterator[Need]:
    return (need for choice in choices for option in choice.options for task in option for need in task.needs)


def _parts(department: Department) -> Iterator[tuple[str, str]]:
    """A digest of every part of a department that a need can look at."""
    for kind in MachineKind:
        yield kind, _digest(*(machine for machine in department.machines if machine.kind is kind))
    for field in sorted({part for parts in _LOOKS_AT.values() for part in parts} - set(MachineKind)):
        yield field, _digest(*getattr(department, field))


def _digest(*documents: BaseModel) -> str:
    written = "\n".join(to_json(document, compact=True) for document in documents)
    return hashlib.sha256(written.encode()).hexdigest()
