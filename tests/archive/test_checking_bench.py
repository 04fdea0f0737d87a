"""Check of the bench: what was altered past the record book is found, and named."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import pytest
from sqlalchemy import delete, insert, select, text

from sinkside.archive import WorkspaceArchive, check_archive
from sinkside.archive.connection import begun
from sinkside.archive.schema import metadata
from sinkside.records import KeptCopy, KeptLoad, KeptRun, KeptTap, Wanted
from support.archive_places import DEPARTMENT, happening, later, tapped

COPY: Final = KeptCopy(
    "c-1", DEPARTMENT, "4711", "set", "s-1", "Hand set", "at-sink", "sink", later(1), run="r-1", due=later(9)
)
RUN: Final = KeptRun("r-1", DEPARTMENT, "c-1", later(1), "at-sink", 1, '{"a":"é"}', plan="p-1")
LOAD: Final = KeptLoad("l-1", DEPARTMENT, "washer", "w-1", "Instruments", "held", later(2), started=later(3))
TAP: Final = KeptTap(
    "key-1", DEPARTMENT, "b-1", 1, "begin", "system", later(3), later(4), "done", "Begun.", "c-1", run="r-1"
)


@pytest.fixture
def bench(archive: WorkspaceArchive) -> WorkspaceArchive:
    """An archive with a set at the sink, a load, and one tap."""
    with archive.unit() as unit:
        unit.journal.append(DEPARTMENT, happening(1))
        unit.bench.copies.put(COPY)
        unit.bench.runs.put(RUN)
        unit.bench.loads.put(LOAD)
        unit.bench.taps.keep(TAP)
        unit.journal.append(DEPARTMENT, tapped(TAP))
    return archive


def _problems(archive: WorkspaceArchive) -> list[str]:
    return [str(problem) for problem in check_archive(archive).problems]


def _do(archive: WorkspaceArchive, statement: str) -> None:
    with begun(archive.engine, writes=True) as transaction:
        transaction.connection.execute(text(statement))


ALTERED: Final = [
    ("UPDATE copies SET state = 'in-store'", "copy c-1: was altered"),
    ("UPDATE copies SET run = 'r-2'", "copy c-1: was altered"),
    ("UPDATE copies SET updated = '2026-11-25T09:30:02.000000Z'", "copy c-1: was altered"),
    ("UPDATE copies SET fields = '{\"a\": 1}'", "copy c-1: was altered"),
    ("DELETE FROM copies", "copy c-1: is missing"),
    ('UPDATE runs SET body = \'{"a":"e"}\'', "run r-1: was altered"),
    ("UPDATE runs SET version = 2", "run r-1: was altered"),
    ("UPDATE runs SET closed = 'never'", "run r-1: was altered"),
    ("DELETE FROM runs", "run r-1: is missing"),
    ("UPDATE loads SET state = 'released'", "load l-1: was altered"),
    ("UPDATE loads SET cycle = 'y-1'", "load l-1: was altered"),
    ("UPDATE loads SET started = NULL", "load l-1: was altered"),
    ("DELETE FROM loads", "load l-1: is missing"),
    ("UPDATE taps SET outcome = 'refused'", "tap key-1: was altered: its column outcome"),
    ("UPDATE taps SET by = 'p-A'", "tap key-1: was altered: its column by"),
    ("UPDATE taps SET taken = '2026-11-25T09:30:05.000000Z'", "tap key-1: was altered: its column taken"),
    ("UPDATE taps SET run = ''", "tap key-1: was altered: its column run"),
    ("UPDATE taps SET key = 'key-2'", "tap key-1: is missing"),
    ("DELETE FROM taps", "tap key-1: is missing"),
]


def test_what_is_altered_past_the_record_book_is_named(bench: WorkspaceArchive) -> None:
    """A row that somebody changed or deleted in the database itself is found and named, on both databases."""
    assert _problems(bench) == []
    for statement, named in ALTERED:
        table = metadata.tables[statement.split()[1 if statement.startswith("UPDATE") else 2]]
        with begun(bench.engine, writes=False) as transaction:
            whole = [dict(row) for row in transaction.all(select(table))]
        _do(bench, statement)
        assert any(named in problem for problem in _problems(bench)), (statement, _problems(bench))
        with begun(bench.engine, writes=True) as transaction:
            transaction.connection.execute(delete(table))
            transaction.connection.execute(insert(table), whole)
    assert _problems(bench) == []


def test_a_tap_that_no_event_tells_of_is_found(bench: WorkspaceArchive) -> None:
    """A tap that was slipped in stands in no chain."""
    with bench.unit() as unit:
        unit.bench.taps.keep(replace(TAP, key="key-9", number=2))
    assert _problems(bench) == ["department valley: has 1 taps that no event tells of"]


def test_what_was_kept_after_its_event_is_bound_all_the_same(bench: WorkspaceArchive) -> None:
    """A row that is kept last in a unit is carried by an event of its own; the next change binds it again."""
    with bench.unit() as unit:
        unit.journal.append(DEPARTMENT, happening(5))
        unit.bench.loads.put(replace(LOAD, state="released"))
    with bench.unit(writes=False) as unit:
        newest = unit.journal.events(DEPARTMENT, Wanted(limit=1))[0]
    assert (newest.kind, list(newest.data)) == ("rows-kept", ["rows"])
    assert _problems(bench) == []
    _do(bench, "UPDATE loads SET state = 'held'")
    assert _problems(bench) == ["load l-1: was altered: the record book has it otherwise"]


def test_a_unit_that_fails_binds_nothing(bench: WorkspaceArchive) -> None:
    """Where a unit is undone its digests are gone with it."""

    def fail() -> None:
        with bench.unit() as unit:
            unit.bench.loads.put(replace(LOAD, state="released"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert _problems(bench) == []


def test_the_record_book_is_not_searched_by_digests(bench: WorkspaceArchive) -> None:
    """What an event carries of rows is nothing that a search finds."""
    with bench.unit(writes=False) as unit:
        assert unit.journal.events(DEPARTMENT, Wanted(text="loads l-1")) == []
        assert len(unit.journal.events(DEPARTMENT, Wanted(text="begun."))) == 1
