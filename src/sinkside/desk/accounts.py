"""Accounts: the first one, adding people, and their roles."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.desk.access import MANAGES_PEOPLE, Visitor, policy, record, require, visitor_in
from sinkside.desk.credentials import LINK_LASTS, SPENT, password_link
from sinkside.desk.evidence.forgetting import forget_naming
from sinkside.desk.passwords import check_password, hashed, new_token, token_digest
from sinkside.desk.people import (
    departments_with,
    managed_person,
    person_subject,
    person_within_reach,
    somebody_manages,
)
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.roster import leave_all
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.journal import known_zone, pseudonym
from sinkside.records import Grant, OneTimeLink, Person, Site

_SALT_BYTES: Final = 16
_LONGEST_NAME: Final = 120


@dataclass(frozen=True)
class NewPerson:
    """Who is to have an account: the name for people, the name to sign in with, and the language."""

    name: str
    sign_in: str
    language: str = "en"


@dataclass(frozen=True)
class Added:
    """A person with the token of the link by which they choose a password; it is shown once."""

    person: str
    token: str


@dataclass(frozen=True)
class Held:
    """A role somebody has in a department, until when, and whether it has ended."""

    role: str
    until: datetime | None
    ended: bool


@dataclass(frozen=True)
class Account:
    """A person as the page of people shows them; no secret in it."""

    person: str
    name: str
    sign_in: str
    language: str
    disabled: bool
    has_password: bool
    has_pin: bool
    has_badge: bool
    roles: tuple[Held, ...]


def first_account_link(archive: Archive, *, now: datetime, lasts: timedelta = LINK_LASTS) -> str | None:
    """The token of a link that sets up the first account; none once anybody has one."""
    with archive.unit() as unit:
        if unit.people.all():
            return None
        token = new_token()
        unit.people.add_link(OneTimeLink(token_digest(token), "first-account", None, now + lasts))
        return token


def set_up_first_account(
    archive: Archive, *, token: str, new: NewPerson, password: str, site: Site, now: datetime
) -> str:
    """Make the first account, an administrator and lead of a department, and say under which pseudonym.

    Raises:
        NotAllowed: if the link does not work any more, or somebody has an account.
        BadInput: if a name, the password or the zone will not do.
    """
    _check_new(new)
    check_password(password)
    known_zone(site.zone)
    kept = hashed(password)
    with archive.unit() as unit:
        link = unit.people.use_link(token_digest(token), now)
        if link is None or link.purpose != "first-account" or unit.people.all():
            raise NotAllowed(SPENT)
        if unit.sites.get(site.id) is None:
            unit.sites.add(site)
        person = _add(unit, new, password_hash=kept)
        roles = ("administrator", "lead")
        for role in roles:
            unit.people.grant(Grant(person, site.id, role))
        who = visitor_in(unit, person, site.id, now)
        record(unit, who, "person-added", person_subject(person), now=now, data={"roles": list(roles)})
        return person


def add_person(
    archive: Archive,
    who: Visitor,
    new: NewPerson,
    *,
    roles: Sequence[str],
    now: datetime,
    until: datetime | None = None,
) -> Added:
    """Add a person with roles in this department; they choose their password through the link.

    Raises:
        NotAllowed: without the right.
        BadInput: if a name will not do, or there is no such role, or none is given.
    """
    require(who, MANAGES_PEOPLE)
    _check_new(new)
    if not roles:
        raise BadInput("expected at least one role", resource="roles")
    with archive.unit() as unit:
        person = _add(unit, new)
        record(unit, who, "person-added", person_subject(person), now=now)
        for role in dict.fromkeys(roles):
            _grant(unit, who, Grant(person, who.department, role, until), now=now)
        return Added(person, password_link(unit, who, person, now=now))


def grant_role(
    archive: Archive, who: Visitor, person: str, *, role: str, now: datetime, until: datetime | None = None
) -> None:
    """Give somebody a role in this department, or change until when they have it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such person here, nor where else one manages people.
        BadInput: if there is no such role, or nobody would be left who manages people.
    """
    require(who, MANAGES_PEOPLE)
    with archive.unit() as unit:
        person_within_reach(unit, who, person, now)
        _grant(unit, who, Grant(person, who.department, role, until), now=now)
        if until is not None:
            somebody_manages(unit, [who.department])


def withdraw_role(archive: Archive, who: Visitor, person: str, *, role: str, now: datetime) -> None:
    """Take a role in this department away.

    Raises:
        NotAllowed: without the right.
        NotThere: if they do not have it.
        BadInput: if nobody would be left who manages people.
    """
    require(who, MANAGES_PEOPLE)
    with archive.unit() as unit:
        held = {grant.role for grant in unit.people.grants(person) if grant.department == who.department}
        if role not in held:
            raise NotThere("this person does not have that role here", resource=role)
        unit.people.withdraw(person, who.department, role)
        somebody_manages(unit, [who.department])
        record(unit, who, "role-withdrawn", person_subject(person), now=now, data={"role": role})


def people_here(archive: Archive, who: Visitor, *, now: datetime) -> tuple[Account, ...]:
    """Everybody who has or had a role in this department, by name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, MANAGES_PEOPLE)
    with archive.unit(writes=False) as unit:
        by_person: dict[str, list[Grant]] = {}
        for grant in unit.people.grants_in(who.department):
            by_person.setdefault(grant.person, []).append(grant)
        return tuple(
            _account(person, by_person[person.id], now)
            for person in unit.people.all()
            if person.id in by_person
        )


