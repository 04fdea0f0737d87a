"""What reaches a thing from elsewhere and is found by it: a set's recalls and loans, what a lot was used for.

Each is one row under its thing, so that a history asks for its own and never walks through all of them.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.desk.ports import Unit
from sinkside.records import Row

KIND: Final = "concerning"
_MOST: Final = 500


def note_concerning(unit: Unit, department: str, thing: str, subject: str, *, now: datetime) -> None:
    """Keep that something, as events call it, concerns a set (by the id of its copy), a load, machine or lot.

    The row's state is the thing's id: so the rows of one thing stand together in the index.
    """
    unit.rows.put(Row(KIND, f"{thing} {subject}", department, thing, subject, now))


def concerning(unit: Unit, department: str, thing: str) -> tuple[str, ...]:
    """What concerns a thing, as events call it, the latest first."""
    rows = unit.rows.all(KIND, [department], states=(thing,), limit=_MOST)
    return tuple(row.title for row in rows)
