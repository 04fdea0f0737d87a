"""Loads: what machines process at once, and what lay in them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Final

from sqlalchemy import bindparam, select

from sinkside.archive.bench.binding import bind
from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import loaded, loads
from sinkside.records import KeptLoad, LoadedCopy

_ONE: Final = select(loads).where(loads.c.id == bindparam("wanted"))
_OF_CYCLE: Final = select(loads).where(
    loads.c.department == bindparam("here"), loads.c.cycle == bindparam("of")
)
_BY_STATE: Final = (
    select(loads)
    .where(loads.c.department == bindparam("here"), loads.c.state.in_(bindparam("wanted", expanding=True)))
    .order_by(loads.c.opened.desc(), loads.c.id)
    .limit(bindparam("most"))
)
_OF_MACHINE: Final = (
    select(loads)
    .where(
        loads.c.department == bindparam("here"),
        loads.c.machine == bindparam("of"),
        loads.c.opened >= bindparam("since"),
    )
    .order_by(loads.c.opened, loads.c.id)
)
_BEGUN: Final = (
    select(loads)
    .where(
        loads.c.department == bindparam("here"),
        loads.c.machine.in_(bindparam("machines", expanding=True)),
        loads.c.started >= bindparam("since"),
        loads.c.started < bindparam("before"),
    )
    .order_by(loads.c.started, loads.c.id)
)
_LATEST_OF_MACHINE: Final = (
    select(loads)
    .where(
        loads.c.department == bindparam("here"),
        loads.c.machine == bindparam("of"),
        loads.c.opened < bindparam("before"),
    )
    .order_by(loads.c.opened.desc(), loads.c.id)
    .limit(bindparam("most"))
)
_IN_LOAD: Final = select(loaded).where(loaded.c.load == bindparam("of")).order_by(loaded.c.at, loaded.c.copy)
_ON_RUN: Final = select(loaded).where(loaded.c.run == bindparam("of")).order_by(loaded.c.at, loaded.c.load)
_OF_COPY: Final = select(loaded).where(loaded.c.copy == bindparam("of")).order_by(loaded.c.at, loaded.c.load)


class LoadTable:
    """What machines process at once."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, load: KeptLoad) -> None:
        """Add a load, or change it."""
        self._do.put(loads, vars(load), key=("id",))
        bind(self._do, loads, vars(load))

    def get(self, load: str) -> KeptLoad | None:
        """A load."""
        found = self._do.first(_ONE, wanted=load)
        return KeptLoad(**found) if found else None

    def of_cycle(self, department: str, cycle: str) -> KeptLoad | None:
        """The load that a cycle's record belongs to."""
        found = self._do.first(_OF_CYCLE, here=department, of=cycle)
        return KeptLoad(**found) if found else None

    def standing(self, department: str, states: Sequence[str], *, most: int = 200) -> list[KeptLoad]:
        """Loads that stand so, the latest first."""
        found = self._do.all(_BY_STATE, here=department, wanted=tuple(states), most=most)
        return [KeptLoad(**row) for row in found]

    def of_machine(self, department: str, machine: str, *, since: datetime) -> list[KeptLoad]:
        """A machine's loads since a moment, the oldest first."""
        return [
            KeptLoad(**row) for row in self._do.all(_OF_MACHINE, here=department, of=machine, since=since)
        ]

    def begun(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[KeptLoad]:
        """The loads that some machines began from a moment on and before another, in their order."""
        bound = {"here": department, "machines": tuple(sorted(machines)), "since": since, "before": before}
        return [KeptLoad(**row) for row in self._do.all(_BEGUN, **bound)]

    def latest_of_machine(
        self, department: str, machine: str, *, before: datetime, most: int
    ) -> list[KeptLoad]:
        """So many of a machine's loads from before a moment, the latest first."""
        found = self._do.all(_LATEST_OF_MACHINE, here=department, of=machine, before=before, most=most)
        return [KeptLoad(**row) for row in found]

    def keep_in(self, copy: LoadedCopy) -> None:
        """Keep that a copy lies in a load, or was taken out."""
        self._do.put(loaded, vars(copy), key=("load", "copy"))

    def in_load(self, load: str) -> list[LoadedCopy]:
        """What lay in a load, taken out or not, in the order in which it went in."""
        return [LoadedCopy(**row) for row in self._do.all(_IN_LOAD, of=load)]

    def of_run(self, run: str) -> list[LoadedCopy]:
        """The loads of a run, the oldest first."""
        return [LoadedCopy(**row) for row in self._do.all(_ON_RUN, of=run)]

    def of_copy(self, copy: str) -> list[LoadedCopy]:
        """Every load that a copy ever lay in, the oldest first."""
        return [LoadedCopy(**row) for row in self._do.all(_OF_COPY, of=copy)]
