"""The list of deviations: what is open first, by what is due; and what Today says of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.bench.deviations import Standing
from sinkside.bench.faults import policy
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.deviations.counting import Sought, rows_from_runs
from sinkside.desk.deviations.kept import KIND, LEAD, NOT_CLOSED, READ, WORK
from sinkside.desk.machine_things import things_of
from sinkside.desk.ports import Archive, Unit
from sinkside.findings import Level
from sinkside.records import Row, WantedRows

MOST: Final = 200


@dataclass(frozen=True)
class Found:
    """The deviations that are sought: open ones of any age, closed ones of the time, and what runs kept."""

    open: tuple[Row, ...]
    closed: tuple[Row, ...]
    on_runs: tuple[Row, ...]
    open_in_all: int
    closed_in_all: int


def find_deviations(archive: Archive, who: Visitor, sought: Sought, *, narrowed: bool = False) -> Found:
    """The deviations of this department.

    Args:
        archive: where everything is kept.
        who: who looks.
        sought: which.
        narrowed: whether open ones of another time are left out too.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    of_then = WantedRows(fields=sought.fields, since=sought.since, until=sought.before, limit=MOST)
    closed = replace(of_then, states=[Standing.closed.value])
    still_open = replace(of_then, states=NOT_CLOSED)
    if not narrowed:
        still_open = replace(still_open, since=None, until=None)
    here = [who.department]
    with archive.unit(writes=False) as unit:
        return Found(
            open=tuple(unit.rows.found(KIND, here, still_open)),
            closed=tuple(unit.rows.found(KIND, here, closed)),
            on_runs=tuple(rows_from_runs(unit, who, sought))[:MOST],
            open_in_all=unit.rows.count_found(KIND, here, still_open),
            closed_in_all=unit.rows.count_found(KIND, here, closed),
        )


def machines_here(archive: Archive, who: Visitor) -> tuple[tuple[str, str], ...]:
    """The machines of this department, as id and name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
    return tuple((one.id, one.name) for one in things_of(site) if one.machine) if site else ()


def deviations_due(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[tuple[Level, str, Row]]:
    """What Today says of deviations: each that is due, to whoever can take its next step."""
    if not who.may(READ):
        return
    rows = unit.rows.all(KIND, [who.department], states=NOT_CLOSED, limit=MOST)
    due = [row for row in rows if row.due is not None and row.due <= now]
    for row in due:
        own = row.fields["corrects"] == who.person
        if own or who.may(LEAD) or (row.state == Standing.open and who.may(WORK)):
            words = policy().faults[str(row.fields["fault"])].words
            of = str(row.fields["set"] or row.fields["machine_name"] or "")
            sentence = f"{words}{f', {of}' if of else ''}: {row.fields['next']}."
            yield Level.concern if own or row.state == Standing.open else Level.note, sentence, row
