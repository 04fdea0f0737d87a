"""Immutable revisions of documents. The database itself refuses to change or delete one."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from sqlalchemy import bindparam, func, insert, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import moment_text, revisions
from sinkside.errors import Conflict
from sinkside.journal import canonical_bytes
from sinkside.records import Making, Revision

_SHOWN = [column for column in revisions.c if column.name != "seal"]

_OF_ONE = (revisions.c.kind == bindparam("of_kind"), revisions.c.subject == bindparam("of"))
_LATEST = select(*_SHOWN).where(*_OF_ONE).order_by(revisions.c.number.desc()).limit(1)
_NUMBERED = select(*_SHOWN).where(*_OF_ONE, revisions.c.number == bindparam("wanted"))
_ALL = select(*_SHOWN).where(*_OF_ONE).order_by(revisions.c.number)
_LAST_NUMBER = select(func.max(revisions.c.number)).where(*_OF_ONE)
_KEEP = insert(revisions)
_MAKING = ("number", "digest", "by", "at", "note")
_HISTORY = select(*(revisions.c[name] for name in _MAKING)).where(*_OF_ONE).order_by(revisions.c.number)


class RevisionTable:
    """Immutable revisions of documents."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def keep(self, revision: Revision) -> None:
        """Keep a revision. Its number must follow the last one's, else somebody else was quicker.

        Raises:
            Conflict: if that number is taken, or skips one.
        """
        last = self._do.value(_LAST_NUMBER, of_kind=revision.kind, of=revision.subject)
        if revision.number != (last or 0) + 1:
            raise _quicker(revision)
        try:
            stored = {**vars(revision), "at": moment_text(revision.at)}
            self._do.change(_KEEP, **vars(revision), seal=seal(stored))
        except Conflict as error:
            raise _quicker(revision) from error

    def get(self, kind: str, subject: str, number: int | None = None) -> Revision | None:
        """A revision; the latest unless told."""
        if number is None:
            found = self._do.first(_LATEST, of_kind=kind, of=subject)
        else:
            found = self._do.first(_NUMBERED, of_kind=kind, of=subject, wanted=number)
        return Revision(**found) if found else None

    def history(self, kind: str, subject: str) -> list[Making]:
        """How every revision was made, oldest first, without what stands in it."""
        return [Making(**row) for row in self._do.all(_HISTORY, of_kind=kind, of=subject)]

    def revisions(self, kind: str, subject: str) -> list[Revision]:
        """Every revision, oldest first."""
        return [Revision(**row) for row in self._do.all(_ALL, of_kind=kind, of=subject)]


def seal(stored: Mapping[str, str | int]) -> str:
    """SHA-256 over all columns of a stored revision, so that no change to its note or date goes unseen."""
    return hashlib.sha256(canonical_bytes(dict(stored))).hexdigest()


def _quicker(revision: Revision) -> Conflict:
    return Conflict(
        f"somebody else was quicker: revision {revision.number} does not follow the latest one",
        resource=revision.subject,
    )
