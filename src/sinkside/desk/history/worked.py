"""Work on sets by hand as the record book tells it, and which of it no sign-off carried at its moment."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from sinkside.bench.gaps_of_others import Worked
from sinkside.bench.plan import Plan
from sinkside.department import Station
from sinkside.desk.access import Visitor
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.evidence.signed_then import SignedThen
from sinkside.desk.history.telling import act_of, is_done
from sinkside.desk.ports import Unit
from sinkside.desk.sign_off_records import family_names
from sinkside.journal import Event

#: At which station acts are done that do not say so themselves.
_AT: Final[Mapping[str, Station]] = {
    "take-up": Station.sink,
    "look": Station.bench,
    "look-all": Station.bench,
    "pack": Station.packing,
    "put-in": Station.packing,
}
#: What others do is no work on devices.
_NO_WORK: Final = frozenset({Station.theatre, Station.transport, Station.washer, Station.store})


def worked_on(unit: Unit, who: Visitor, entries: Sequence[Event]) -> Iterator[tuple[str, Worked]]:
    """Work on sets by hand: who did it, and the families for which they had no sign-off in force then.

    How somebody stood is asked once a run and station, by the last act there.
    """
    book, plans = SignedThen(unit, who), Plans(unit)
    stood: dict[tuple[str, str, Station, str], bool] = {}
    for event in entries:
        run = str(event.data.get("run") or "")
        if not is_done(event) or not run:
            continue
        plan = plans.of(run)
        station = _station(act_of(event), plan) if plan else None
        if plan is None or station is None or station in _NO_WORK:
            continue
        unsigned = []
        for family in sorted(plan.families):
            key = (event.actor, run, station, family)
            if key not in stood:
                stood[key] = book.stood(event.actor, station, family, event.at).worked_alone
            if not stood[key]:
                unsigned.append(family)
        names = family_names(unit, who.department, unsigned) if unsigned else {}
        called = tuple(names[one] for one in unsigned)
        yield event.actor, Worked(event.at, station.value, called, plan.name, run)


class Plans:
    """The plans of runs; each run and plan is read once."""

    def __init__(self, unit: Unit) -> None:
        self._unit = unit
        self._runs: dict[str, Plan | None] = {}
        self._plans: dict[str, Plan] = {}

    def of(self, run: str) -> Plan | None:
        """The plan of a run; none where that is gone."""
        if run not in self._runs:
            kept = self._unit.bench.runs.get(run)
            self._runs[run] = self._read(kept.plan) if kept and kept.plan else None
        return self._runs[run]

    def _read(self, plan: str) -> Plan:
        if plan not in self._plans:
            self._plans[plan] = plan_in(self._unit, plan)
        return self._plans[plan]


def _station(act: Mapping[str, Any], plan: Plan) -> Station | None:
    """At which station an act was done; none for what is no work on devices."""
    if act.get("station"):
        return Station(str(act["station"]))
    task = next((one for one in plan.tasks if one.id == act.get("task")), None)
    return task.station if task else _AT.get(str(act.get("act")))
