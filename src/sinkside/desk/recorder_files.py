"""Which cycles one recorder file, told by its content, was handed in as: a second verdict is never alone."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.desk.ports import Unit
from sinkside.records import Row

KIND: Final = "recorder-file"


def cycles_of(unit: Unit, department: str, digest: str) -> tuple[str, ...]:
    """The cycles of a department that were made of a file with this content, oldest first."""
    row = unit.rows.get(KIND, _row_id(department, digest))
    return tuple(str(row.fields["cycles"]).split()) if row else ()


def note_cycle(unit: Unit, department: str, digest: str, cycle: str, *, now: datetime) -> None:
    """Note that a cycle was made of a file with this content."""
    known = (*cycles_of(unit, department, digest), cycle)
    fields = {"cycles": " ".join(known)}
    unit.rows.put(Row(KIND, _row_id(department, digest), department, "known", digest, now, fields=fields))


def _row_id(department: str, digest: str) -> str:
    return f"{department}:{digest}"
