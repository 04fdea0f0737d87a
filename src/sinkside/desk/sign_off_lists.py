"""Lists of sign-offs by what is to be done next, and whoever can do a tray now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.department import WORKED_AT, Shift
from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.cover import Gap, gaps_of, shift_names
from sinkside.desk.departments import department_in
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.roster import on_now
from sinkside.desk.set_texts import texts_of
from sinkside.desk.sign_off_policy import GIVE, READ, policy_in
from sinkside.desk.sign_off_records import family_names, known_family, sign_off_of
from sinkside.plain.operations import station_label, stations_of
from sinkside.records import Standing, WantedStandings
from sinkside.route import Station
from sinkside.teach.sign_offs import SignOff, State, families_of, in_order_of_need

#: What is to be done next, in the order in which it is seen to.
TO_DO: Final = (State.open_again, State.ended, State.not_yet, State.supervised, State.ending)

#: Counting stops here: whoever reads "more than 200" needs no number.
MOST_COUNTED: Final = 200

#: Of so few people one asks one by one; of more, whoever is due is looked up on the roster.
_FEW: Final = 30

#: So many lines are decisions of their own; who has more goes by the list.
_MOST_OPEN: Final = 100
_INSTANT: Final = timedelta(microseconds=1)


@dataclass(frozen=True)
class ToDo:
    """One person and family with the stations at which the same is to be done."""

    person: str
    family: str
    stations: tuple[Station, ...]
    first: SignOff

    @property
    def at(self) -> str:
        """The stations in words: sink, bench."""
        return ", ".join(station_label(station).lower() for station in self.stations)


@dataclass(frozen=True)
class ToDoList:
    """What is to be done of one kind: lines, how many sign-offs these are, how many there are in all.

    `next_offset` is where the next page begins; 0 where this is the last. `total` counts to a bound.
    """

    state: State
    lines: tuple[ToDo, ...]
    next_offset: int
    total: int


@dataclass(frozen=True)
class Seen:
    """Lists of what is to be done, with the names of people, families and shifts in them."""

    lists: tuple[ToDoList, ...]
    names: Mapping[str, str]
    families: Mapping[str, str]
    shifts: Mapping[str, str]
    ahead: timedelta


def what_is_to_do(
    archive: Archive,
    who: Visitor,
    *,
    now: datetime,
    shift: str = "",
    state: State | None = None,
    offset: int = 0,
    limit: int = 12,
) -> Seen:
    """What is to be done next: all kinds with their first lines, or a page of one.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        ahead = policy_in(unit, who.department).ahead
        asked = _Asked(unit, who.department, now, ahead, shift)
        lists = tuple(asked.of(one, offset, limit) for one in ([state] if state else TO_DO))
        lines = [line for one in lists for line in one.lines]
        return Seen(
            lists=lists,
            names=names_in(unit, {line.person for line in lines}),
            families=family_names(unit, who.department, {line.family for line in lines}),
            shifts=shift_names(unit, who.department),
            ahead=ahead,
        )


@dataclass(frozen=True)
class OpenHere:
    """What is open again, one's own or everybody's; how many sign-offs ended, and how many end soon."""

    lines: tuple[ToDo, ...]
    ended: int
    ending: int
    ahead: timedelta
    names: Mapping[str, str]
    families: Mapping[str, str]


def open_here(unit: Unit, who: Visitor, *, now: datetime) -> OpenHere:
    """What somebody sees to: who gives sign-offs everybody's, anybody else their own that is open again."""
    ahead = policy_in(unit, who.department).ahead
    if not who.may(GIVE):
        own = [
            one
            for one in unit.standings.of_person(who.department, who.person)
            if one.state == State.open_again.value
        ]
        lines = tuple(_merged(own))
        return OpenHere(lines, 0, 0, ahead, {}, family_names(unit, who.department, _families(lines)))
    asked = _Asked(unit, who.department, now, ahead, "")
    lines = asked.of(State.open_again, 0, _MOST_OPEN).lines
    return OpenHere(
        lines=lines,
        ended=asked.count(State.ended),
        ending=asked.count(State.ending),
        ahead=ahead,
        names=names_in(unit, {line.person for line in lines}),
        families=family_names(unit, who.department, _families(lines)),
    )


def _families(lines: Iterable[ToDo]) -> set[str]:
    return {line.family for line in lines}


class _Asked:
    """The lists of one department at one moment, of everybody or of a shift."""

    def __init__(self, unit: Unit, department: str, now: datetime, ahead: timedelta, shift: str) -> None:
        self._unit, self._department, self._shift = unit, department, shift
        #: What ends at this very moment has ended.
        self._now, self._ahead = now + _INSTANT, now + ahead + _INSTANT
        on_it = unit.roster.on(department, [shift]) if shift else []
        self._few = tuple(post.person for post in on_it) if len(on_it) <= _FEW else ()
        self._nobody = bool(shift) and not on_it

    def of(self, state: State, offset: int, limit: int) -> ToDoList:
        """A page of one kind."""
        if self._nobody:
            return ToDoList(state, (), 0, 0)
        # One line takes a station each at most; a line more tells whether the last is whole.
        rows = limit * len(Station)
        found = self._unit.standings.due(self._department, self._wanted(state, rows + 1, offset))
        lines = _merged(found)
        used = sum(len(line.stations) for line in lines[:limit])
        total = self.count(state)
        more = len(lines) > limit
        return ToDoList(state, tuple(lines[:limit]), offset + used if more else 0, total)

    def count(self, state: State) -> int:
        """How many sign-offs there are of a kind, up to a bound."""
        wanted = self._wanted(state, MOST_COUNTED + 1, 0)
        return self._unit.standings.count_due(self._department, wanted)

    def _wanted(self, state: State, limit: int, offset: int) -> WantedStandings:
        kept, since, before = {
            State.ended: ("independent", None, self._now),
            State.ending: ("independent", self._now, self._ahead),
        }.get(state, (state.value, None, None))
        return WantedStandings(
            kept,
            since=since,
            before=before,
            shift=self._shift,
            persons=self._few,
            limit=limit,
            offset=offset,
        )


