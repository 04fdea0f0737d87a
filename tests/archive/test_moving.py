"""Moving from SQLite to PostgreSQL: every row the same there, the source as it was, or nothing moved."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import psycopg
import pytest

from sinkside.archive import check, create_workspace, migrating, move, moving, open_archive
from sinkside.archive.connection import DATABASE_FILE
from sinkside.demo.house import fill_house
from sinkside.errors import BadInput, Conflict, SinksideError
from sinkside.records import CaseSet, KeptCase, KeptCopy, KeptLoad, KeptTap, LoadedCopy
from support.archive_places import DEPARTMENT, NOW, SITE, Place, fill, happening, later, revision, row, tapped
from support.postgresql_server import new_database

_WORDS = (
    "Größe",
    "naïve",
    "кровь",
    "超声",
    "\u202eodd",
    'quo"te',
    "back\\slash",
    "tab\there",
    "50 %",
    "\U0001f9ea",
)


@pytest.fixture
def empty(postgresql: Path, tmp_path: Path) -> Callable[[], str]:
    """Gives addresses of empty databases."""
    numbers = iter(range(100))
    return lambda: new_database(postgresql, f"m{os.getpid()}_{tmp_path.name}_{next(numbers)}")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A workspace on SQLite with some of everything in it."""
    place = Place(tmp_path / "house").made()
    archive = place.open()
    fill(archive, events=30)
    archive.close()
    return place.folder


def _say_nothing(_doing: str, _done: int, _total: int) -> None:
    """Nobody watches."""


def _file_digest(house: Path) -> str:
    return hashlib.sha256((house / DATABASE_FILE).read_bytes()).hexdigest()


def _events_here(house: Path) -> dict[tuple[str, int], tuple[str, bytes]]:
    """Every event of the file by the database's own driver: department and number, digest and bytes."""
    with sqlite3.connect(house / DATABASE_FILE) as connection:
        found = connection.execute("SELECT department, sequence, digest, canonical FROM events").fetchall()
    connection.close()
    return {(one[0], one[1]): (one[2], bytes(one[3])) for one in found}


def _events_there(address: str) -> dict[tuple[str, int], tuple[str, bytes]]:
    """Every event of the server by its own driver."""
    with psycopg.connect(address) as connection:
        found = connection.execute("SELECT department, sequence, digest, canonical FROM events").fetchall()
    return {(one[0], one[1]): (one[2], bytes(one[3])) for one in found}


def _is_empty(address: str) -> bool:
    with psycopg.connect(address) as connection:
        found = connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone()
    return found == (0,)


def test_the_demo_house_is_the_same_on_the_server(tmp_path: Path, empty: Callable[[], str]) -> None:
    """Each event's bytes and digest, each table's rows and each chain's head; the file here is untouched."""
    house, to = tmp_path / "demo", empty()
    create_workspace(house)
    archive = open_archive(house)
    fill_house(archive, now=NOW)
    archive.close()
    before, told = _file_digest(house), list[str]()
    moved = move(house, to, tell=lambda doing, _done, _total: told.append(doing))
    assert moved.is_sound
    assert moved.after.heads == moved.before.heads == check(house, database=to).heads
    assert _events_there(to) == _events_here(house)
    assert len(_events_here(house)) > 400
    for digest, canonical in _events_there(to).values():
        assert hashlib.sha256(canonical).hexdigest() == digest
    assert _file_digest(house) == before
    assert {"sending events", "comparing events"} <= set(told)


def test_a_random_house_is_the_same_on_the_server(tmp_path: Path, empty: Callable[[], str]) -> None:
    """Odd texts, empty fields, every table of the bench: what the units read there is what they read here."""
    chance = random.Random(7)  # noqa: S311 # nobody's secret
    house, to = tmp_path / "random", empty()
    create_workspace(house)
    archive = open_archive(house)
    fill(archive)
    with archive.unit() as unit:
        unit.sites.add(replace(SITE, id="harbour", name=chance.choice(_WORDS)))
        for number in range(300):
            department = chance.choice((DEPARTMENT, "harbour"))
            unit.journal.append(department, happening(number, note=" ".join(chance.choices(_WORDS, k=4))))
        for number in range(1, 40):
            unit.documents.keep(revision(f"i-{number + 10}", body=json.dumps(chance.choices(_WORDS, k=9))))
            unit.rows.put(row(number + 10, title=chance.choice(_WORDS)))
        copy = KeptCopy("c-1", DEPARTMENT, "4711", "set", "s-1", "Set", "soiled", "here", NOW, due=later(9))
        unit.bench.copies.put(copy)
        unit.bench.loads.put(
            KeptLoad("l-1", DEPARTMENT, "washer", "w-1", "P", "over", NOW, fields={"a": None})
        )
        unit.bench.loads.keep_in(LoadedCopy("l-1", "c-1", "r-1", NOW))
        unit.bench.cases.put(KeptCase("k-1", DEPARTMENT, "OP-17", "3", later(30), "planned"))
        unit.bench.cases.put_set(CaseSet("k-1", "s-1", copy="c-1"))
        tap = KeptTap(
            "key-1", DEPARTMENT, "b", 1, "begin", "system", NOW, NOW, "done", "", "c-1", entered=True
        )
        unit.bench.taps.keep(tap)
        unit.journal.append(DEPARTMENT, tapped(tap))
        unit.people.note_failure("somebody", NOW)
    archive.close()
    moved = move(house, to, tell=_say_nothing)
    assert moved.is_sound
    assert _events_there(to) == _events_here(house)
    here, there = open_archive(house), open_archive(house, database=to)
    with here.unit(writes=False) as ours, there.unit(writes=False) as theirs:
        assert theirs.rows.all("instruction", [DEPARTMENT]) == ours.rows.all("instruction", [DEPARTMENT])
        assert theirs.bench.copies.get("c-1") == copy
        assert theirs.bench.taps.get(DEPARTMENT, "key-1") == tap
        assert theirs.people.all() == ours.people.all()
    with there.unit() as unit:
        unit.people.note_failure("somebody", later(1))  # the server's own numbers go on
        unit.journal.append(DEPARTMENT, happening(999))
    here.close()
    there.close()
    assert check(house, database=to).is_sound


