"""Workspaces: made once, opened only as what they are."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from sinkside.archive import (
    WorkspaceArchive,
    backup,
    create_workspace,
    held_alone,
    open_archive,
    read_workspace,
)
from sinkside.archive.connection import DATABASE_FILE, begun
from sinkside.archive.migrating import LATEST, MIGRATIONS
from sinkside.archive.schema_teaching import posts
from sinkside.errors import BadInput, Conflict, SinksideError
from support.archive_places import NOW, Place


def test_the_migrations_make_the_tables_that_the_program_knows(archive: WorkspaceArchive) -> None:
    """A migrated database has no table, column or index more or less than the schema says."""
    with begun(archive.engine, writes=False) as transaction:
        assert compare_metadata(MigrationContext.configure(transaction.connection), posts.metadata) == []


def test_the_latest_migration_is_the_one_that_the_program_names() -> None:
    """The version that opening asks for is the head of the migrations."""
    assert ScriptDirectory(str(MIGRATIONS)).get_current_head() == LATEST


def test_sqlite_is_set_up_so_that_commits_stay(tmp_path: Path) -> None:
    """Write-ahead log, full synchronisation, foreign keys, waiting, wiping of deleted content."""
    archive = Place(tmp_path / "w").made().open()
    with begun(archive.engine, writes=False) as transaction:
        found = {
            name: transaction.connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "secure_delete")
        }
    archive.close()
    assert found == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 30_000,
        "secure_delete": 1,
    }


def test_a_workspace_is_made_once(new_place: Callable[[], Place]) -> None:
    """A folder or database that is not empty is refused, and stays as it was."""
    place = new_place().made()
    with pytest.raises(Conflict, match="not empty"):
        create_workspace(place.folder)
    if place.database:
        with pytest.raises(Conflict, match="database is not empty"):
            create_workspace(new_place().folder, database=place.database)


def test_tables_belong_to_one_folder(new_place: Callable[[], Place], tmp_path: Path) -> None:
    """A folder whose database is another's is refused in a sentence: half of its files would not be there."""
    first, other = new_place().made(), Place(tmp_path / "other").made()
    if not first.database:
        shutil.copy(first.folder / DATABASE_FILE, other.folder / DATABASE_FILE)
    with pytest.raises(BadInput, match="belongs to another workspace"):
        open_archive(other.folder, database=first.database)
    with pytest.raises(BadInput, match="belongs to another workspace"):
        backup(other.folder, tmp_path / "b.tar", now=NOW, database=first.database)
    first.open().close()


def test_a_database_is_served_from_one_folder(new_place: Callable[[], Place], tmp_path: Path) -> None:
    """A copy of the folder is not served on the same PostgreSQL database; afterwards it may be."""
    place = new_place().made()
    copied = tmp_path / "copied"
    shutil.copytree(place.folder, copied)
    with held_alone(place.folder):
        if place.database:
            with pytest.raises(Conflict, match="served already"), held_alone(copied):
                pass
    with held_alone(copied):
        pass


def test_the_workspace_file_is_for_its_owner(tmp_path: Path) -> None:
    """It may carry the password of a database."""
    create_workspace(tmp_path / "w")
    assert (tmp_path / "w" / "workspace.toml").stat().st_mode & 0o077 == 0


def test_settings_are_read(tmp_path: Path) -> None:
    """What somebody writes under [settings] is there on reading."""
    create_workspace(tmp_path / "w")
    with (tmp_path / "w" / "workspace.toml").open("a", encoding="utf-8") as stream:
        stream.write("port = 8100\n")
    assert read_workspace(tmp_path / "w").settings == {"port": 8100}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "no workspace"),
        ("= 1", "cannot be read"),
        ('format = "sinkside/workspace-9"', "expected format"),
        ('format = "sinkside/workspace-1"\ndatabase = 1', "expected database as text"),
        ('format = "sinkside/workspace-1"\ndatabase = "mysql://h/d"', "not supported"),
        ('format = "sinkside/workspace-1"\ndatabase = "nonsense"', "database address"),
        ('format = "sinkside/workspace-1"', "missing or empty"),
    ],
)
def test_what_is_no_workspace_is_refused_in_a_sentence(
    tmp_path: Path, content: str | None, said: str
) -> None:
    """Every way of not being a workspace has its sentence."""
    if content is not None:
        (tmp_path / "workspace.toml").write_text(content, encoding="utf-8")
    with pytest.raises(BadInput, match=said):
        open_archive(tmp_path)


def test_a_server_that_does_not_answer_is_said(tmp_path: Path) -> None:
    """An unreachable database gives a sentence, not a trace of the driver's."""
    with pytest.raises(SinksideError, match="does not answer"):
        create_workspace(tmp_path / "w", database=f"postgresql://x@/y?host={os.fspath(tmp_path)}")
