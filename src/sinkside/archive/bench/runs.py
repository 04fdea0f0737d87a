"""Runs: sets on their way, each kept whole as text, changed by one at a time."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Final

from sqlalchemy import bindparam, insert, select, update

from sinkside.archive.bench.binding import bind
from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import plan_texts, runs, taps
from sinkside.errors import Conflict
from sinkside.records import KeptRun, PlanText

_ONE: Final = select(runs).where(runs.c.id == bindparam("wanted"))
_OF_COPY: Final = (
    select(runs)
    .where(runs.c.department == bindparam("here"), runs.c.copy == bindparam("of"))
    .order_by(runs.c.opened.desc(), runs.c.id)
)
_TOUCHED: Final = select(taps.c.run).where(
    taps.c.department == bindparam("here"),
    taps.c.act.in_(bindparam("acts", expanding=True)),
    taps.c.outcome == "done",
    taps.c.at >= bindparam("since"),
    taps.c.at < bindparam("before"),
)
#: A run is kept as text; one without deviations has an empty list of them.
_WITH_DEVIATIONS: Final = (
    select(runs)
    .where(runs.c.id.in_(_TOUCHED), runs.c.body.like('%"deviations":[{%'))
    .order_by(runs.c.opened, runs.c.id)
)
_ADD: Final = insert(runs)
_CHANGE: Final = (
    update(runs)
    .where(runs.c.id == bindparam("wanted"), runs.c.version == bindparam("before"))
    .values({name: bindparam(f"new_{name}") for name in ("state", "version", "body", "closed")})
)


class RunTable:
    """Sets on their way along their route."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, run: KeptRun) -> None:
        """Add a run with version 1, or change it into its next version.

        Raises:
            Conflict: if its version is not the next one: somebody else was quicker.
        """
        if run.version == 1:
            self._do.change(_ADD, **vars(run))
        else:
            self._change(run)
        bind(self._do, runs, vars(run))

    def _change(self, run: KeptRun) -> None:
        new = {f"new_{name}": getattr(run, name) for name in ("state", "version", "body", "closed")}
        if not self._do.change(_CHANGE, wanted=run.id, before=run.version - 1, **new):
            raise Conflict("somebody else did something with this set meanwhile", resource=run.id)

    def follow(self, text: PlanText) -> None:
        """Keep that a plan follows a revision of an instruction."""
        self._do.put(plan_texts, vars(text), key=("instruction", "revision", "plan"))

    def get(self, run: str) -> KeptRun | None:
        """A run."""
        found = self._do.first(_ONE, wanted=run)
        return KeptRun(**found) if found else None

    def of_copy(self, department: str, copy: str) -> list[KeptRun]:
        """Every run of a copy, the latest first."""
        return [KeptRun(**row) for row in self._do.all(_OF_COPY, here=department, of=copy)]

    def with_deviations(
        self, department: str, acts: Collection[str], since: datetime, before: datetime
    ) -> list[KeptRun]:
        """The runs with deviations on which some acts were done in a stretch of time, by when they opened."""
        asked = {"here": department, "acts": tuple(sorted(acts)), "since": since, "before": before}
        found = self._do.all(_WITH_DEVIATIONS, **asked)
        return [KeptRun(**row) for row in found]