def test_a_moved_house_has_the_indexes_of_a_new_one(
    house: Path, tmp_path: Path, empty: Callable[[], str]
) -> None:
    """They are dropped while rows are sent, and stand there afterwards as the migrations make them."""
    to, new = empty(), empty()
    move(house, to, tell=_say_nothing)
    create_workspace(tmp_path / "new", database=new)
    found = []
    for address in (to, new):
        with psycopg.connect(address) as connection:
            found.append(connection.execute("SELECT indexdef FROM pg_indexes ORDER BY indexname").fetchall())
    assert found[0] == found[1]


def test_a_row_that_arrives_otherwise_undoes_the_move(
    house: Path, empty: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Were one byte other than it was sent, nothing would be there afterwards."""
    to = empty()
    read = moving._rows

    def altered(connection: object, known: object, names: object) -> object:
        for found in read(connection, known, names):  # type: ignore[arg-type]
            is_there = connection.dialect.name == "postgresql"  # type: ignore[attr-defined]
            yield (*found[:-1], b"!") if is_there and known.name == "events" else found  # type: ignore[attr-defined]

    monkeypatch.setattr(moving, "_rows", altered)
    with pytest.raises(SinksideError, match="nothing was moved"):
        move(house, to, tell=_say_nothing)
    assert _is_empty(to)


_KILLED = """
import sys, time
from pathlib import Path
from sinkside.archive import move

def tell(doing, done, total):
    if doing == "comparing events":
        print("now", flush=True)
        time.sleep(60)

move(Path(sys.argv[1]), sys.argv[2], tell=tell)
"""


def test_a_move_that_is_killed_is_begun_again(house: Path, empty: Callable[[], str]) -> None:
    """Killed while it compares: the database is served by nobody, is still empty, and takes the next move."""
    to = empty()
    killed = subprocess.Popen(
        [sys.executable, "-c", _KILLED, str(house), to], stdout=subprocess.PIPE, text=True
    )
    assert killed.stdout is not None
    assert killed.stdout.readline() == "now\n"
    killed.send_signal(signal.SIGKILL)
    killed.wait()
    killed.stdout.close()
    with pytest.raises(BadInput, match="missing or empty"):
        open_archive(house, database=to)
    assert _is_empty(to)
    assert move(house, to, tell=_say_nothing).is_sound


def test_a_database_that_is_not_empty_is_refused(
    house: Path, tmp_path: Path, empty: Callable[[], str]
) -> None:
    """In plain words: what is in it. What was there stays."""
    to, other, foreign = empty(), empty(), empty()
    move(house, to, tell=_say_nothing)
    create_workspace(tmp_path / "other", database=other)
    with psycopg.connect(foreign, autocommit=True) as connection:
        connection.execute("CREATE TABLE theirs (id integer)")
    refused = {
        to: "this very workspace, moved there before",
        other: "another workspace, of this version",
        foreign: "1 tables that are not Sinkside's",
    }
    for address, words in refused.items():
        with pytest.raises(Conflict, match=words):
            move(house, address, tell=_say_nothing)
    with psycopg.connect(other, autocommit=True) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0001'")
        with pytest.raises(Conflict, match="another workspace, of an older version"):
            move(house, other, tell=_say_nothing)
        connection.execute("UPDATE alembic_version SET version_num = %s", [migrating.LATEST])
    assert check(tmp_path / "other").is_sound


def test_what_cannot_be_moved_is_refused(
    house: Path, tmp_path: Path, empty: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tables that are on a server already, an address of another kind, an older house, an unsound one."""
    create_workspace(tmp_path / "served", database=empty())
    with pytest.raises(BadInput, match="own file"):
        move(tmp_path / "served", empty(), tell=_say_nothing)
    with pytest.raises(BadInput, match="PostgreSQL"):
        move(house, "mysql://x/y", tell=_say_nothing)
    with monkeypatch.context() as patched:
        patched.setattr(migrating, "LATEST", f"{int(migrating.LATEST) + 1:04}")
        with pytest.raises(BadInput, match="sinkside upgrade"):
            move(house, empty(), tell=_say_nothing)
    with sqlite3.connect(house / DATABASE_FILE) as connection:
        connection.execute("UPDATE heads SET sequence = sequence + 1")
    connection.close()
    to = empty()
    with pytest.raises(SinksideError, match="nothing was moved"):
        move(house, to, tell=_say_nothing)
    assert _is_empty(to)