def set_disabled(archive: Archive, who: Visitor, person: str, *, disabled: bool, now: datetime) -> None:
    """Shut an account, which ends its sessions, or open it again.

    Raises:
        NotAllowed: without the right wherever they have a role.
        NotThere: if there is no such person here.
        BadInput: if nobody would be left who manages people.
    """
    with archive.unit() as unit:
        known = managed_person(unit, who, person, now)
        unit.people.change(replace(known, disabled=disabled))
        if disabled:
            unit.people.end_sessions(person, now)
            somebody_manages(unit, departments_with(unit, person, now))
        kind = "account-disabled" if disabled else "account-enabled"
        record(unit, who, kind, person_subject(person), now=now)


def erase_person(archive: Archive, who: Visitor, person: str, *, now: datetime) -> None:
    """Delete name, salt, account, sessions, and the evidence files that name them.

    The record book keeps a pseudonym that says nothing.

    Raises:
        NotAllowed: without the right wherever they have a role.
        NotThere: if there is no such person here.
        BadInput: if nobody would be left who manages people.
    """
    with archive.unit() as unit:
        managed_person(unit, who, person, now)
        departments = departments_with(unit, person, now)
        worked_in = sorted({grant.department for grant in unit.people.grants(person)})
        for grant in unit.people.grants(person):
            unit.people.withdraw(person, grant.department, grant.role)
        somebody_manages(unit, departments)
        unit.people.erase(person)
        leave_all(unit, person, worked_in, now=now)
        forget_naming(unit, person)
        record(unit, who, "person-erased", person_subject(person), now=now)


def _check_new(new: NewPerson) -> None:
    for field in ("name", "sign_in"):
        text = getattr(new, field).strip()
        if not text or len(text) > _LONGEST_NAME or not text.isprintable():
            raise BadInput(f"expected 1 to {_LONGEST_NAME} printable characters", resource=field)


def _add(unit: Unit, new: NewPerson, *, password_hash: str = "") -> str:
    sign_in = new.sign_in.strip()
    if unit.people.by_sign_in(sign_in) is not None:
        raise BadInput(f"somebody signs in as '{sign_in}' already", resource="sign_in")
    salt = secrets.token_bytes(_SALT_BYTES)
    person = Person(
        id=pseudonym(salt, sign_in),
        name=new.name.strip(),
        sign_in=sign_in,
        password_hash=password_hash,
        language=new.language,
    )
    unit.people.add(person, salt=salt)
    return person.id


def _grant(unit: Unit, who: Visitor, grant: Grant, *, now: datetime) -> None:
    if grant.role not in policy().roles:
        raise BadInput(
            f"there is no role '{grant.role}'; expected one of {', '.join(policy().roles)}", resource="role"
        )
    if grant.until is not None and grant.until <= now:
        raise BadInput("the end lies in the past; take the role away instead", resource="until")
    unit.people.grant(grant)
    until = grant.until.isoformat() if grant.until else None
    data = {"role": grant.role, "until": until}
    record(unit, who, "role-granted", person_subject(grant.person), now=now, data=data)


def _account(person: Person, grants: Iterable[Grant], now: datetime) -> Account:
    roles = (
        Held(grant.role, grant.until, ended=grant.until is not None and grant.until <= now)
        for grant in sorted(grants, key=lambda grant: grant.role)
    )
    return Account(
        person=person.id,
        name=person.name,
        sign_in=person.sign_in,
        language=person.language,
        disabled=person.disabled,
        has_password=bool(person.password_hash),
        has_pin=bool(person.pin_hash),
        has_badge=bool(person.badge_digest),
        roles=tuple(roles),
    )
