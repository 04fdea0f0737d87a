"""People as the verbs about them share them: names behind pseudonyms, and who may manage whom."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from sinkside.desk.access import MANAGES_PEOPLE, Visitor, current, policy, require
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import Person

#: What the program does by itself it does in its own name.
_PROGRAM: Final = {"system": "Sinkside"}


def names_of(archive: Archive, people: Iterable[str]) -> dict[str, str]:
    """The names behind pseudonyms, for a page; whoever was erased stays a pseudonym."""
    with archive.unit(writes=False) as unit:
        return names_in(unit, people)


def names_in(unit: Unit, people: Iterable[str]) -> dict[str, str]:
    """The names behind pseudonyms; whoever was erased stays a pseudonym."""
    wanted = set(people)
    return {person: _PROGRAM.get(person, person) for person in wanted} | unit.people.names(wanted)


def name_of(unit: Unit, person: str) -> str:
    """The name behind a pseudonym; whoever was erased stays a pseudonym."""
    return names_in(unit, [person])[person]


def person_subject(person: str) -> str:
    """How a person stands in events."""
    return f"person:{person}"


def departments_with(unit: Unit, person: str, now: datetime) -> list[str]:
    """Where somebody manages people now."""
    return [
        grant.department
        for grant in current(unit.people.grants(person), now)
        if MANAGES_PEOPLE in policy().roles[grant.role].rights
    ]


def known_person(unit: Unit, person: str) -> Person:
    """A person by their pseudonym.

    Raises:
        NotThere: if there is none.
    """
    known = unit.people.get(person)
    if known is None:
        raise NotThere("there is no such person", resource=person)
    return known


def managed_person(unit: Unit, who: Visitor, person: str, now: datetime) -> Person:
    """A person whom somebody may manage: they do so wherever that person has a role.

    Else an administrator of one department could take over an account and act through it in another.
    """
    require(who, MANAGES_PEOPLE)
    known = known_person(unit, person)
    grants = unit.people.grants(person)
    if who.department not in {grant.department for grant in grants}:
        raise NotThere("there is no such person", resource=person)
    elsewhere = {grant.department for grant in current(grants, now)} - {who.department}
    if not elsewhere <= set(departments_with(unit, who.person, now)):
        raise NotAllowed(
            "this person also works in another department; somebody who manages people there too must do it"
        )
    return known


def person_within_reach(unit: Unit, who: Visitor, person: str, now: datetime) -> Person:
    """A person who may be given a role here: they have or had one, or one manages people wherever they have.

    Else whoever learnt a pseudonym could fetch the person behind it, and read the name.

    Raises:
        NotThere: if they are out of reach, or nobody.
    """
    known = known_person(unit, person)
    places = {grant.department for grant in unit.people.grants(person)}
    if who.department not in places and not places <= set(departments_with(unit, who.person, now)):
        raise NotThere("there is no such person", resource=person)
    return known


def somebody_manages(unit: Unit, departments: Iterable[str]) -> None:
    """Refuse what leaves a department without anybody who manages its people."""
    for department in departments:
        managing = (
            unit.people.get(grant.person)
            for grant in unit.people.grants_in(department)
            if grant.until is None and MANAGES_PEOPLE in policy().roles[grant.role].rights
        )
        if not any(person is not None and not person.disabled for person in managing):
            raise BadInput("nobody would be left who manages people in this department")


def readers_here(archive: Archive, who: Visitor, now: datetime) -> tuple[tuple[str, str], ...]:
    """Who may read instructions in this department now, as pseudonym and name, by name.

    Raises:
        NotAllowed: if they may not themselves.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        reading = {
            grant.person
            for grant in current(unit.people.grants_in(who.department), now)
            if "instruction-read" in policy().roles[grant.role].rights
        }
        names = names_in(unit, reading)
    return tuple(sorted(((person, names[person]) for person in reading), key=lambda one: one[1]))
