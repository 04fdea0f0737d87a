"""What people sign in with: one-time links, passwords, PINs and badges."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.desk.access import Visitor, current, record, visitor_in
from sinkside.desk.passwords import check_password, check_pin, fits, hashed, new_token, token_digest
from sinkside.desk.people import known_person, managed_person, person_subject
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.signing_in import count_try, name_key
from sinkside.errors import BadInput, NotAllowed
from sinkside.journal import salted_digest
from sinkside.records import OneTimeLink, Person

LINK_LASTS: Final = timedelta(hours=24)
SPENT: Final = "this link was used, has expired, or never was; ask for a new one"


def reset_link(archive: Archive, who: Visitor, person: str, *, now: datetime) -> str:
    """The token of a link by which somebody chooses a new password; it is shown once.

    Raises:
        NotAllowed: without the right wherever they have a role.
        NotThere: if there is no such person here.
    """
    with archive.unit() as unit:
        managed_person(unit, who, person, now)
        return password_link(unit, who, person, now=now)


def choose_password(archive: Archive, *, token: str, password: str, now: datetime) -> str:
    """Set a password through a one-time link, which ends every session, and say whose it is.

    Raises:
        NotAllowed: if the link does not work any more.
        BadInput: if the password will not do.
    """
    check_password(password)
    kept = hashed(password)
    with archive.unit() as unit:
        link = unit.people.use_link(token_digest(token), now)
        known = unit.people.get(link.person) if link and link.person else None
        if known is None:
            raise NotAllowed(SPENT)
        _keep_password(unit, known, kept, now)
        return known.id


def change_password(archive: Archive, who: Visitor, *, old: str, new: str, now: datetime) -> None:
    """Change one's own password, which ends every session.

    Raises:
        NotAllowed: if the old one is wrong, or too many tries failed.
        BadInput: if the new one will not do.
    """
    check_password(new)
    with archive.unit(writes=False) as unit:
        known = known_person(unit, who.person)
    _confirm(archive, known, old, field="old", now=now)
    kept = hashed(new)
    with archive.unit() as unit:
        _keep_password(unit, known_person(unit, who.person), kept, now)


def set_pin(archive: Archive, who: Visitor, *, password: str, pin: str, now: datetime) -> None:
    """Set one's own PIN for shared tablets; an empty one takes it away.

    Raises:
        NotAllowed: if the password is wrong, or too many tries failed.
        BadInput: if the PIN will not do.
    """
    if pin:
        check_pin(pin)
    with archive.unit(writes=False) as unit:
        known = known_person(unit, who.person)
    _confirm(archive, known, password, field="password", now=now)
    kept = hashed(pin) if pin else ""
    with archive.unit() as unit:
        unit.people.change(replace(known_person(unit, who.person), pin_hash=kept))
        record(unit, who, "pin-set" if pin else "pin-removed", person_subject(who.person), now=now)


def set_badge(
    archive: Archive, who: Visitor, person: str, *, badge: str, badge_key: bytes, now: datetime
) -> None:
    """Give somebody a badge for shared tablets; an empty one takes it away.

    Args:
        archive: where it is kept.
        who: the acting person.
        person: whose badge it is.
        badge: what the scanner reads from it; only its keyed digest is kept.
        badge_key: the workspace's key for badges, at least 16 bytes.
        now: the moment.

    Raises:
        NotAllowed: without the right wherever they have a role.
        NotThere: if there is no such person here.
        BadInput: if somebody else has that badge.
    """
    digest = salted_digest(badge_key, badge.strip()) if badge.strip() else ""
    with archive.unit() as unit:
        known = managed_person(unit, who, person, now)
        holder = unit.people.by_badge(digest) if digest else None
        if holder is not None and holder.id != person:
            raise BadInput("this badge is somebody else's", resource="badge")
        unit.people.change(replace(known, badge_digest=digest))
        record(unit, who, "badge-set" if digest else "badge-removed", person_subject(person), now=now)


def password_link(unit: Unit, who: Visitor, person: str, *, now: datetime) -> str:
    """The token of a new link by which somebody chooses a password."""
    token = new_token()
    unit.people.add_link(OneTimeLink(token_digest(token), "new-password", person, now + LINK_LASTS))
    record(unit, who, "password-link-made", person_subject(person), now=now)
    return token


def _confirm(archive: Archive, person: Person, password: str, *, field: str, now: datetime) -> None:
    """See that it is still the person who signed in: who finds a screen open must not guess on for ever."""
    count_try(archive, name=person.sign_in, now=now)
    if not fits(person.password_hash, password):
        raise NotAllowed("that is not your present password", resource=field)
    with archive.unit() as unit:
        unit.people.clear_failures(name_key(person.sign_in))


def _keep_password(unit: Unit, person: Person, kept: str, now: datetime) -> None:
    unit.people.change(replace(person, password_hash=kept))
    unit.people.end_sessions(person.id, now)
    for department in sorted({grant.department for grant in current(unit.people.grants(person.id), now)}):
        who = visitor_in(unit, person.id, department, now)
        record(unit, who, "password-set", person_subject(person.id), now=now)