def _merged(found: Iterable[Standing]) -> list[ToDo]:
    """Neighbours of one person and family of which the same is to be done, as one line."""
    lines: list[ToDo] = []
    for standing in found:
        one = sign_off_of(standing)
        last = lines[-1] if lines else None
        if last and _is_same(last.first, one):
            lines[-1] = ToDo(last.person, last.family, (*last.stations, one.station), last.first)
        else:
            lines.append(ToDo(one.who, one.family, (one.station,), one))
    return lines


def _is_same(one: SignOff, other: SignOff) -> bool:
    told = [(o.who, o.family, o.level, o.reopened, o.changes, o.until) for o in (one, other)]
    return told[0] == told[1]


@dataclass(frozen=True)
class FamilySeen:
    """One family: everybody's sign-offs in the order of need, posts by person, and its gaps."""

    family: str
    name: str
    sign_offs: tuple[SignOff, ...]
    shifts_of: Mapping[str, tuple[str, ...]]
    names: Mapping[str, str]
    shifts: Mapping[str, str]
    gaps: tuple[Gap, ...]
    ahead: timedelta


def see_family(archive: Archive, who: Visitor, family: str, *, now: datetime) -> FamilySeen:
    """One family with everybody who stands for it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such family here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known_family(unit, who.department, family)
        ahead = policy_in(unit, who.department).ahead
        found = [one for one in unit.standings.of_family(who.department, [family]) if one.state != "closed"]
        people = {one.person for one in found}
        shifts = shift_names(unit, who.department)
        posts: defaultdict[str, list[str]] = defaultdict(list)
        for post in unit.roster.on(who.department, list(shifts)):
            if post.person in people and (post.until is None or post.until > now):
                posts[post.person].append(post.shift)
        return FamilySeen(
            family=family,
            name=family_names(unit, who.department, [family])[family],
            sign_offs=in_order_of_need((sign_off_of(one) for one in found), now, ahead=ahead),
            shifts_of={person: tuple(on) for person, on in posts.items()},
            names=names_in(unit, people),
            shifts=shifts,
            gaps=gaps_of(unit, who.department, family, until=now + ahead),
            ahead=ahead,
        )


@dataclass(frozen=True)
class StationTonight:
    """One station of a tray: who on now may do all of it alone, who part of it, and what nobody may.

    `part` names the families that somebody lacks; `nobody` those that nobody on now may do alone.
    """

    station: Station
    able: tuple[str, ...]
    part: Mapping[str, tuple[str, ...]]
    nobody: tuple[str, ...]


@dataclass(frozen=True)
class TrayTonight:
    """Who on now can do a tray: the shifts that are on, station by station, and devices without a text."""

    name: str
    shifts: tuple[Shift, ...]
    on: int
    stations: tuple[StationTonight, ...]
    unknown: tuple[str, ...]
    names: Mapping[str, str]
    families: Mapping[str, str]


def tray_tonight(archive: Archive, who: Visitor, key: str, *, now: datetime) -> TrayTonight:
    """Who on the shift now can do a set: its devices, their families, the stations of their steps.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        document = sets.set_in(unit, who, key).document
        department = department_in(unit, who.department)
        asked: defaultdict[Station, set[str]] = defaultdict(set)
        unknown = []
        for called, found in texts_of(unit, who, document).items():
            text = found.instruction
            if text is None or found.row is None:
                unknown.append(called)
                continue
            of_device = families_of(department, text, found.row.id)
            for station in set(stations_of(text.steps).values()) & set(WORKED_AT):
                asked[station].update(of_device)
        shifts, on = on_now(unit, who.department, now)
        families = {family for some in asked.values() for family in some}
        able = _able(unit, who.department, families, [one.id for one in shifts], now)
        stations = tuple(
            _at_station(station, asked[station], able, on) for station in WORKED_AT if station in asked
        )
        people = {person for one in stations for person in (*one.able, *one.part)}
        names = names_in(unit, people)
        return TrayTonight(
            name=document.name,
            shifts=shifts,
            on=len(on),
            stations=stations,
            unknown=tuple(unknown),
            names=names,
            families=family_names(unit, who.department, families),
        )


def _able(
    unit: Unit, department: str, families: Iterable[str], shifts: Sequence[str], now: datetime
) -> Mapping[tuple[Station, str], set[str]]:
    """Who of some shifts may work alone, by station and family."""
    able: defaultdict[tuple[Station, str], set[str]] = defaultdict(set)
    for family, station, person in unit.standings.alone(department, list(families), shifts, now):
        able[Station(station), family].add(person)
    return able


def _at_station(
    station: Station,
    families: set[str],
    able: Mapping[tuple[Station, str], set[str]],
    on: frozenset[str],
) -> StationTonight:
    by_family = {family: able.get((station, family), set()) & on for family in families}
    anybody: set[str] = set().union(*by_family.values())
    every = anybody.intersection(*by_family.values())
    return StationTonight(
        station=station,
        able=tuple(sorted(every)),
        part={
            person: tuple(sorted(family for family, who in by_family.items() if person not in who))
            for person in sorted(anybody - every)
        },
        nobody=tuple(sorted(family for family, who in by_family.items() if not who)),
    )
