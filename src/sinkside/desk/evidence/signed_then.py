"""How people were signed off at a moment that is past: worked out from the record book, not from today."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import Final

from sinkside.department import Station
from sinkside.desk import shelf
from sinkside.desk.access import Visitor
from sinkside.desk.departments import department_in
from sinkside.desk.evidence.facts import StoodThen, TaskThen
from sinkside.desk.keeping import read_kept
from sinkside.desk.people import person_subject
from sinkside.desk.ports import Unit
from sinkside.instruction import Instruction
from sinkside.journal import Event
from sinkside.records import Wanted
from sinkside.teach.sign_offs import Level, SignOff, families_of

_GIVEN: Final = "sign-off-given"
_REOPENED: Final = "sign-off-reopened"
_BY_A_TEXT: Final = "sign-offs-reopened"
_PORTION: Final = 200

#: The moment itself belongs to what was known at it.
_JUST_AFTER: Final = timedelta(microseconds=1)


def stood_then(
    unit: Unit, who: Visitor, tasks: Iterable[TaskThen], families: dict[str, tuple[str, ...]]
) -> tuple[StoodThen, ...]:
    """How everybody stood who did some tasks by hand, at the first and the last moment of theirs.

    Args:
        unit: the transaction.
        who: who asks.
        tasks: what was done.
        families: those of each member, by what the set calls it.

    A family where they stood alike at both is told once. Sign-offs are for work in this department: what
    theatre did has none.
    """
    moments: dict[tuple[str, Station, str], list[datetime]] = {}
    for one in tasks:
        if one.done is None or one.task.station in {Station.theatre, Station.transport}:
            continue
        for family in families.get(one.task.member, ()):
            moments.setdefault((one.done.by, one.task.station, family), []).append(one.done.at)
    book = SignedThen(unit, who)
    found: list[StoodThen] = []
    for (person, station, family), times in moments.items():
        first = book.stood(person, station, family, min(times))
        last = book.stood(person, station, family, max(times))
        found.append(first)
        if (first.level, first.given, first.state) != (last.level, last.given, last.state):
            found.append(last)
    return tuple(found)


class SignedThen:
    """What the record book says of sign-offs; each person is looked up once."""

    def __init__(self, unit: Unit, who: Visitor) -> None:
        self._unit = unit
        self._here = who.department
        self._of_people: dict[str, list[Event]] = {}

    def stood(self, person: str, station: Station, family: str, at: datetime) -> StoodThen:
        """How somebody stood at a moment, by the last sign-off from before it."""
        last = next((one for one in self._of(person) if _is_of(one, station, family) and one.at <= at), None)
        if last is None:
            return StoodThen(person, station, family, at)
        level = Level(str(last.data["level"]))
        until = datetime.fromisoformat(str(last.data["until"])) if last.data.get("until") else None
        opened = last.at if last.kind == _REOPENED else self._opened_by_a_text(station, family, last.at, at)
        stood = SignOff(person, family, station, level, last.at, until=until, reopened=opened)
        return StoodThen(
            person=person,
            station=station,
            family=family,
            at=at,
            level=level,
            state=stood.state(at),
            given=last.at,
            until=until,
            by=last.actor,
            evidence=str(last.data.get("evidence") or ""),
        )

    def _of(self, person: str) -> list[Event]:
        if person not in self._of_people:
            self._of_people[person] = list(self._read(person))
        return self._of_people[person]

    def _read(self, person: str) -> Iterator[Event]:
        """Every event about somebody's sign-offs, the latest first."""
        before = None
        while True:
            wanted = Wanted(
                kinds=(_GIVEN, _REOPENED), subject=person_subject(person), before=before, limit=_PORTION
            )
            portion = self._unit.journal.events(self._here, wanted)
            yield from portion
            if len(portion) < _PORTION:
                return
            before = portion[-1].sequence

    def _opened_by_a_text(
        self, station: Station, family: str, since: datetime, until: datetime
    ) -> datetime | None:
        """When an approved text last opened a family's sign-offs at a station again, in a stretch of time."""
        wanted = Wanted(kinds=(_BY_A_TEXT,), since=since + _JUST_AFTER, until=until + _JUST_AFTER)
        for event in self._unit.journal.events(self._here, wanted):
            stations = str(event.data.get("stations") or "").split(", ")
            if station.value in stations and family in self._families(event):
                return event.at
        return None

    def _families(self, event: Event) -> tuple[str, ...]:
        """The families of the device whose text an event is about."""
        _, _, instruction = event.subject.partition(":")
        revision = int(str(event.data.get("revision") or 0))
        text = read_kept(self._unit, shelf.KIND, instruction, Instruction, revision or None)
        return families_of(department_in(self._unit, self._here), text, instruction) if text else ()


def _is_of(event: Event, station: Station, family: str) -> bool:
    return (event.data.get("station"), event.data.get("family")) == (station.value, family)
