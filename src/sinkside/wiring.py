"""The only place that joins the parts to the world: the clock, the environment, a workspace's archive."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from sinkside.archive import CheckReport, Manifest, Moved
    from sinkside.desk.jobs import Handlers
    from sinkside.desk.ports import Archive
    from sinkside.settings import Settings

#: Where the key of badges is kept: with the tables, so that a backup has it.
_BADGE_KEY: Final = "badge-key"
_BADGE_KEY_BYTES: Final = 32


def now() -> datetime:
    """The moment, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """The day where the machine stands; paper bears it."""
    return datetime.now().astimezone().date()


def make_workspace(folder: Path, *, database: str = "") -> None:
    """Make an empty workspace.

    Raises:
        Conflict: if the folder or the database is not empty.
    """
    from sinkside.archive import create_workspace

    create_workspace(folder, database=database)


def is_workspace(folder: Path) -> bool:
    """Whether a folder is a workspace, or was one; an empty or missing one can become it."""
    return folder.exists() and (not folder.is_dir() or any(folder.iterdir()))


def settings_of(folder: Path, flags: Mapping[str, Any]) -> Settings:
    """The settings in force for a workspace.

    Raises:
        BadInput: if it is no workspace, or a setting will not do.
    """
    from sinkside.archive import read_workspace
    from sinkside.settings import settle

    return settle(flags=flags, environment=os.environ, workspace=read_workspace(folder).settings)


def open_workspace(folder: Path, *, database: str = "") -> Archive:
    """The archive of a workspace, as the desk asks for one.

    Raises:
        BadInput: if it is no workspace, or one of another version; the sentence says what to do.
    """
    from sinkside.archive import open_archive

    return open_archive(folder, database=database)


def open_to_work(folder: Path, *, database: str = "") -> Archive:
    """The same, after clearing away what a killed upload left a day ago and longer.

    Raises:
        BadInput: if it is no workspace, or one of another version; the sentence says what to do.
    """
    from sinkside.archive import open_archive

    archive = open_archive(folder, database=database)
    archive.sweep(now())
    return archive


@contextmanager
def opened(folder: Path, *, database: str | None = None) -> Iterator[Archive]:
    """The archive of a workspace for the length of one command.

    Raises:
        BadInput: if it is no workspace, or one of another version; the sentence says what to do.
    """
    from sinkside.archive import open_archive

    archive = open_archive(folder, database=_database(folder, database))
    try:
        yield archive
    finally:
        archive.close()


def served_alone(folder: Path, *, database: str = "") -> AbstractContextManager[None]:
    """Hold a workspace's database while it is served.

    Raises:
        Conflict: if it is served already, from this folder or another.
    """
    from sinkside.archive import held_alone

    return held_alone(folder, database=database)


def back_up(folder: Path, target: Path, *, database: str | None = None) -> Manifest:
    """Back up a workspace into one file, while it is in use.

    Raises:
        Conflict: if the file is there already.
        BadInput: if it is no workspace, or there is no such folder.
    """
    from sinkside.archive import backup

    return backup(folder, target, now=now(), database=_database(folder, database))


def restore(file: Path, folder: Path, *, database: str | None = None) -> Manifest:
    """Make a workspace from a backup.

    Raises:
        Conflict: if the folder or the database is not empty.
        BadInput: if this is no whole backup, or one of a newer version.
    """
    from sinkside import archive

    return archive.restore(file, folder, database=database or "")


def check(
    folder: Path, *, database: str | None = None, printed: Mapping[str, str] | None = None
) -> CheckReport:
    """Look at all that a workspace keeps, and at heads that were printed.

    Raises:
        BadInput: if it is no workspace, or one of another version.
    """
    from sinkside import archive

    return archive.check(folder, database=_database(folder, database), printed=printed)


def upgrade(folder: Path, *, database: str | None = None) -> Path | None:
    """Bring a workspace up to this version, and say where the backup from before is.

    Raises:
        BadInput: if it is no workspace, or one of a newer version.
    """
    from sinkside import archive

    return archive.upgrade(folder, now=now(), database=_database(folder, database))


def move(folder: Path, to: str, *, tell: Callable[[str, int, int], None]) -> Moved:
    """Move a workspace's tables from its own file into an empty PostgreSQL database.

    Raises:
        BadInput: if it is no workspace of this version on SQLite, or there is no such address.
        Conflict: if the database is not empty.
        SinksideError: if something is wrong here, or is not the same there; then nothing was moved.
    """
    from sinkside import archive

    return archive.move(folder, to, tell=tell)


def _database(folder: Path, told: str | None) -> str:
    return settings_of(folder, {"database": told}).database


def badge_key(archive: Archive) -> bytes:
    """The key that hides badges in this workspace; made when it is first asked for."""
    from sinkside.records import Revision

    with archive.unit() as unit:
        kept = unit.documents.get(_BADGE_KEY, _BADGE_KEY)
        if kept is None:
            made = secrets.token_hex(_BADGE_KEY_BYTES)
            kept = Revision(_BADGE_KEY, _BADGE_KEY, 1, made, "", "system", now())
            unit.documents.keep(kept)
    return bytes.fromhex(kept.body)


def job_handlers() -> Handlers:
    """Who does each kind of long work."""
    from sinkside.desk.work import handlers

    return handlers()
