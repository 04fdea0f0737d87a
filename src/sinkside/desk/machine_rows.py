"""What lists of machines are read from: how each thing stands, when it was last checked, and its cycles.

These rows are kept in step with documents and events by the same transaction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.ports import Unit
from sinkside.records import Row, WantedRows

MACHINE: Final = "machine"
CHECK: Final = "machine-check"

#: The cycles of a machine, each under its machine: the row's state is the machine's id, so that the cycles of
#: one machine stand together in the index, the latest first.
CYCLE: Final = "machine-cycle"

#: The state of a cycle that is one run with another of the same recorder file, which is the one that counts.
COUNTED_OTHERWISE: Final = "counted-otherwise"

IN_USE: Final = "in-use"
OUT_OF_USE: Final = "out-of-use"
MOST_CYCLES: Final = 500

#: The field of a machine's row that changes whenever a verdict on one of its cycles was kept.
JUDGED: Final = "judged"

#: What a cycle's row says beside its figures.
_NAMES: Final = ("file_name", "kind", "machine", "also")

#: Kinds of program that test a machine and hold no load.
TESTS: Final = frozenset({"leak-rate", "air-removal-test"})


@dataclass(frozen=True)
class LastCheck:
    """When a check was last done, whether it passed, and when it last passed; none where it never was."""

    at: datetime | None = None
    passed: bool = False
    good: datetime | None = None


@dataclass(frozen=True)
class MachineCycle:
    """One cycle of a machine: its id, when it was handed in, program and file, verdict, figures of trends.

    `kind` is the program's; `also` names the other programs that the same file was judged by, and is empty
    for nearly all.
    """

    id: str
    machine: str
    at: datetime
    program: str
    kind: str
    file_name: str
    outcome: str
    figures: Mapping[str, float]
    also: str = ""

    @property
    def is_load(self) -> bool:
        """Whether goods may have been in it: it was no test of the machine."""
        return self.kind not in TESTS


@dataclass(frozen=True)
class MachineRan:
    """What a machine ran: the program's name and kind, and the name of the recorder's file."""

    program: str
    kind: str
    file_name: str


def row_id(department: str, thing: str) -> str:
    """The id of a thing's row: departments may call their machines alike."""
    return f"{department}/{thing}"


def subject_of(thing: str) -> str:
    """How a thing stands in events."""
    return f"{MACHINE}:{thing}"


def machine_row(unit: Unit, department: str, thing: str, *, name: str, now: datetime) -> Row:
    """How a thing stands; in use and never checked where nothing was kept of it."""
    found = unit.rows.get(MACHINE, row_id(department, thing))
    return found or Row(MACHINE, row_id(department, thing), department, IN_USE, name, now)


def machine_rows(unit: Unit, department: str) -> dict[str, Row]:
    """How every thing of a department stands of which something was kept, by its id."""
    found = unit.rows.all(MACHINE, [department], limit=10 * MOST_CYCLES)
    return {row.id.partition("/")[2]: row for row in found}


def last_check(row: Row | None, check: str) -> LastCheck:
    """When a check of a thing was last done."""
    if row is None:
        return LastCheck()
    at, good = row.fields.get(f"{check} at"), row.fields.get(f"{check} good")
    return LastCheck(_moment(at), bool(row.fields.get(f"{check} passed")), _moment(good))


def used_at(row: Row | None) -> datetime | None:
    """When a cycle of this machine was last handed in."""
    return _moment(row.fields.get("used")) if row else None


def note_check(unit: Unit, row: Row, check: str, *, passed: bool, now: datetime) -> Row:
    """Keep that a check was done, and say how the thing's row stands then."""
    fields = {**row.fields, f"{check} at": now.isoformat(), f"{check} passed": passed}
    if passed:
        fields[f"{check} good"] = now.isoformat()
    changed = replace(row, updated=now, fields=fields)
    unit.rows.put(changed)
    return changed


def note_run(
    unit: Unit, department: str, cycle: str, *, machine: tuple[str, str], ran: MachineRan, now: datetime
) -> str:
    """Keep that a machine ran, and say why it is out of use; nothing where it is in use.

    Args:
        unit: the transaction.
        department: where.
        cycle: the cycle's id.
        machine: the machine's id and name.
        ran: what it ran.
        now: when the record was handed in.
    """
    fields = {"file_name": ran.file_name, "kind": ran.kind, "machine": machine[0], "also": ""}
    unit.rows.put(Row(CYCLE, cycle, department, machine[0], ran.program, now, fields=fields))
    row = machine_row(unit, department, machine[0], name=machine[1], now=now)
    unit.rows.put(replace(row, updated=now, fields={**row.fields, "used": now.isoformat()}))
    return str(row.fields.get("reason", "")) if row.state == OUT_OF_USE else ""


def note_verdict(unit: Unit, cycle: str, *, outcome: str, figures: Mapping[str, float]) -> None:
    """Keep what a verdict says of a cycle that trends are drawn of, so that no trace is read again."""
    row = unit.rows.get(CYCLE, cycle)
    if row is None:
        return
    names = {name: row.fields[name] for name in _NAMES if name in row.fields}
    unit.rows.put(replace(row, fields={**figures, **names, "outcome": outcome}))
    _note_judged(unit, row, cycle)


def count_once(unit: Unit, cycles: Sequence[str], counted: str) -> None:
    """Keep that cycles of one file are one run of their machine, and which of them tells it."""
    rows = [row for row in (unit.rows.get(CYCLE, cycle) for cycle in cycles) if row is not None]
    for row in rows:
        machine = _machine_of(row)
        others = dict.fromkeys(other.title for other in rows if other.title != row.title)
        also = "; ".join(others) if row.id == counted else ""
        state = machine if row.id == counted else COUNTED_OTHERWISE
        changed = replace(row, state=state, fields={**row.fields, "machine": machine, "also": also})
        if changed != row:
            unit.rows.put(changed)
            _note_judged(unit, changed, counted)


def _machine_of(row: Row) -> str:
    """The machine of a cycle, whether it counts or not."""
    return str(row.fields.get("machine") or row.state)


def _note_judged(unit: Unit, row: Row, cycle: str) -> None:
    """Keep that what is known of a machine's cycles changed."""
    machine = unit.rows.get(MACHINE, row_id(row.department, _machine_of(row)))
    if machine is not None:
        before = str(machine.fields.get(JUDGED, "0")).partition(" ")[0]
        unit.rows.put(replace(machine, fields={**machine.fields, JUDGED: f"{int(before) + 1} {cycle}"}))


def cycles_of(
    unit: Unit,
    department: str,
    machines: Sequence[str],
    *,
    since: datetime | None = None,
    limit: int = MOST_CYCLES,
) -> list[MachineCycle]:
    """The cycles of machines since a moment of handing in, the latest first; a file judged twice once."""
    if not machines:
        return []
    wanted = WantedRows(states=machines, since=since, limit=limit)
    return [_cycle(row) for row in unit.rows.found(CYCLE, [department], wanted)]


def _cycle(row: Row) -> MachineCycle:
    figures = {
        name: float(value)
        for name, value in row.fields.items()
        if isinstance(value, (int, float)) and not isinstance(value, bool)
    }
    return MachineCycle(
        id=row.id,
        machine=row.state,
        at=row.updated,
        program=row.title,
        kind=str(row.fields.get("kind", "")),
        file_name=str(row.fields.get("file_name", "")),
        outcome=str(row.fields.get("outcome", "")),
        figures=figures,
        also=str(row.fields.get("also", "")),
    )


def _moment(value: object) -> datetime | None:
    return datetime.fromisoformat(value) if isinstance(value, str) else None
