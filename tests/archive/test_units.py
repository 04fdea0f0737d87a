"""Units: all or nothing, one state for who reads, and the shape that the desk asks for."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.desk import ports
from sinkside.errors import BadInput, Conflict, SinksideError
from sinkside.records import Grant, Wanted
from support.archive_places import DEPARTMENT, SITE, happening, row


def _asked_by_the_desk(archive: ports.Archive) -> ports.Archive:
    return archive


def test_the_archive_is_what_the_desk_asks_for(archive: WorkspaceArchive) -> None:
    """The type checker accepts the archive for the desk's protocol, and it works through it."""
    with _asked_by_the_desk(archive).unit(writes=False) as unit:
        assert unit.sites.all() == [SITE]


def test_a_department_is_called_otherwise_and_stays_the_same(archive: WorkspaceArchive) -> None:
    """Its name changes; its id, and the chain that hangs on it, do not."""
    with archive.unit() as unit:
        unit.journal.append(DEPARTMENT, happening())
        unit.sites.rename(DEPARTMENT, "Lane")
    with archive.unit(writes=False) as unit:
        assert unit.sites.all() == [replace(SITE, name="Lane")]
        assert unit.journal.head(DEPARTMENT) is not None


def test_a_unit_that_raises_leaves_nothing(archive: WorkspaceArchive) -> None:
    """Rows and events of a unit that ends badly are both gone."""

    def fail() -> None:
        with archive.unit() as unit:
            unit.rows.put(row(1))
            unit.journal.append(DEPARTMENT, happening())
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    with archive.unit(writes=False) as unit:
        assert unit.rows.get("instruction", "i-1") is None
        assert unit.journal.head(DEPARTMENT) is None


def test_a_reading_unit_sees_one_state(archive: WorkspaceArchive) -> None:
    """What others commit meanwhile does not show in a unit that reads."""
    with archive.unit(writes=False) as reading:
        assert reading.journal.events(DEPARTMENT, Wanted()) == []
        with archive.unit() as writing:
            writing.journal.append(DEPARTMENT, happening())
        assert reading.journal.events(DEPARTMENT, Wanted()) == []
    with archive.unit(writes=False) as reading:
        assert len(reading.journal.events(DEPARTMENT, Wanted())) == 1


def test_a_reading_unit_does_not_write(archive: WorkspaceArchive) -> None:
    """A unit opened for reading refuses to write."""
    with pytest.raises(SinksideError, match="for reading"), archive.unit(writes=False) as unit:
        unit.rows.put(row(1))


def test_a_unit_goes_on_after_a_conflict(archive: WorkspaceArchive) -> None:
    """On both databases a refused write can be answered within the same unit."""
    with archive.unit() as unit:
        with pytest.raises(Conflict):
            unit.sites.add(SITE)
        unit.rows.put(row(1))
    with archive.unit(writes=False) as unit:
        assert unit.rows.get("instruction", "i-1") == row(1)


def test_what_cannot_be_stored_is_bad_input(archive: WorkspaceArchive) -> None:
    """A zero character, a moment without a zone and a role for nobody are refused alike on both."""
    with pytest.raises(BadInput, match="zero character"), archive.unit() as unit:
        unit.rows.put(row(1, title="a\0b"))
    with pytest.raises(BadInput, match="zone"), archive.unit() as unit:
        unit.rows.put(row(1, due=row(1).updated.replace(tzinfo=None)))
    with pytest.raises(BadInput, match="does not exist"), archive.unit() as unit:
        unit.people.grant(Grant("p-NOBODY", DEPARTMENT, "lead"))


def test_writers_in_threads_wait_for_each_other(archive: WorkspaceArchive) -> None:
    """A second writer waits until the first has ended, and then sees what it wrote."""
    seen: list[bool] = []

    def second() -> None:
        with archive.unit() as unit:
            unit.journal.append(DEPARTMENT, happening(2))
            seen.append(unit.rows.get("instruction", "i-1") is not None)

    with archive.unit() as unit:
        unit.journal.append(DEPARTMENT, happening(1))
        other = threading.Thread(target=second)
        other.start()
        other.join(0.2)
        assert other.is_alive()
        unit.rows.put(row(1))
    other.join()
    assert seen == [True]
