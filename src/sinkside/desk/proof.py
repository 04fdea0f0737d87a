"""Proof: what one person was taught, watched at and signed off for; who covers a station; as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.desk import departments, shelf, sign_offs
from sinkside.desk.access import Visitor, current, record, require
from sinkside.desk.observing_kept import READS, people_at_work
from sinkside.desk.observing_list import ObservationLine, signed_of
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_policy import policy_in
from sinkside.desk.sign_off_records import family_names, sign_off_of
from sinkside.errors import NotThere
from sinkside.plain.names import calm_name
from sinkside.plain.operations import STATION_LABELS
from sinkside.records import Standing
from sinkside.route import Station
from sinkside.teach.sign_offs import SignOff, State, in_order_of_need

EXPORTS: Final = "proof-export"

#: Answers older than this say little of what somebody knows now (the house's own rule).
_ANSWERS_SINCE: Final = timedelta(days=400)

#: What a program of tables would take for a formula.
_FORMULAS: Final = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Learnt:
    """A device of which somebody took a lesson or answered questions: when, and how many were right."""

    device: str
    revision: int
    lesson: datetime | None
    right: int
    answered: int


@dataclass(frozen=True)
class PersonProof:
    """One person's record: what they may do, what they were watched at, what they learnt.

    `stands` says how each sign-off stands at the moment, in the same order; `names` are of families and of
    those who signed.
    """

    person: str
    name: str
    shifts: tuple[str, ...]
    sign_offs: tuple[SignOff, ...]
    stands: tuple[State, ...]
    observations: tuple[ObservationLine, ...]
    learnt: tuple[Learnt, ...]
    names: Mapping[str, str]


@dataclass(frozen=True)
class Covered:
    """Who works alone with a family at a station: pseudonym, name, shifts, until when."""

    family: str
    family_name: str
    people: tuple[tuple[str, str, str, datetime | None], ...]


def proof_of(archive: Archive, who: Visitor, person: str, *, now: datetime) -> PersonProof:
    """One person's record; everybody may read their own.

    Raises:
        NotAllowed: without the right, for somebody else.
        NotThere: if nothing is known of anybody of that pseudonym here.
    """
    if person != who.person:
        require(who, READS)
    with archive.unit(writes=False) as unit:
        return proof_in(unit, who, person, now=now)


def proof_in(unit: Unit, who: Visitor, person: str, *, now: datetime) -> PersonProof:
    """The same within a transaction."""
    known = sign_offs.standings_of(unit, who.department, person)
    observations = signed_of(unit, who.department, person)
    here = {grant.department for grant in current(unit.people.grants(person), now)}
    if who.department not in here and not known and not observations:
        raise NotThere("there is no such person here", resource=person)
    policy = policy_in(unit, who.department)
    ordered = in_order_of_need(known, now, ahead=policy.ahead)
    families = family_names(unit, who.department, {one.family for one in known})
    people = names_in(unit, {person} | {one.by for one in known if one.by})
    site = departments.department_in(unit, who.department)
    shifts = {one.id: one.name for one in site.shifts} if site else {}
    posts = unit.roster.of_person(who.department, person)
    return PersonProof(
        person=person,
        name=people[person],
        shifts=tuple(shifts.get(post.shift, post.shift) for post in posts),
        sign_offs=ordered,
        stands=tuple(one.state(now, ahead=policy.ahead) for one in ordered),
        observations=observations,
        learnt=_learnt(unit, who.department, person, now),
        names={**families, **people},
    )


def cover_of(archive: Archive, who: Visitor, station: Station, *, now: datetime) -> tuple[Covered, ...]:
    """Who works alone with what at a station now, family by family; a family without anybody first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READS)
    with archive.unit(writes=False) as unit:
        known = unit.standings.families(who.department)
        families = sorted(family for family, stations in known.items() if station.value in stations)
        names = family_names(unit, who.department, families)
        alone = [
            one
            for one in map(sign_off_of, unit.standings.of_family(who.department, families))
            if one.station is station and one.allows_alone(now)
        ]
        people = names_in(unit, {one.who for one in alone})
        on = _shifts_of(unit, who, {one.who for one in alone})
    found = [
        Covered(
            family,
            names[family],
            tuple(
                sorted(
                    (
                        (one.who, people[one.who], on.get(one.who, ""), one.until)
                        for one in alone
                        if one.family == family
                    ),
                    key=lambda line: (line[2], line[1]),
                )
            ),
        )
        for family in families
    ]
    return tuple(sorted(found, key=lambda one: (bool(one.people), one.family_name)))


