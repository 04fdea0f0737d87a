"""Check: whatever is altered is found, and named."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Executable, MetaData, Table, select, text, update

from sinkside.archive import CheckReport, WorkspaceArchive, check, check_archive
from sinkside.archive.connection import begun
from support.archive_places import DEPARTMENT, Place, fill, happening, revision
from support.figures import Figure

_SAMPLE = 3


@pytest.fixture
def unguarded(place: Place) -> WorkspaceArchive:
    """A filled archive whose tables anybody may change, as whoever owns the database can."""
    archive = place.open()
    fill(archive)
    with archive.unit() as unit:
        unit.documents.keep(revision(number=3))
    with begun(archive.engine, writes=True) as transaction:
        for name in ("events", "revisions"):
            if transaction.on_sqlite:
                transaction.connection.execute(text(f"DROP TRIGGER {name}_no_update"))
                transaction.connection.execute(text(f"DROP TRIGGER {name}_no_delete"))
            else:
                transaction.connection.execute(text(f"DROP TRIGGER {name}_no_change ON {name}"))
    return archive


def _do(archive: WorkspaceArchive, statement: Executable) -> None:
    with begun(archive.engine, writes=True) as transaction:
        transaction.connection.execute(statement)


def _problems(archive: WorkspaceArchive) -> list[str]:
    return [str(problem) for problem in check_archive(archive).problems]


def _changed(value: str | bytes, position: int) -> str | bytes:
    """The value with one byte changed, still of its kind."""
    if isinstance(value, bytes):
        return value[:position] + bytes([value[position] ^ 1]) + value[position + 1 :]
    return value[:position] + chr(ord(value[position]) ^ 1) + value[position + 1 :]


def _change_bytes(archive: WorkspaceArchive, name: str, number: int, chance: random.Random | None) -> int:
    """Change bytes of a stored row, one at a time, all or a sample; each time the check must name the row."""
    table = Table(name, MetaData(), autoload_with=archive.engine)
    key = table.c.sequence if name == "events" else table.c.number
    with begun(archive.engine, writes=False) as transaction:
        [whole] = transaction.all(select(table).where(key == number))
    values = {
        column: value
        for column, value in whole.items()
        if isinstance(value, (str, bytes)) and column != "department"
    }
    tried = 0
    for column, value in values.items():
        places = range(len(value))
        for position in chance.sample(places, min(_SAMPLE, len(places))) if chance else places:
            _do(archive, update(table).where(key == number).values({column: _changed(value, position)}))
            named = [one for one in _problems(archive) if f"{name[:-1]} {number}" in one]
            assert named, (column, position)
            _do(archive, update(table).where(key == number).values({column: value}))
            tried += 1
    assert _problems(archive) == []
    return tried


@pytest.mark.parametrize(("name", "number"), [("events", 3), ("events", 5), ("revisions", 2)])
def test_a_changed_byte_is_named(unguarded: WorkspaceArchive, name: str, number: int) -> None:
    """A sample of the bytes of every column of an event or revision, the last event's too."""
    assert _change_bytes(unguarded, name, number, random.Random(number)) >= 5 * _SAMPLE  # noqa: S311 # a sample
    unguarded.close()


