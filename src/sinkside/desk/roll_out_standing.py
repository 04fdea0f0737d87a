"""How a roll-out stands: who is ready before first use, by shift, and what each of the others lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sinkside.desk import departments, lessons
from sinkside.desk.access import Visitor, require
from sinkside.desk.observing_kept import READS
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.roll_out_documents import RollOut
from sinkside.desk.roll_outs import roll_out_in
from sinkside.desk.sign_off_records import sign_off_of
from sinkside.plain.operations import STATION_LABELS
from sinkside.records import Post
from sinkside.teach.sign_offs import Level, SignOff, State

#: A sign-off in one of these states carries work of at least its level.
_CARRIES = frozenset({State.supervised, State.holds, State.ending})
_LEVELS = tuple(Level)


@dataclass(frozen=True)
class Readiness:
    """One person of a roll-out: pseudonym, name, shift, what is there, and what they lack, in words.

    `lesson` is when they took it; `right` and `answered` count their questions; `stations` are how many of
    those asked for they are signed off at.
    """

    person: str
    name: str
    shift: str
    lesson: datetime | None
    right: int
    answered: int
    stations: int
    lacks: tuple[str, ...]

    @property
    def is_ready(self) -> bool:
        """Whether they lack nothing."""
        return not self.lacks


@dataclass(frozen=True)
class ShiftReady:
    """How many of a shift are ready, and how many must be."""

    shift: str
    name: str
    ready: int
    people: int


@dataclass(frozen=True)
class RollOutStands:
    """A roll-out with everybody in it, those that lack something first; and shift by shift."""

    roll_out: RollOut
    people: tuple[Readiness, ...]
    shifts: tuple[ShiftReady, ...]

    @property
    def ready(self) -> int:
        """How many are ready; whoever is on two shifts counts once."""
        return len({one.person for one in self.people if one.is_ready})

    @property
    def must_be(self) -> int:
        """How many must be."""
        return len({one.person for one in self.people})

    @property
    def sentence(self) -> str:
        """How it stands: 142 of 150 before first use."""
        return f"{self.ready} of {self.must_be} before first use"


def how_it_stands(archive: Archive, who: Visitor, roll_out: str, *, now: datetime) -> RollOutStands:
    """Who is ready, and what the others lack; a handful of questions to the tables, however many people.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such roll-out here.
    """
    require(who, READS)
    with archive.unit(writes=False) as unit:
        return stands_in(unit, who, roll_out_in(unit, who, roll_out), now=now)


def stands_in(unit: Unit, who: Visitor, known: RollOut, *, now: datetime) -> RollOutStands:
    """The same of a roll-out that is open already."""
    site = departments.department_in(unit, who.department)
    named = {one.id: one.name for one in site.shifts} if site else {}
    posts = [
        post
        for post in unit.roster.on(who.department, known.shifts)
        if post.until is None or post.until > now
    ]
    names = names_in(unit, {post.person for post in posts})
    facts = _Facts(
        lessons.learnt_by(unit, who.department, known.instruction, known.revision),
        unit.answers.right_of(who.department, known.instruction, known.revision),
        _signed_off(unit, who.department, known),
        names,
    )
    people = sorted(
        (_readiness(known, post, facts, now) for post in posts),
        key=lambda one: (one.is_ready, known.shifts.index(one.shift), one.name),
    )
    return RollOutStands(
        known,
        tuple(people),
        tuple(
            ShiftReady(
                shift,
                named.get(shift, shift),
                sum(one.is_ready for one in people if one.shift == shift),
                sum(one.shift == shift for one in people),
            )
            for shift in known.shifts
        ),
    )


@dataclass(frozen=True)
class _Facts:
    taken: Mapping[str, datetime]
    right: Mapping[str, tuple[int, int]]
    signed: Mapping[str, Mapping[tuple[str, str], SignOff]]
    names: Mapping[str, str]


def _signed_off(unit: Unit, department: str, known: RollOut) -> dict[str, dict[tuple[str, str], SignOff]]:
    found: dict[str, dict[tuple[str, str], SignOff]] = {}
    for standing in unit.standings.of_family(department, known.families):
        of_person = found.setdefault(standing.person, {})
        of_person[standing.family, standing.station] = sign_off_of(standing)
    return found


def _readiness(known: RollOut, post: Post, facts: _Facts, now: datetime) -> Readiness:
    right, answered = facts.right.get(post.person, (0, 0))
    signed = facts.signed.get(post.person, {})
    missing = [
        station
        for station in known.stations
        if not all(_carries(known, signed.get((family, station.value)), now) for family in known.families)
    ]
    lacks = []
    if post.person not in facts.taken:
        lacks.append("the lesson")
    if known.questions and (not answered or right * 100 < known.questions * answered):
        lacks.append(f"questions ({right} of {answered} right)" if answered else "questions")
    if missing:
        lacks.append("observed: " + ", ".join(STATION_LABELS[station].lower() for station in missing))
    return Readiness(
        person=post.person,
        name=facts.names[post.person],
        shift=post.shift,
        lesson=facts.taken.get(post.person),
        right=right,
        answered=answered,
        stations=len(known.stations) - len(missing),
        lacks=tuple(lacks),
    )


def _carries(known: RollOut, signed: SignOff | None, now: datetime) -> bool:
    if signed is None or signed.state(now) not in _CARRIES:
        return False
    return _LEVELS.index(signed.level) >= _LEVELS.index(known.level)
