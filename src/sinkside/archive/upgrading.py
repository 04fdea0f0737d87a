"""Upgrade: an older workspace becomes one of this version, and is backed up first."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sinkside.archive import migrating
from sinkside.archive.backup import backup
from sinkside.archive.connection import begun, make_engine
from sinkside.archive.files import make_folder
from sinkside.archive.workspace import read_workspace
from sinkside.errors import BadInput

BACKUPS = "backups"


def upgrade(folder: Path, *, now: datetime, database: str = "") -> Path | None:
    """Bring a workspace up to this version, in one transaction, after a backup.

    Args:
        folder: the workspace.
        now: the moment, for the backup.
        database: a PostgreSQL address, where it is not the one that the workspace's file states.

    Returns:
        The backup that was made first; none if there was nothing to do.

    Raises:
        BadInput: if this is no workspace, or one of a newer version.
    """
    workspace = read_workspace(folder)
    engine = make_engine(workspace.url(database))
    try:
        with begun(engine, writes=False) as transaction:
            version = migrating.current_version(transaction.connection)
        if version == migrating.LATEST:
            return None
        if version is None or version > migrating.LATEST:
            raise BadInput("this workspace is empty, or of a newer version of sinkside", resource=str(folder))
        made = folder / BACKUPS / f"before-{migrating.LATEST}-{now:%Y%m%dT%H%M%SZ}.tar"
        make_folder(made.parent)
        backup(folder, made, now=now, database=database)
        with begun(engine, writes=True) as transaction:
            migrating.migrate(transaction.connection)
    finally:
        engine.dispose()
    return made
