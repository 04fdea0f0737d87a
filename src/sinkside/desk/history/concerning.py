"""What reaches a set from elsewhere and is found by it: recalls, loans and repairs.

Each is one row under its set, so that a set's history asks for its own and never walks through all of them.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.desk.ports import Unit
from sinkside.records import Row

KIND: Final = "concerning"
_MOST: Final = 200


def note_concerning(unit: Unit, department: str, copy: str, subject: str, *, now: datetime) -> None:
    """Keep that something, as events call it, concerns a set.

    The row's state is the set's id: so the rows of one set stand together in the index.
    """
    unit.rows.put(Row(KIND, f"{copy} {subject}", department, copy, subject, now))


def concerning(unit: Unit, department: str, copy: str) -> tuple[str, ...]:
    """What concerns a set, as events call it, the latest first."""
    rows = unit.rows.all(KIND, [department], states=(copy,), limit=_MOST)
    return tuple(row.title for row in rows)
