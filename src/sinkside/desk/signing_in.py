"""Signing in: throttled, the same answer for everybody; sessions that end; quick re-identification."""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from sinkside.desk.access import Visitor, current, departments_of, record, visitor_at, visitor_in
from sinkside.desk.passwords import fits, new_token, token_digest
from sinkside.desk.people import managed_person, person_subject
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, NotAllowed
from sinkside.journal import salted_digest
from sinkside.records import Person, Session, Site

_REFUSED: Final = "name and password do not fit together, or the account is shut"
_TOO_OFTEN: Final = "too many tries failed; wait {minutes} min and try again"

#: Reading a page should not write a row every time.
_TOUCHED_EVERY: Final = timedelta(minutes=1)


@dataclass(frozen=True)
class Brake:
    """So many failures within a time, and signing in waits until that time has passed."""

    failures: int
    within: timedelta


#: The more tries fail, the longer the wait (common practice, no source). Many people share an address.
NAME_BRAKES: Final = (
    Brake(5, timedelta(minutes=1)),
    Brake(10, timedelta(minutes=15)),
    Brake(20, timedelta(hours=1)),
)
ADDRESS_BRAKES: Final = (
    Brake(30, timedelta(minutes=1)),
    Brake(90, timedelta(minutes=15)),
    Brake(200, timedelta(hours=1)),
)


@dataclass(frozen=True)
class Timeouts:
    """How long a session lasts without use, on a shared tablet too, and at the longest."""

    idle: timedelta = timedelta(minutes=30)
    idle_on_tablet: timedelta = timedelta(minutes=5)
    longest: timedelta = timedelta(hours=12)


class SessionState(StrEnum):
    """Whether a session is in use, waits for somebody to say again who they are, or is over."""

    active = "active"
    idle = "idle"
    over = "over"


@dataclass(frozen=True)
class Shown:
    """What somebody shows on a shared tablet: a badge, or their name and PIN."""

    badge: str = ""
    name: str = ""
    pin: str = ""


@dataclass(frozen=True)
class SignedIn:
    """A new session: its token, shown once, and the token that forms must carry."""

    person: str
    token: str
    csrf: str


@dataclass(frozen=True)
class Present:
    """Who sends a request: the visitor, their name and language, the session, where else they work."""

    visitor: Visitor
    name: str
    language: str
    session: Session
    departments: tuple[Site, ...]


def sign_in(
    archive: Archive,
    *,
    name: str,
    password: str,
    address: str,
    now: datetime,
    shared_tablet: bool = False,
) -> SignedIn:
    """Open a session for somebody who knows their password.

    The answer, and the work behind it, are the same whether the name, the password or the account is wrong.

    Args:
        archive: where people are kept.
        name: what they sign in with.
        password: their password.
        address: where the request came from.
        now: the moment.
        shared_tablet: whether others may say on this device who they are by badge or PIN.

    Raises:
        NotAllowed: if they do not fit together, the account is shut, or too many tries failed.
    """
    count_try(archive, name=name, address=address, now=now)
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in(name.strip())
    known = fits(person.password_hash if person else "", password)
    if person is None or not known or person.disabled:
        raise _refusal(archive, address=address, now=now)
    with archive.unit() as unit:
        unit.people.clear_failures(name_key(name))
        return _open(unit, person, opened=now, now=now, shared_tablet=shared_tablet, how="password")


def identify_again(
    archive: Archive,
    *,
    token: str,
    shown: Shown,
    badge_key: bytes,
    address: str,
    now: datetime,
    timeouts: Timeouts | None = None,
) -> SignedIn:
    """Say on a trusted tablet who is there now: by badge, or by name and PIN.

    The session before ends; the tablet stays trusted no longer than from when a password opened it.

    Raises:
        NotAllowed: if the tablet is not trusted (any more), nobody fits, or too many tries failed.
        BadInput: if there is neither badge nor name.
    """
    if not shown.badge.strip() and not shown.name.strip():
        raise BadInput("expected a badge, or a name and a PIN", resource="badge")
    with archive.unit(writes=False) as unit:
        before = unit.people.session(token_digest(token))
    if before is None or not before.shared_tablet:
        raise NotAllowed("this device is no shared tablet; sign in with your password")
    if state_of(before, now, timeouts or Timeouts()) is SessionState.over:
        raise NotAllowed("this tablet must be opened again with a password")
    person = person_shown(archive, shown, badge_key=badge_key, address=address, now=now)
    with archive.unit() as unit:
        unit.people.end_sessions(before.person, now, token_digest=before.token_digest)
        how = "badge" if shown.badge.strip() else "pin"
        return _open(unit, person, opened=before.opened, now=now, shared_tablet=True, how=how)


def state_of(session: Session, now: datetime, timeouts: Timeouts) -> SessionState:
    """Whether a session can be used at a moment."""
    if session.ended is not None or now - session.opened >= timeouts.longest:
        return SessionState.over
    idle = timeouts.idle_on_tablet if session.shared_tablet else timeouts.idle
    if now - session.seen < idle:
        return SessionState.active
    return SessionState.idle if session.shared_tablet else SessionState.over


