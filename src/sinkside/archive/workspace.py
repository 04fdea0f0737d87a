"""A workspace: the folder that holds a house's database, its files and its settings.

workspace.toml      what this folder is, the address of its database, settings; written last
sinkside.sqlite3    the tables, unless they are on a PostgreSQL server
files/              what was uploaded, by digest
"""

from __future__ import annotations

import json
import secrets
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import URL, insert, inspect, select
from sqlalchemy.engine import Engine

from sinkside.archive.connection import Transaction, begun, database_url, make_engine, plain_errors
from sinkside.archive.files import make_folder, settle
from sinkside.archive.migrating import migrate
from sinkside.archive.schema import settings
from sinkside.archive.settings import FAILURE_KEY, WORKSPACE
from sinkside.errors import BadInput, Conflict

FORMAT = "sinkside/workspace-1"
MARKER = "workspace.toml"


@dataclass(frozen=True)
class Workspace:
    """A workspace's folder and what its file states; `id` stands in its tables too, which are no other's."""

    folder: Path
    database: str = ""
    settings: Mapping[str, Any] = field(default_factory=dict)
    id: str = ""

    @property
    def files(self) -> Path:
        """The folder of stored files."""
        return self.folder / "files"

    def url(self, database: str = "") -> URL:
        """The address of the tables; another one may be told."""
        return database_url(self.folder, database or self.database)


def create_workspace(folder: Path, *, database: str = "") -> Workspace:
    """Make an empty workspace.

    Args:
        folder: where; made if missing, refused if there is anything in it.
        database: a PostgreSQL address of an empty database; SQLite in the folder unless given.

    Raises:
        Conflict: if the folder or the database is not empty.
    """
    workspace = new_workspace(folder, database)
    engine = prepare(workspace)
    try:
        with begun(engine, writes=True) as transaction:
            migrate(transaction.connection)
            transaction.change(insert(settings).values(name=FAILURE_KEY, value=secrets.token_hex(32)))
            name_workspace(transaction, workspace)
    finally:
        engine.dispose()
    mark(workspace)
    return workspace


def new_workspace(folder: Path, database: str) -> Workspace:
    """A workspace to be, with an id that no other has."""
    return Workspace(folder, database, id=secrets.token_hex(16))


def name_workspace(transaction: Transaction, workspace: Workspace) -> None:
    """Write into the tables whose they are."""
    transaction.put(settings, {"name": WORKSPACE, "value": workspace.id}, key=("name",))


def refuse_anothers_tables(transaction: Transaction, workspace: Workspace) -> None:
    """Let only tables pass that belong to this folder: their files are in one folder, and not in two.

    Raises:
        BadInput: if they belong to another workspace.
    """
    owner = transaction.value(select(settings.c.value).where(settings.c.name == WORKSPACE))
    if owner and owner != workspace.id:
        raise BadInput(
            "this database belongs to another workspace, whose folder has its files; expected the one made "
            "with this folder",
            resource=str(workspace.folder),
        )


def prepare(workspace: Workspace) -> Engine:
    """The folders of a workspace to be, and an engine for its still empty database.

    Raises:
        Conflict: if the folder or the database is not empty.
    """
    if workspace.folder.exists() and any(workspace.folder.iterdir()):
        raise Conflict("this folder is not empty; choose another", resource=str(workspace.folder))
    url = workspace.url()
    make_folder(workspace.files)
    engine = make_engine(url)
    try:
        with plain_errors():
            taken = inspect(engine).get_table_names()
    except BaseException:
        engine.dispose()
        raise
    if taken:
        engine.dispose()
        raise Conflict("this database is not empty; choose another", resource=str(url))
    return engine


def mark(workspace: Workspace) -> None:
    """Say in the folder what it is: the last step, so that a half-made workspace is none."""
    lines = [
        f'format = "{FORMAT}"',
        f"database = {json.dumps(workspace.database)}",
        f"id = {json.dumps(workspace.id)}",
        "",
        "[settings]",
        "",
    ]
    path = workspace.folder / MARKER
    path.write_text("\n".join(lines), encoding="utf-8")
    path.chmod(0o600)  # the address may carry a password
    settle(workspace.folder)


def read_workspace(folder: Path) -> Workspace:
    """What a workspace's file states.

    Raises:
        BadInput: if there is none, or it cannot be understood.
    """
    path = folder / MARKER
    try:
        stated = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadInput(
            f"this is no workspace: it has no {MARKER}; expected a folder made by sinkside",
            resource=str(folder),
        ) from error
    except ValueError as error:
        raise BadInput(f"this cannot be read: {error}", resource=str(path)) from error
    if stated.get("format") != FORMAT:
        raise BadInput(f'expected format = "{FORMAT}"', resource=str(path))
    chosen = stated.get("settings", {})
    database, known = stated.get("database", ""), stated.get("id", "")
    if not isinstance(chosen, dict) or not isinstance(database, str) or not isinstance(known, str):
        raise BadInput("expected database as text, id as text and [settings] as a table", resource=str(path))
    return Workspace(folder, database, chosen, known)