@pytest.mark.long
@pytest.mark.parametrize("name", ["events", "revisions"])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_changed_byte_is_named(
    unguarded: WorkspaceArchive, name: str, number: int, figure: Figure
) -> None:
    """Every byte of every column."""
    tried = _change_bytes(unguarded, name, number, None)
    assert tried > 150
    figure(f"{tried:,} bytes of {name} {number} altered one by one, each named")
    unguarded.close()


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("DELETE FROM events WHERE sequence = 3", "valley, event 3: missing"),
        ("DELETE FROM events WHERE sequence = 5", "valley, event 5: missing"),
        ("DELETE FROM event_words WHERE sequence = 2", "event 2: was altered: its column words"),
        ("UPDATE event_words SET words = 'x' WHERE sequence = 2", "event 2: was altered: its column words"),
        ("UPDATE heads SET sequence = 4", "valley, event 5: stands after the head"),
        ("UPDATE heads SET digest = replace(digest, substr(digest, 1, 1), 'z')", "event 5: was changed"),
        ("DELETE FROM heads", "valley: has events and no head"),
        ("DELETE FROM revisions WHERE number = 2", "revision 3: does not follow"),
        ("UPDATE files SET size = 1", "(cycle.csv): its size is not the one"),
    ],
)
def test_what_is_missing_is_named(unguarded: WorkspaceArchive, statement: str, named: str) -> None:
    """Deleted rows, changed heads and search words are found too."""
    _do(unguarded, text(statement))
    assert any(named in problem for problem in _problems(unguarded)), _problems(unguarded)
    unguarded.close()


def test_a_changed_byte_of_a_file_is_named(place: Place) -> None:
    """Every byte of a stored file; and a file without a row is counted, not complained of."""
    archive = place.open()
    fill(archive)
    [digest] = archive.files.present()
    path = archive.files.path(digest)
    content = path.read_bytes()
    for position in range(len(content)):
        path.write_bytes(bytes(_changed(content, position)))  # type: ignore[arg-type] # bytes in, bytes out
        assert _problems(archive) == [f"file {digest} (cycle.csv): this stored file was altered"]
    path.unlink()
    assert _problems(archive) == [f"file {digest} (cycle.csv): this stored file is missing"]
    path.write_bytes(content)
    archive.files.write(b"stray")
    report = check_archive(archive)
    assert (report.is_sound, report.unnamed_files) == (True, 1)
    archive.close()


def test_a_recomputed_chain_is_found_by_its_printed_head(place: Place) -> None:
    """The head on paper is met while nothing was changed; a wrong or later one is a problem."""
    archive = place.open()
    fill(archive)
    with archive.unit() as unit:
        head = str(unit.journal.head(DEPARTMENT))
        unit.journal.append(DEPARTMENT, happening(9))
    assert check_archive(archive, printed={DEPARTMENT: head}).is_sound
    wrong = f"{head[:-1]}{'A' if head[-1] != 'A' else 'B'}"
    [problem] = check_archive(archive, printed={DEPARTMENT: wrong}).problems
    assert str(problem) == "department valley, event 5: is not the one whose head was printed"
    [problem] = check_archive(archive, printed={DEPARTMENT: head.replace("5-", "9-", 1)}).problems
    assert "is not reached" in str(problem)
    archive.close()


def _after_damage(folder: Path, needle: bytes, chance: random.Random) -> CheckReport:
    """What the check says once a byte of the database's file was changed, near the end of some content."""
    file = folder / "sinkside.sqlite3"
    content = file.read_bytes()
    at = content.index(needle) + chance.randrange(len(needle))
    file.write_bytes(content[:at] + bytes([content[at] ^ (1 << chance.randrange(8))]) + content[at + 1 :])
    try:
        return check(folder)
    finally:
        file.write_bytes(content)


def test_a_changed_byte_on_the_disk_is_named(tmp_path: Path) -> None:
    """Any bit of the events as they lie in SQLite's file, also such that leaves no text at all."""
    place = Place(tmp_path / "w").made()
    archive = place.open()
    fill(archive)
    with archive.unit(writes=False) as unit:
        stored = list(unit.journal.stored(DEPARTMENT))
    archive.close()
    with closing(sqlite3.connect(place.folder / "sinkside.sqlite3")) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    chance = random.Random(4)  # noqa: S311 # a sample
    for number, event in enumerate(stored, start=1):
        report = _after_damage(place.folder, event, chance)
        assert any(f"event {number}:" in str(problem) for problem in report.problems)
    report = _after_damage(place.folder, b"first words", chance)
    assert any("instruction i-1, revision" in str(problem) for problem in report.problems)
    assert check(place.folder).is_sound
