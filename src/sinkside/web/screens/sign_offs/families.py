"""Device families by what gapes first, and one family: its stations shift by shift, and its people."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Final

from sinkside.desk.cover import families_covered
from sinkside.desk.sign_off_lists import FamilySeen, see_family
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, SignOff, State
from sinkside.web.asked import Asked
from sinkside.web.screens.sign_offs.shelf import PLACE, READ, Part, Text, screen
from sinkside.web.sign_off_words import StateShown, gaps_said, since_said, state_shown, stations_said

_AT_ONCE: Final = 40
_PEOPLE_AT_ONCE: Final = 60


@dataclass(frozen=True)
class FamilyLine:
    """One family: where it opens, its name, its gaps now and ahead, in sentences."""

    address: str
    name: str
    now: tuple[str, ...]
    ahead: tuple[str, ...]


@dataclass(frozen=True)
class FamiliesPage:
    """Every family that somebody is signed off for, what gapes first at the head."""

    title: str
    address: str
    text: str
    families: tuple[FamilyLine, ...]
    before: str
    after: str
    weeks_words: str


@dataclass(frozen=True)
class StationLine:
    """One station, and shift by shift how many work alone there and what else is to be said."""

    station: str
    shifts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class StandsLine:
    """One person: their page, name, shifts, the stations at which they stand so, since or until when."""

    address: str
    name: str
    shifts: str
    state: StateShown
    stations: str
    since: str


@dataclass(frozen=True)
class FamilyPage:
    """One family: gaps, stations shift by shift, and everybody who stands for it, most pressing first."""

    title: str
    families: str
    now: tuple[str, ...]
    ahead: tuple[str, ...]
    stations: tuple[StationLine, ...]
    people: tuple[StandsLine, ...]
    before: str
    after: str


@screen.page(f"{PLACE}/families", right=READ, template="sign_off_families.html")
def families(asked: Asked, *, text: Text = "", part: Part = 1) -> FamiliesPage:
    """Device families, what gapes first at the head."""
    offset = (part - 1) * _AT_ONCE
    seen = families_covered(
        asked.archive, asked.visitor, now=asked.now, text=text, offset=offset, limit=_AT_ONCE + 1
    )
    address, zone = asked.at("/sign-offs/families"), asked.visitor.zone
    more = len(seen.families) > _AT_ONCE
    return FamiliesPage(
        title="Families and gaps",
        address=address,
        text=text,
        families=tuple(
            FamilyLine(
                address=f"{address}/{one.family}",
                name=one.name,
                now=gaps_said(
                    (gap for gap in one.gaps if gap.is_now(asked.now)), seen.shifts, zone, word="since"
                ),
                ahead=gaps_said(
                    (gap for gap in one.gaps if not gap.is_now(asked.now)), seen.shifts, zone, word="from"
                ),
            )
            for one in seen.families[:_AT_ONCE]
        ),
        before=f"{address}?text={text}&part={part - 1}" if part > 1 else "",
        after=f"{address}?text={text}&part={part + 1}" if more else "",
        weeks_words=f"{seen.total} {'family' if seen.total == 1 else 'families'}",
    )


@screen.page(f"{PLACE}/families/{{device_family}}", right=READ, template="sign_off_family.html")
def family(asked: Asked, device_family: str, *, part: Part = 1) -> FamilyPage:
    """One family with everybody who stands for it."""
    seen = see_family(asked.archive, asked.visitor, device_family, now=asked.now)
    zone, address = asked.visitor.zone, asked.at(f"/sign-offs/families/{device_family}")
    lines = _people(asked, seen)
    start = (part - 1) * _PEOPLE_AT_ONCE
    shifts = dict(seen.shifts)
    return FamilyPage(
        title=seen.name,
        families=asked.at("/sign-offs/families"),
        now=gaps_said((gap for gap in seen.gaps if gap.is_now(asked.now)), shifts, zone, word="since"),
        ahead=gaps_said((gap for gap in seen.gaps if not gap.is_now(asked.now)), shifts, zone, word="from"),
        stations=_stations(asked, seen),
        people=lines[start : start + _PEOPLE_AT_ONCE],
        before=f"{address}?part={part - 1}" if part > 1 else "",
        after=f"{address}?part={part + 1}" if len(lines) > start + _PEOPLE_AT_ONCE else "",
    )


def _people(asked: Asked, seen: FamilySeen) -> tuple[StandsLine, ...]:
    """A line for each person and state, in the order of need."""
    grouped: dict[tuple[str, State, str], list[SignOff]] = {}
    for one in seen.sign_offs:
        state = one.state(asked.now, ahead=seen.ahead)
        since = since_said(one, state, asked.visitor.zone)
        grouped.setdefault((one.who, state, since), []).append(one)
    return tuple(
        StandsLine(
            address=asked.at(f"/sign-offs/people/{person}?family={seen.family}"),
            name=seen.names[person],
            shifts=", ".join(seen.shifts[shift] for shift in seen.shifts_of.get(person, ())) or "no shift",
            state=state_shown(state),
            stations=stations_said(one.station for one in some),
            since=since,
        )
        for (person, state, since), some in grouped.items()
    )


def _stations(asked: Asked, seen: FamilySeen) -> tuple[StationLine, ...]:
    alone: defaultdict[tuple[Station, str], int] = defaultdict(int)
    beside: defaultdict[tuple[Station, str], int] = defaultdict(int)
    for one in seen.sign_offs:
        for shift in seen.shifts_of.get(one.who, ()):
            if one.allows_alone(asked.now):
                alone[one.station, shift] += 1
            elif one.level is not Level.not_yet:
                beside[one.station, shift] += 1
    known = {one.station for one in seen.sign_offs}
    return tuple(
        StationLine(
            station_label(station),
            tuple(
                (name, _counted(alone[station, shift], beside[station, shift]))
                for shift, name in seen.shifts.items()
            ),
        )
        for station in Station
        if station in known
    )


def _counted(alone: int, beside: int) -> str:
    first = f"{alone} alone" if alone else "▲ nobody alone"
    return f"{first}, {beside} beside somebody" if beside else first
