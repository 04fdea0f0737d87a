"""Backup: everything that is kept, as it was at one moment, while others go on writing.

Tables are read within one transaction that sees one unchanging state; the files that they name are never
changed or deleted, so they can be copied afterwards. Who was signed in, and unused links, are left out: a
restored house asks everybody to sign in again.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import os
import tarfile
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, LargeBinary, MetaData, Table, select

from sinkside.archive.connection import begun, make_engine
from sinkside.archive.files import FileStore, settle
from sinkside.archive.manifest import MANIFEST, ChainHead, Manifest, TablePart
from sinkside.archive.migrating import VERSION_TABLE, current_version
from sinkside.archive.workspace import Workspace, read_workspace, refuse_anothers_tables
from sinkside.errors import BadInput, Conflict
from sinkside.journal import Head

_LEFT_OUT = frozenset({VERSION_TABLE, "sessions", "links", "failures"})

#: A backup holds people's names and the hashes of their passwords.
_OWNER_ONLY = 0o600


def backup(folder: Path, target: Path, *, now: datetime, database: str = "") -> Manifest:
    """Back up a workspace of this or an older version into one file, while it is in use.

    Args:
        folder: the workspace.
        target: the file to be; it is there whole or not at all.
        now: the moment, for the manifest.
        database: a PostgreSQL address, where it is not the one that the workspace's file states.

    Raises:
        Conflict: if the target is there already.
        BadInput: if this is no workspace, or the target's folder is missing.
    """
    workspace = read_workspace(folder)
    if target.exists():
        raise Conflict("this file is there already; choose another name", resource=str(target))
    if not target.parent.is_dir():
        raise BadInput("there is no such folder", resource=str(target.parent))
    unfinished = target.with_name(f"{target.name}.part")
    try:
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".backup-") as aside:
            manifest = _dump(workspace, Path(aside), now=now, database=database)
            _pack(unfinished, manifest, aside=Path(aside), store=FileStore(workspace.files))
        unfinished.rename(target)
    finally:
        unfinished.unlink(missing_ok=True)
    settle(target.parent)
    return manifest


def _dump(workspace: Workspace, aside: Path, *, now: datetime, database: str) -> Manifest:
    """Write every table aside, as all were at one moment."""
    store = FileStore(workspace.files)
    engine = make_engine(workspace.url(database))
    try:
        with begun(engine, writes=False) as transaction:
            connection = transaction.connection
            version = current_version(connection)
            if version is None:
                raise BadInput("the database of this workspace is empty", resource=str(workspace.folder))
            refuse_anothers_tables(transaction, workspace)
            known = tables_of(connection)
            parts = tuple(_dump_table(connection, table, aside) for table in known.values())
            heads = _heads(connection, known["heads"])
            named = sorted(connection.execute(select(known["files"].c.digest)).scalars())
    finally:
        engine.dispose()
    faults = {digest: problem for digest in named if (problem := store.fault(digest))}
    return Manifest(
        made=now,
        version=version,
        heads=heads,
        tables=parts,
        files=tuple(digest for digest in named if digest not in faults),
        faults=tuple(f"file {digest}: {problem}" for digest, problem in faults.items()),
    )


def tables_of(connection: Connection) -> dict[str, Table]:
    """The tables that a backup holds, as the database describes them; what is pointed to comes first."""
    known = MetaData()
    known.reflect(connection)
    return {table.name: table for table in known.sorted_tables if table.name not in _LEFT_OUT}


def _dump_table(connection: Connection, table: Table, aside: Path) -> TablePart:
    binary = tuple(column.name for column in table.c if isinstance(column.type, LargeBinary))
    found = hashlib.sha256()
    count = 0
    ordered = select(table).order_by(*table.primary_key.columns)
    with (aside / f"{table.name}.jsonl").open("xb") as stream:
        for row in connection.execute(ordered, execution_options={"yield_per": 500}):
            line = line_of(row)
            found.update(line)
            stream.write(line)
            count += 1
    return TablePart(
        name=table.name,
        columns=tuple(column.name for column in table.c),
        binary=binary,
        rows=count,
        sha256=found.hexdigest(),
    )


def line_of(values: Iterable[Any]) -> bytes:
    """A row of a table as a line of JSON, the same whichever database it is in."""
    plain = [
        base64.b64encode(value).decode() if isinstance(value, (bytes, memoryview)) else value
        for value in values
    ]
    return json.dumps(plain, separators=(",", ":")).encode() + b"\n"


def _heads(connection: Connection, heads: Table) -> tuple[ChainHead, ...]:
    kept = select(heads.c.department, heads.c.sequence, heads.c.digest).order_by(heads.c.department)
    return tuple(
        ChainHead.of(department, Head(sequence, digest))
        for department, sequence, digest in connection.execute(kept)
    )


def _pack(target: Path, manifest: Manifest, *, aside: Path, store: FileStore) -> None:
    """Put manifest, tables and files into one tar file that is on the disk for good."""
    with _kept_for_good(target) as stream, tarfile.open(fileobj=stream, mode="w") as packed:
        said = manifest.model_dump_json(indent=1).encode()
        _add(packed, MANIFEST, io.BytesIO(said), size=len(said), manifest=manifest)
        for part in manifest.tables:
            _add_path(packed, part.member, aside / f"{part.name}.jsonl", manifest)
        for digest in manifest.files:
            _add_path(packed, f"files/{digest}", store.path(digest), manifest)


@contextmanager
def _kept_for_good(path: Path) -> Iterator[IO[bytes]]:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OWNER_ONLY)
    with os.fdopen(handle, "wb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


def _add_path(packed: tarfile.TarFile, name: str, path: Path, manifest: Manifest) -> None:
    with path.open("rb") as content:
        _add(packed, name, content, size=os.fstat(content.fileno()).st_size, manifest=manifest)


def _add(packed: tarfile.TarFile, name: str, content: IO[bytes], *, size: int, manifest: Manifest) -> None:
    member = tarfile.TarInfo(name)
    member.size = size
    member.mode = _OWNER_ONLY
    member.mtime = int(manifest.made.timestamp())
    packed.addfile(member, content)
