"""The history of a person: what they did, their sign-offs and roles; and work that no sign-off carried."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from sinkside.bench.gaps_of_others import Worked, person_gaps
from sinkside.bench.plan import Plan
from sinkside.department import Station
from sinkside.desk.access import Visitor
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.evidence.signed_then import SignedThen
from sinkside.desk.history.gathered import PAGE, Gathered, Page, next_page
from sinkside.desk.history.telling import act_of, is_done, lines_of
from sinkside.desk.people import names_in, person_subject
from sinkside.desk.ports import Unit
from sinkside.desk.sign_off_records import family_names
from sinkside.errors import NotThere
from sinkside.journal import Event
from sinkside.records import Wanted

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


def of_person(unit: Unit, who: Visitor, person: str, page: Page) -> Gathered:
    """One page of a person's history.

    Raises:
        NotThere: if nobody of that pseudonym ever worked here.
    """
    entries = _entries(unit, who, person, page)
    here = {grant.department for grant in unit.people.grants(person)}
    if who.department not in here and (not entries or not page.is_first):
        raise NotThere("there is no such person", resource=person)
    worked = list(_worked(unit, who, person, entries))
    return Gathered(
        title=names_in(unit, [person])[person],
        about="Works here" if who.department in here else "Worked here",
        gaps=person_gaps(worked),
        lines=tuple(lines_of(unit, entries, of=person_subject(person))),
        before=next_page(entries),
    )


def _entries(unit: Unit, who: Visitor, person: str, page: Page) -> list[Event]:
    """What they did, and what was done about them, newest first; each of the two by its own index."""
    asked = (
        Wanted(actor=person, before=page.sequence, limit=PAGE),
        Wanted(subject=person_subject(person), before=page.sequence, limit=PAGE),
    )
    found = [event for wanted in asked for event in unit.journal.events(who.department, wanted)]
    every = {event.sequence: event for event in found}
    return [every[turn] for turn in sorted(every, reverse=True)][:PAGE]


def _worked(unit: Unit, who: Visitor, person: str, entries: Sequence[Event]) -> Iterator[Worked]:
    """Their work on sets by hand, with the families for which they had no sign-off in force then."""
    book, plans = SignedThen(unit, who), _Plans(unit)
    stood: dict[tuple[str, Station, str], bool] = {}
    for event in entries:
        run = str(event.data.get("run") or "")
        if event.actor != person or not is_done(event) or not run:
            continue
        plan = plans.of(run)
        station = _station(act_of(event), plan) if plan else None
        if plan is None or station is None or station in _NO_WORK:
            continue
        unsigned = []
        for family in sorted(plan.families):
            key = (run, station, family)
            if key not in stood:
                stood[key] = book.stood(person, station, family, event.at).worked_alone
            if not stood[key]:
                unsigned.append(family)
        names = family_names(unit, who.department, unsigned)
        called = tuple(names[one] for one in unsigned)
        yield Worked(event.at, station.value, called, plan.name, run)


class _Plans:
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