def people_proved(archive: Archive, who: Visitor, *, now: datetime) -> tuple[tuple[str, str], ...]:
    """Who learns or works here, as pseudonym and name, by name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READS)
    with archive.unit(writes=False) as unit:
        return people_at_work(unit, who, now)


def export_proof(archive: Archive, who: Visitor, *, now: datetime) -> bytes:
    """Every sign-off here as a table for programs (UTF-8, RFC 4180), with an event that says it was taken.

    Whoever was erased stands as a pseudonym; nobody else's data but names and work are in it.

    Raises:
        NotAllowed: without the right.
    """
    require(who, EXPORTS)
    with archive.unit() as unit:
        families = unit.standings.families(who.department)
        rows = unit.standings.of_family(who.department, sorted(families))
        named = family_names(unit, who.department, sorted(families))
        people = {one.person for one in rows} | {str(one.fields.get("by") or "") for one in rows}
        names = names_in(unit, people - {""})
        table = io.StringIO()
        writer = csv.writer(table, lineterminator="\r\n")
        writer.writerow(_HEAD)
        writer.writerows(_line(one, named, names, now) for one in rows)
        data = {"sign_offs": len(rows)}
        record(unit, who, "proof-exported", f"department:{who.department}", now=now, data=data)
    return table.getvalue().encode()


_HEAD: Final = (
    "person",
    "name",
    "device family",
    "station",
    "level",
    "stands",
    "given",
    "until",
    "signed by",
    "shown by",
)


def _line(
    one: Standing, families: Mapping[str, str], names: Mapping[str, str], now: datetime
) -> tuple[str, ...]:
    given = sign_off_of(one)
    return tuple(
        map(
            _plain,
            (
                given.who,
                names[given.who],
                families.get(given.family, given.family),
                STATION_LABELS[given.station],
                given.level.value,
                given.state(now).value,
                given.given.isoformat(),
                given.until.isoformat() if given.until else "",
                names.get(given.by, given.by),
                "; ".join(given.evidence),
            ),
        )
    )


def _plain(text: str) -> str:
    """A cell that no program of tables takes for a formula.

    >>> _plain("=1+1"), _plain("Ada")
    ("'=1+1", 'Ada')
    """
    return f"'{text}" if text.startswith(_FORMULAS) else text


def _shifts_of(unit: Unit, who: Visitor, people: Iterable[str]) -> dict[str, str]:
    """On which shifts people are, in words."""
    site = departments.department_in(unit, who.department)
    named = {one.id: one.name for one in site.shifts} if site else {}
    wanted, found = set(people), dict[str, list[str]]()
    for post in unit.roster.on(who.department, list(named)):
        if post.person in wanted:
            found.setdefault(post.person, []).append(named[post.shift])
    return {person: ", ".join(shifts) for person, shifts in found.items()}


def _learnt(unit: Unit, department: str, person: str, now: datetime) -> tuple[Learnt, ...]:
    """By device and revision, when the last part of a lesson was taken, and how many answers were right."""
    taken: dict[tuple[str, int], datetime] = {}
    for part in unit.learning.of_person(department, person):
        key = (part.instruction, part.revision)
        taken[key] = max(part.at, taken.get(key, part.at))
    counted: dict[tuple[str, int], list[bool]] = {}
    for answer in unit.answers.of_person(department, person, since=now - _ANSWERS_SINCE):
        counted.setdefault((answer.instruction, answer.revision), []).append(answer.is_right)
    keys = sorted(taken.keys() | counted.keys())
    titles = unit.rows.titles(shelf.KIND, {instruction for instruction, _ in keys})
    return tuple(
        Learnt(
            calm_name(titles.get(key[0], key[0])),
            key[1],
            taken.get(key),
            sum(counted.get(key, ())),
            len(counted.get(key, ())),
        )
        for key in keys
    )
