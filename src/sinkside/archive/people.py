"""People: the one erasable table of names, and what hangs on it: accounts, roles, sessions, links."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Executable, bindparam, delete, func, insert, or_, select, update

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import Moment, failures, grants, links, people, sessions, settings, sites
from sinkside.archive.settings import ERASED, FAILURE_KEY
from sinkside.errors import BadInput, Conflict
from sinkside.records import Grant, OneTimeLink, Person, Session, Site

_SHOWN = [column for column in people.c if column.name not in {"salt", "sign_in_key"}]

# Every page asks these; a statement that is built once is not built again for each of them.
_PERSON = select(*_SHOWN).where(people.c.id == bindparam("person"))
_NAMES = select(people.c.id, people.c.name).where(people.c.id.in_(bindparam("wanted", expanding=True)))
_WORKING = (
    select(people.c.id, people.c.name)
    .join_from(grants, people, grants.c.person == people.c.id)
    .where(
        grants.c.department == bindparam("here"),
        or_(grants.c.until.is_(None), grants.c.until > bindparam("at", type_=Moment)),
    )
    .distinct()
)
_GRANTS = select(grants).where(grants.c.person == bindparam("of"))
_GRANTS_IN = select(grants).where(grants.c.department == bindparam("here"))
_PRESENT = (
    select(*(column.label(f"session_{column.name}") for column in sessions.c), *_SHOWN)
    .join_from(sessions, people, sessions.c.person == people.c.id)
    .where(sessions.c.token_digest == bindparam("digest"))
)
_WORKPLACES = (
    select(*grants.c, sites.c.name, sites.c.zone)
    .join_from(grants, sites, grants.c.department == sites.c.id)
    .where(grants.c.person == bindparam("of"))
    .order_by(sites.c.name, sites.c.id, grants.c.role)
)
_SESSION = select(sessions).where(sessions.c.token_digest == bindparam("digest"))

#: Older failures say nothing any more, and must not pile up.
_FAILURES_KEPT = timedelta(days=2)


class PeopleTable:
    """People, their accounts, roles and sessions."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction
        self.erased_somebody = False

    def add(self, person: Person, *, salt: bytes) -> None:
        """Add a person with their salt, in the erasable table.

        Raises:
            Conflict: if the id, the name to sign in with or the badge is taken.
        """
        self._unless_taken(insert(people).values(**_columns(person), salt=salt), person)

    def change(self, person: Person) -> None:
        """Keep a person's changed account.

        Raises:
            Conflict: if the name to sign in with or the badge is taken.
            BadInput: if there is no such person.
        """
        changed = update(people).where(people.c.id == person.id).values(**_columns(person))
        if not self._unless_taken(changed, person):
            raise BadInput("there is no such person", resource=person.id)

    def _unless_taken(self, statement: Executable, person: Person) -> int:
        try:
            return self._do.change(statement)
        except Conflict as error:
            raise Conflict(
                "somebody else has this name to sign in with, or this badge", resource=person.id
            ) from error

    def get(self, person: str) -> Person | None:
        """A person by their pseudonym; none if unknown or erased."""
        return self._one(_PERSON, person=person)

    def names(self, persons: Collection[str]) -> dict[str, str]:
        """The names of those who are known; nobody is asked for one by one."""
        return {row["id"]: row["name"] for row in self._do.all(_NAMES, wanted=tuple(sorted(persons)))}

    def working_in(self, department: str, now: datetime) -> dict[str, str]:
        """The names of everybody with a role in a department now."""
        return {row["id"]: row["name"] for row in self._do.all(_WORKING, here=department, at=now)}

    def by_sign_in(self, sign_in: str) -> Person | None:
        """A person by the name they sign in with, whatever its case."""
        return self._one(select(*_SHOWN).where(people.c.sign_in_key == sign_in.casefold()))

    def by_badge(self, badge_digest: str) -> Person | None:
        """A person by the digest of their badge."""
        return self._one(select(*_SHOWN).where(people.c.badge_digest == badge_digest))

    def _one(self, statement: Executable, **bound: str) -> Person | None:
        found = self._do.first(statement, **bound)
        return _person(found) if found else None

    def all(self) -> list[Person]:
        """Every person who is not erased, by name."""
        found = [_person(row) for row in self._do.all(select(*_SHOWN))]
        return sorted(found, key=lambda person: (person.name.casefold(), person.id))

    def salt(self, person: str) -> bytes | None:
        """A person's salt, to tie an event to a text of theirs; none if unknown or erased."""
        found = self._do.value(select(people.c.salt).where(people.c.id == person))
        return None if found is None else bytes(found)

    def erase(self, person: str) -> None:
        """Delete name, salt, account and sessions; events keep the pseudonym, which now says nothing.

        When the unit ends, what the database left behind of the deleted rows is wiped from its files.
        """
        for table in (sessions, links, grants):
            self._do.change(delete(table).where(table.c.person == person))
        self._do.change(delete(people).where(people.c.id == person))
        self._do.put(settings, {"name": ERASED, "value": "wipe"}, key=("name",))
        self.erased_somebody = True

    def grants(self, person: str) -> list[Grant]:
        """A person's roles, ended ones included."""
        return self._grants(_GRANTS, of=person)

    def grants_in(self, department: str) -> list[Grant]:
        """Everybody's roles in a department."""
        return self._grants(_GRANTS_IN, here=department)

    def _grants(self, statement: Executable, **bound: str) -> list[Grant]:
        found = (Grant(**row) for row in self._do.all(statement, **bound))
        return sorted(found, key=lambda grant: (grant.person, grant.department, grant.role))

    def grant(self, grant: Grant) -> None:
        """Give a role, or change until when.

        Raises:
            BadInput: if there is no such person.
        """
        self._do.put(grants, vars(grant), key=("person", "department", "role"))

    def withdraw(self, person: str, department: str, role: str) -> None:
        """Take a role away."""
        self._do.change(
            delete(grants).where(
                grants.c.person == person, grants.c.department == department, grants.c.role == role
            )
        )

    def open_session(self, session: Session) -> None:
        """Keep a session."""
        self._do.change(insert(sessions).values(**vars(session)))

    def session(self, token_digest: str) -> Session | None:
        """A session by the digest of its token."""
        found = self._do.first(_SESSION, digest=token_digest)
        return Session(**found) if found else None

    def present(self, token_digest: str) -> tuple[Session, Person] | None:
        """A session by the digest of its token, and whose it is; none if that person is gone."""
        found = self._do.first(_PRESENT, digest=token_digest)
        if found is None:
            return None
        session = {column.name: found[f"session_{column.name}"] for column in sessions.c}
        return Session(**session), _person({column.name: found[column.name] for column in _SHOWN})

    def workplaces(self, person: str) -> list[tuple[Grant, Site]]:
        """A person's roles, ended ones included, each with its department, by the department's name."""
        return [
            (
                Grant(row["person"], row["department"], row["role"], row["until"]),
                Site(row["department"], row["name"], row["zone"]),
            )
            for row in self._do.all(_WORKPLACES, of=person)
        ]

    def touch(self, token_digest: str, seen: datetime) -> None:
        """Note that a session was used."""
        self._do.change(update(sessions).where(sessions.c.token_digest == token_digest).values(seen=seen))

    def end_sessions(self, person: str, at: datetime, *, token_digest: str | None = None) -> None:
        """End one session, or all of a person."""
        open_ones = update(sessions).where(sessions.c.person == person, sessions.c.ended.is_(None))
        if token_digest is not None:
            open_ones = open_ones.where(sessions.c.token_digest == token_digest)
        self._do.change(open_ones.values(ended=at))

    def add_link(self, link: OneTimeLink) -> None:
        """Keep a one-time link."""
        self._do.change(insert(links).values(**vars(link)))

    def use_link(self, token_digest: str, at: datetime) -> OneTimeLink | None:
        """Use a link; none if it is unknown, used or expired. Two users at once: one of them gets none."""
        used = self._do.change(
            update(links)
            .where(links.c.token_digest == token_digest, links.c.used.is_(None), links.c.expires > at)
            .values(used=at)
        )
        if not used:
            return None
        found = self._do.first(select(links).where(links.c.token_digest == token_digest))
        return OneTimeLink(**found) if found else None

    def failures(self, key: str, since: datetime) -> int:
        """How often signing in failed for a key (a name or an address) since a moment."""
        hidden = self._hidden(key)
        counted = select(func.count()).select_from(failures)
        return int(self._do.value(counted.where(failures.c.key == hidden, failures.c.at > since)))

    def note_failure(self, key: str, at: datetime) -> None:
        """Note a failed sign-in."""
        self._do.change(delete(failures).where(failures.c.at < at - _FAILURES_KEPT))
        self._do.change(insert(failures).values(key=self._hidden(key), at=at))

    def clear_failures(self, key: str) -> None:
        """Forget failures after a success."""
        self._do.change(delete(failures).where(failures.c.key == self._hidden(key)))

    def _hidden(self, key: str) -> str:
        # The key is a name or an address: kept in the clear it would outlive the person's erasure.
        secret = self._do.value(select(settings.c.value).where(settings.c.name == FAILURE_KEY))
        return hmac.digest(bytes.fromhex(secret), key.casefold().encode(), hashlib.sha256).hex()


def _columns(person: Person) -> dict[str, Any]:
    badge = person.badge_digest or None
    return {**vars(person), "badge_digest": badge, "sign_in_key": person.sign_in.casefold()}


def _person(row: Any) -> Person:
    return Person(**{**row, "badge_digest": row["badge_digest"] or ""})