def present(
    archive: Archive,
    *,
    token: str,
    now: datetime,
    department: str | None = None,
    timeouts: Timeouts | None = None,
) -> Present | None:
    """Who holds a session's token, at work in a department; none if the session cannot be used.

    Args:
        archive: where sessions are kept.
        token: what the browser sent.
        now: the moment.
        department: where they are at work; the first where they have a role unless told.
        timeouts: how long sessions last.

    Raises:
        NotThere: if they have no role in that department.
    """
    digest = token_digest(token)
    with archive.unit(writes=False) as unit:
        found = unit.people.present(digest)
        if found is None or state_of(found[0], now, timeouts or Timeouts()) is not SessionState.active:
            return None
        session, person = found
        working = [
            (grant, site) for grant, site in unit.people.workplaces(person.id) if current([grant], now)
        ]
    if person.disabled or not working:
        return None
    sites = {site.id: site for _, site in working}
    at = department or min(sites)
    granted = [grant for grant, _ in working]
    visitor = visitor_at(sites.get(at), person.id, at, granted, shared_tablet=session.shared_tablet)
    if now - session.seen >= _TOUCHED_EVERY:
        with archive.unit() as unit:
            unit.people.touch(digest, now)
    return Present(visitor, person.name, person.language, session, tuple(sites.values()))


def csrf_fits(session: Session, given: str) -> bool:
    """Whether a form carries the token of its session."""
    return hmac.compare_digest(session.csrf.encode(), given.encode("utf-8", "surrogatepass"))


def sign_out(archive: Archive, *, token: str, now: datetime) -> None:
    """End a session; one that is unknown or over is left as it is."""
    digest = token_digest(token)
    with archive.unit() as unit:
        session = unit.people.session(digest)
        if session is not None and session.ended is None:
            unit.people.end_sessions(session.person, now, token_digest=digest)
            _tell(unit, session.person, "signed-out", now)


def end_my_sessions(archive: Archive, who: Visitor, *, now: datetime) -> None:
    """End every session of one's own, on every device."""
    with archive.unit() as unit:
        unit.people.end_sessions(who.person, now)
        record(unit, who, "sessions-ended", person_subject(who.person), now=now)


def end_sessions_of(archive: Archive, who: Visitor, person: str, *, now: datetime) -> None:
    """End every session of somebody else.

    Raises:
        NotAllowed: without the right wherever they have a role.
        NotThere: if there is no such person here.
    """
    with archive.unit() as unit:
        managed_person(unit, who, person, now)
        unit.people.end_sessions(person, now)
        record(unit, who, "sessions-ended", person_subject(person), now=now)


def count_try(archive: Archive, *, name: str, address: str = "", now: datetime) -> None:
    """Refuse a try too many; count this one before it is judged, so that many at once are counted too.

    Args:
        archive: where tries are counted.
        name: whose password, PIN or badge is tried.
        address: where the request came from; none where somebody is signed in already.
        now: the moment.

    Raises:
        NotAllowed: if too many tries failed.
    """
    key = name_key(name)
    counted_by = [(NAME_BRAKES, key), *([(ADDRESS_BRAKES, _address_key(address))] if address else [])]
    with archive.unit() as unit:
        for brakes, counted in counted_by:
            for brake in reversed(brakes):
                if unit.people.failures(counted, now - brake.within) >= brake.failures:
                    minutes = int(brake.within.total_seconds() // 60)
                    raise NotAllowed(_TOO_OFTEN.format(minutes=minutes), resource="sign-in")
        unit.people.note_failure(key, now)


def _refusal(archive: Archive, *, address: str, now: datetime) -> NotAllowed:
    with archive.unit() as unit:
        unit.people.note_failure(_address_key(address), now)
    return NotAllowed(_REFUSED)


def person_shown(archive: Archive, shown: Shown, *, badge_key: bytes, address: str, now: datetime) -> Person:
    """Who shows a badge, or a name and a PIN; each try is counted.

    Raises:
        NotAllowed: if nobody fits, or too many tries failed.
    """
    badge = shown.badge.strip()
    digest = salted_digest(badge_key, badge) if badge else ""
    tried = digest or shown.name
    count_try(archive, name=tried, address=address, now=now)
    with archive.unit(writes=False) as unit:
        person = unit.people.by_badge(digest) if digest else unit.people.by_sign_in(shown.name.strip())
    known = bool(digest) or fits(person.pin_hash if person else "", shown.pin)
    if person is None or not known or person.disabled:
        raise _refusal(archive, address=address, now=now)
    with archive.unit() as unit:
        unit.people.clear_failures(name_key(tried))
    return person


def _open(
    unit: Unit, person: Person, *, opened: datetime, now: datetime, shared_tablet: bool, how: str
) -> SignedIn:
    token, csrf = new_token(), new_token()
    if not departments_of(unit, person.id, now):
        raise NotAllowed("your access has ended; ask whoever manages people in your department")
    unit.people.open_session(
        Session(token_digest(token), person.id, opened, now, csrf, shared_tablet=shared_tablet)
    )
    _tell(unit, person.id, "signed-in", now, how=how)
    return SignedIn(person.id, token, csrf)


def _tell(unit: Unit, person: str, kind: str, now: datetime, **data: str) -> None:
    """Write into the chain of the first department where somebody works."""
    for department in departments_of(unit, person, now)[:1]:
        who = visitor_in(unit, person, department, now)
        record(unit, who, kind, person_subject(person), now=now, data=data)


def name_key(name: str) -> str:
    """A key for a name that does not keep the name."""
    folded = name.strip().casefold().encode("utf-8", "surrogatepass")
    return f"name:{hashlib.sha256(folded).hexdigest()}"


def _address_key(address: str) -> str:
    return f"address:{address}"
