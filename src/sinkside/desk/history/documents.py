"""The histories of a machine's record and of an instruction, by the entries that concern them."""

from __future__ import annotations

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.cycle_records import KIND as CYCLE
from sinkside.desk.cycle_records import cycle_row
from sinkside.desk.history.gathered import Gathered, Page, next_page, own_entries
from sinkside.desk.history.loads import of_load
from sinkside.desk.history.telling import lines_of
from sinkside.desk.ports import Unit


def of_cycle(unit: Unit, who: Visitor, cycle: str, page: Page) -> Gathered:
    """The history of a record: of its whole load, where it belongs to one.

    Raises:
        NotAllowed: without the right to read records.
        NotThere: if there is none here.
    """
    require(who, "cycle-read")
    row = cycle_row(unit, who, cycle)
    load = unit.bench.loads.of_cycle(who.department, cycle)
    if load is not None:
        return of_load(unit, who, load.id, page)
    return _by_entries(unit, who, f"{CYCLE}:{cycle}", (row.title, "a record that belongs to no load"), page)


def of_instruction(unit: Unit, who: Visitor, instruction: str, page: Page) -> Gathered:
    """The history of an instruction: drafted, corrected, answered, approved, its papers' text.

    Raises:
        NotAllowed: without the right to read instructions.
        NotThere: if there is none here.
    """
    require(who, "instruction-read")
    row = shelf.row_of(unit, who, instruction)
    return _by_entries(unit, who, shelf.subject_of(instruction), (row.title, "an instruction"), page)


def _by_entries(unit: Unit, who: Visitor, subject: str, called: tuple[str, str], page: Page) -> Gathered:
    own = own_entries(unit, who, subject, page)
    lines = tuple(lines_of(unit, who, own, of=subject))
    return Gathered(*called, gaps=(), lines=lines, before=next_page(own))
