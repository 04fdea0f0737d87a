"""Immutable revisions of documents. The database itself refuses to change or delete one."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from sqlalchemy import func, insert, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import moment_text, revisions
from sinkside.errors import Conflict
from sinkside.journal import canonical_bytes
from sinkside.records import Revision

_SHOWN = [column for column in revisions.c if column.name != "seal"]


class RevisionTable:
    """Immutable revisions of documents."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def keep(self, revision: Revision) -> None:
        """Keep a revision. Its number must follow the last one's, else somebody else was quicker.

        Raises:
            Conflict: if that number is taken, or skips one.
        """
        last = self._do.value(
            select(func.max(revisions.c.number)).where(
                revisions.c.kind == revision.kind, revisions.c.subject == revision.subject
            )
        )
        if revision.number != (last or 0) + 1:
            raise _quicker(revision)
        try:
            stored = {**vars(revision), "at": moment_text(revision.at)}
            self._do.change(insert(revisions).values(**vars(revision), seal=seal(stored)))
        except Conflict as error:
            raise _quicker(revision) from error

    def get(self, kind: str, subject: str, number: int | None = None) -> Revision | None:
        """A revision; the latest unless told."""
        chosen = select(*_SHOWN).where(revisions.c.kind == kind, revisions.c.subject == subject)
        if number is not None:
            chosen = chosen.where(revisions.c.number == number)
        found = self._do.first(chosen.order_by(revisions.c.number.desc()).limit(1))
        return Revision(**found) if found else None

    def revisions(self, kind: str, subject: str) -> list[Revision]:
        """Every revision, oldest first."""
        chosen = select(*_SHOWN).where(revisions.c.kind == kind, revisions.c.subject == subject)
        return [Revision(**row) for row in self._do.all(chosen.order_by(revisions.c.number))]


def seal(stored: Mapping[str, str | int]) -> str:
    """SHA-256 over all columns of a stored revision, so that no change to its note or date goes unseen."""
    return hashlib.sha256(canonical_bytes(dict(stored))).hexdigest()


def _quicker(revision: Revision) -> Conflict:
    return Conflict(
        f"somebody else was quicker: revision {revision.number} does not follow the latest one",
        resource=revision.subject,
    )
