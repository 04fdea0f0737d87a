"""Who may do what: rights by role, and the one function that checks them."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from typing import Any, Final

from pydantic import model_validator

from sinkside.desk.ports import Unit
from sinkside.documents import Value
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.journal import Event, Happening
from sinkside.records import Grant, Site

MANAGES_PEOPLE: Final = "people-manage"


class Role(Value):
    """A role: its name for people, what it is there for, and its rights."""

    name: str
    what: str
    rights: frozenset[str]


class SharedTablet(Value):
    """What nobody may do on a tablet that several people share."""

    withheld: frozenset[str]


class Policy(Value):
    """Rights with what they allow, roles with their rights, and what a shared tablet withholds."""

    rights: dict[str, str]
    shared_tablet: SharedTablet
    roles: dict[str, Role]

    @model_validator(mode="after")
    def _rights_exist(self) -> Policy:
        given = {right for role in self.roles.values() for right in role.rights}
        unknown = sorted((given | self.shared_tablet.withheld) - set(self.rights))
        if unknown:
            raise ValueError(f"these rights are not described: {', '.join(unknown)}")
        return self


@functools.cache
def policy() -> Policy:
    """The roles and rights in force."""
    file = resources.files("sinkside.desk").joinpath("policies", "roles.toml")
    return Policy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def rights_table() -> Mapping[str, Mapping[str, bool]]:
    """Role by role, right by right, whether the role has it.

    >>> rights_table()["external-representative"]["instruction-upload"]
    True
    >>> rights_table()["external-representative"]["instruction-read"]
    False
    """
    known = policy()
    return {
        role_id: {right: right in role.rights for right in known.rights}
        for role_id, role in known.roles.items()
    }


@dataclass(frozen=True)
class Visitor:
    """Somebody signed in, at work in one department: pseudonym, the department's zone, roles and rights."""

    person: str
    department: str
    zone: str
    roles: frozenset[str] = frozenset()
    rights: frozenset[str] = frozenset()

    def may(self, right: str) -> bool:
        """Whether they have a right here."""
        return right in self.rights


def current(grants: Iterable[Grant], now: datetime) -> list[Grant]:
    """The grants that have not ended."""
    return [grant for grant in grants if grant.until is None or grant.until > now]


def departments_of(unit: Unit, person: str, now: datetime) -> tuple[str, ...]:
    """Where a person has a role now."""
    return tuple(sorted({grant.department for grant in current(unit.people.grants(person), now)}))


def visitor_in(
    unit: Unit, person: str, department: str, now: datetime, *, shared_tablet: bool = False
) -> Visitor:
    """A person at work in a department, with the rights that their roles give them there now.

    Raises:
        NotThere: if there is no such department, or they have no role in it; which of the two is not said.
    """
    granted = current(unit.people.grants(person), now)
    return visitor_at(unit.sites.get(department), person, department, granted, shared_tablet=shared_tablet)


def visitor_at(
    site: Site | None, person: str, department: str, granted: Iterable[Grant], *, shared_tablet: bool
) -> Visitor:
    """The same where the department and the person's grants of this moment are known.

    Raises:
        NotThere: if there is no such department, or they have no role in it; which of the two is not said.
    """
    roles = frozenset(grant.role for grant in granted if grant.department == department)
    if site is None or not roles:
        raise NotThere("there is no such department", resource=department)
    known = policy()
    rights = frozenset(
        right for role in roles if role in known.roles for right in known.roles[role].rights
    ) - (known.shared_tablet.withheld if shared_tablet else frozenset())
    return Visitor(person, department, site.zone, roles, rights)


def require(who: Visitor, right: str, *, department: str | None = None) -> None:
    """Refuse what somebody may not do.

    Args:
        who: the acting person.
        right: the right that the act needs.
        department: where the thing belongs, if it is a thing; what belongs elsewhere is not there.

    Raises:
        NotThere: if the thing belongs to another department.
        NotAllowed: if they lack the right.
    """
    known = policy().rights
    if right not in known:
        raise BadInput(f"there is no right '{right}'; expected one of {', '.join(known)}", resource=right)
    if not who.may(right):
        raise NotAllowed(f"your role here does not allow you to {known[right]}", resource=right)
    if department is not None and department != who.department:
        raise NotThere("there is no such thing here")


def record(
    unit: Unit,
    who: Visitor,
    kind: str,
    subject: str,
    *,
    now: datetime,
    data: Mapping[str, Any] | None = None,
) -> Event:
    """Append what somebody did to the chain of the department where they did it."""
    return unit.journal.append(
        who.department,
        Happening(at=now, zone=who.zone, kind=kind, actor=who.person, subject=subject, data=dict(data or {})),
    )
