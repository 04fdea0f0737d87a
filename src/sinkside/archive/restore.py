"""Restore: a backup becomes a workspace again, on either database, whole or not at all."""

from __future__ import annotations

import base64
import hashlib
import json
import shutil
import tarfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import IO, Any

from pydantic import ValidationError
from sqlalchemy import Connection, Table, insert
from sqlalchemy.engine import Engine

from sinkside.archive import migrating
from sinkside.archive.backup import tables_of
from sinkside.archive.connection import begun
from sinkside.archive.files import FileStore
from sinkside.archive.manifest import MANIFEST, Manifest, TablePart
from sinkside.archive.workspace import Workspace, mark, name_workspace, new_workspace, prepare
from sinkside.errors import BadInput, UnreadableFile

_ROWS_AT_ONCE = 500


def restore(backup: Path, folder: Path, *, database: str = "") -> Manifest:
    """Make a workspace from a backup, brought up to this version.

    Args:
        backup: the file that `backup` made.
        folder: the workspace to be; made if missing, refused if there is anything in it.
        database: a PostgreSQL address of an empty database; SQLite in the folder unless given.

    Raises:
        Conflict: if the folder or the database is not empty.
        UnreadableFile: if this is no whole backup; nothing is left behind.
        BadInput: if it was made by a newer version.
    """
    with _unpacked(backup) as packed:
        manifest = _manifest(packed, backup)
        workspace = new_workspace(folder, database)
        engine = prepare(workspace)
        try:
            _fill(workspace, engine, packed, manifest)
        except BaseException:
            for made in folder.iterdir():
                shutil.rmtree(made) if made.is_dir() else made.unlink()
            raise
        finally:
            engine.dispose()
    mark(workspace)
    return manifest


@contextmanager
def _unpacked(backup: Path) -> Iterator[tarfile.TarFile]:
    try:
        with tarfile.open(backup, mode="r:") as packed:
            yield packed
    except (OSError, tarfile.TarError) as error:
        raise UnreadableFile("this is no whole backup", resource=str(backup)) from error


def _manifest(packed: tarfile.TarFile, backup: Path) -> Manifest:
    try:
        manifest = Manifest.model_validate_json(_member(packed, MANIFEST).read())
    except ValidationError as error:
        raise UnreadableFile("this backup's manifest cannot be understood", resource=str(backup)) from error
    if manifest.version > migrating.LATEST:
        raise BadInput(
            "this backup was made by a newer version of sinkside; use that one", resource=str(backup)
        )
    return manifest


def _member(packed: tarfile.TarFile, name: str) -> IO[bytes]:
    try:
        content = packed.extractfile(name)
    except KeyError:
        content = None
    if content is None:
        raise UnreadableFile("this is missing from the backup", resource=name)
    return content


def _fill(workspace: Workspace, engine: Engine, packed: tarfile.TarFile, manifest: Manifest) -> None:
    store = FileStore(workspace.files)
    for digest in manifest.files:
        store.take(_member(packed, f"files/{digest}"), digest)
    with begun(engine, writes=True) as transaction:
        connection = transaction.connection
        migrating.migrate(connection, manifest.version)
        known = tables_of(connection)
        for part in manifest.tables:
            _fill_table(connection, known, part, _member(packed, part.member))
        migrating.migrate(connection)
        name_workspace(transaction, workspace)


def _fill_table(
    connection: Connection, known: Mapping[str, Table], part: TablePart, lines: IO[bytes]
) -> None:
    if part.name not in known or set(part.columns) != set(known[part.name].c.keys()):
        raise UnreadableFile("this backup has a table that its version does not know", resource=part.name)
    found = hashlib.sha256()
    count = 0
    while portion := list(islice(lines, _ROWS_AT_ONCE)):
        for line in portion:
            found.update(line)
        connection.execute(insert(known[part.name]), [_row(line, part) for line in portion])
        count += len(portion)
    if (found.hexdigest(), count) != (part.sha256, part.rows):
        raise UnreadableFile("this table of the backup was altered", resource=part.member)


def _row(line: bytes, part: TablePart) -> dict[str, Any]:
    try:
        row = dict(zip(part.columns, json.loads(line), strict=True))
        return {**row, **{name: base64.b64decode(row[name]) for name in part.binary if row[name] is not None}}
    except (ValueError, TypeError) as error:
        raise UnreadableFile("this table of the backup was altered", resource=part.member) from error
