"""Check of the bench: whether runs, loads, copies and taps stand as the record book says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from sqlalchemy import Table, func, select

from sinkside.archive.bench.binding import BOUND, BOUND_COLUMNS, digest, row_name
from sinkside.archive.connection import Transaction
from sinkside.archive.schema import moment_text
from sinkside.archive.schema_bench import taps
from sinkside.archive.stored import as_stored, readable
from sinkside.journal import Event

_PORTION: Final = 500
_TAPPED: Final = "tapped"
_CALLED: Final = {"copies": "copy", "runs": "run", "loads": "load"}

Note = Callable[[str, str], None]


class BenchCheck:
    """What the events of all departments say of the bench, held against what is kept.

    A row from before events carried digests is bound with its next change; until then nothing is said of it.
    """

    def __init__(self, transaction: Transaction, note: Note) -> None:
        self._do = transaction
        self._note = note
        self._bound: dict[str, str] = {}
        self._told: dict[tuple[str, str], Event] = {}
        self._tapped: dict[str, int] = defaultdict(int)

    def saw(self, department: str, event: Event) -> None:
        """Take in an event, in the order of its chain."""
        rows = event.data.get(BOUND)
        if isinstance(rows, dict):
            self._bound.update({name: str(known) for name, known in rows.items()})
        if event.kind == _TAPPED:
            self._told[department, str(event.data.get("key"))] = event
            if len(self._told) >= _PORTION:
                self._compare_taps()

    def finish(self) -> None:
        """Look at every row, once all events have passed."""
        self._compare_taps()
        self._count_taps()
        missing = dict(self._bound)
        for table, columns in BOUND_COLUMNS.items():
            for row in self._rows(table):
                known = missing.pop(row_name(table, row["id"]), None)
                if known is not None and digest(row[name] for name in columns) != known:
                    self._note(
                        f"{_CALLED[table.name]} {row['id']}", "was altered: the record book has it otherwise"
                    )
        for name in missing:
            table_name, _, row_id = name.partition(" ")
            self._note(f"{_CALLED.get(table_name, table_name)} {row_id}", "is missing")

    def _rows(self, table: Table) -> Iterator[dict[str, Any]]:
        columns = as_stored(table.c, on_sqlite=self._do.on_sqlite)
        return (readable(row) for row in self._do.stream(select(*columns)))

    def _compare_taps(self) -> None:
        """Hold the taps of a portion of events against them, and forget both."""
        keys: dict[str, list[str]] = defaultdict(list)
        for department, key in self._told:
            keys[department].append(key)
            self._tapped[department] += 1
        columns = as_stored(taps.c, on_sqlite=self._do.on_sqlite)
        for department, wanted in keys.items():
            those = (taps.c.department == department) & taps.c.key.in_(wanted)
            found = {row["key"]: row for row in map(readable, self._do.all(select(*columns).where(those)))}
            for key in wanted:
                self._compare(f"tap {key}", found.get(key), self._told[department, key])
        self._told.clear()

    def _compare(self, place: str, row: Mapping[str, Any] | None, event: Event) -> None:
        if row is None:
            self._note(place, "is missing: the record book tells of it")
            return
        said = event.data
        act = said.get("act")
        told = {
            "act": act.get("act") if isinstance(act, dict) else None,
            "by": event.actor,
            "taken": moment_text(event.at),
            "outcome": said.get("outcome"),
            "said": said.get("said"),
            "state": said.get("state"),
            "run": said.get("run"),
        }
        for name, value in told.items():
            if row[name] != value:
                self._note(place, f"was altered: its column {name} is not what the record book says")

    def _count_taps(self) -> None:
        counted = select(taps.c.department, func.count().label("taps")).group_by(taps.c.department)
        for row in self._do.all(counted):
            more = row["taps"] - self._tapped[row["department"]]
            if more > 0:
                self._note(f"department {row['department']}", f"has {more} taps that no event tells of")
