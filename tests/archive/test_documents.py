"""Revisions: one number after the other, and never changed."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from sinkside.archive import WorkspaceArchive
from sinkside.archive.connection import begun
from sinkside.errors import Conflict, SinksideError
from support.archive_places import DEPARTMENT, happening, revision


def test_revisions_come_back_as_they_were(archive: WorkspaceArchive) -> None:
    """The latest, a numbered one and the series are what was kept."""
    first, second = revision(), revision(number=2, body='{"a":2}')
    with archive.unit() as unit:
        unit.documents.keep(first)
        unit.documents.keep(second)
        assert unit.documents.get("instruction", "i-1") == second
        assert unit.documents.get("instruction", "i-1", 1) == first
        assert unit.documents.get("instruction", "i-1", 3) is None
        assert unit.documents.revisions("instruction", "i-1") == [first, second]


@pytest.mark.parametrize("number", [1, 3])
def test_a_number_that_does_not_follow_is_a_conflict(archive: WorkspaceArchive, number: int) -> None:
    """A taken number and one that skips are refused."""
    with archive.unit() as unit:
        unit.documents.keep(revision())
    with pytest.raises(Conflict, match="quicker"), archive.unit() as unit:
        unit.documents.keep(revision(number=number))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE revisions SET note = 'x'",
        "DELETE FROM revisions",
        "UPDATE events SET kind = 'x'",
        "DELETE FROM events",
    ],
)
def test_the_database_refuses_to_change_what_was_kept(archive: WorkspaceArchive, statement: str) -> None:
    """Not even the archive's own connection can change or delete an event or a revision."""
    with archive.unit() as unit:
        unit.documents.keep(revision())
        unit.journal.append(DEPARTMENT, happening())
    with pytest.raises(SinksideError, match="never changed"), begun(archive.engine, writes=True) as change:
        change.change(text(statement))
