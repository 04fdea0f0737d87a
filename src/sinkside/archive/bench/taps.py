"""Taps: every act at a bench with what came of it, once by key, in the order of each bench's queue."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import bindparam, func, insert, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import taps
from sinkside.records import KeptTap

_ONE: Final = select(taps).where(taps.c.department == bindparam("here"), taps.c.key == bindparam("wanted"))
_LAST: Final = select(func.max(taps.c.number)).where(
    taps.c.department == bindparam("here"), taps.c.bench == bindparam("of")
)
_ON_COPY: Final = (
    select(taps)
    .where(taps.c.department == bindparam("here"), taps.c.copy == bindparam("of"))
    .order_by(taps.c.at, taps.c.taken, taps.c.key)
)
_ON_RUN: Final = (
    select(taps)
    .where(
        taps.c.department == bindparam("here"),
        taps.c.copy == bindparam("of"),
        taps.c.at >= bindparam("since"),
        taps.c.run == bindparam("on"),
    )
    .order_by(taps.c.at, taps.c.taken, taps.c.key)
)
_REFUSED: Final = (
    select(taps)
    .where(taps.c.department == bindparam("here"), taps.c.outcome == "refused")
    .order_by(taps.c.taken.desc(), taps.c.key)
    .limit(bindparam("most"))
)
_ADD: Final = insert(taps)


class TapTable:
    """Every act at a bench."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def keep(self, tap: KeptTap) -> None:
        """Keep a tap, once.

        Raises:
            Conflict: if one with its key is kept.
        """
        self._do.change(_ADD, **vars(tap))

    def get(self, department: str, key: str) -> KeptTap | None:
        """A tap by its key."""
        found = self._do.first(_ONE, here=department, wanted=key)
        return KeptTap(**found) if found else None

    def last_number(self, department: str, bench: str) -> int:
        """The number of the last tap of a bench's queue; 0 before the first."""
        return int(self._do.value(_LAST, here=department, of=bench) or 0)

    def on_copy(self, department: str, copy: str) -> list[KeptTap]:
        """What was done with a copy, the oldest first."""
        return [KeptTap(**row) for row in self._do.all(_ON_COPY, here=department, of=copy)]

    def on_run(self, department: str, copy: str, run: str, *, since: datetime) -> list[KeptTap]:
        """What was done with a copy on one of its runs, the oldest first; nothing from before a moment."""
        found = self._do.all(_ON_RUN, here=department, of=copy, on=run, since=since)
        return [KeptTap(**row) for row in found]

    def refused(self, department: str, *, most: int = 100) -> list[KeptTap]:
        """Taps that were refused, the latest first."""
        return [KeptTap(**row) for row in self._do.all(_REFUSED, here=department, most=most)]
