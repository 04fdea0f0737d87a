"""Move: everything from a workspace's own file to a PostgreSQL server, and proof that it is all there.

All of it is one transaction of the server: until every row was read back and found the same, nobody else sees
any of it, and a move that is killed leaves the database as empty as it was. The source is only read.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, MetaData, Table, column, func, inspect, select, table
from sqlalchemy.engine import Engine

from sinkside.archive import migrating
from sinkside.archive.archive import open_archive
from sinkside.archive.backup import line_of
from sinkside.archive.checking import CheckReport, check
from sinkside.archive.connection import Transaction, begun, is_sqlite, make_engine, plain_errors
from sinkside.archive.schema import metadata, settings
from sinkside.archive.settings import WORKSPACE
from sinkside.archive.workspace import MARKER, Workspace, read_workspace
from sinkside.errors import BadInput, Conflict, SinksideError

#: Told what is being done, how many rows of it are done, and how many there are.
Tell = Callable[[str, int, int], None]

_PORTION: Final = 2_000
_DIGESTS: Final = 1 << 256


@dataclass(frozen=True)
class MovedTable:
    """A table that is the same on both sides: how many rows, and one digest over all of them."""

    name: str
    rows: int
    digest: str


@dataclass(frozen=True)
class Moved:
    """What was moved, what `check` says of both sides, and the line that switches the workspace over."""

    tables: tuple[MovedTable, ...]
    before: CheckReport
    after: CheckReport
    switch: str

    @property
    def is_sound(self) -> bool:
        """Whether the check of the new side found nothing, and the same chains as on the old one."""
        return self.after.is_sound and self.after.heads == self.before.heads


def move(folder: Path, to: str, *, tell: Tell) -> Moved:
    """Move a workspace's tables from its own file into an empty database of PostgreSQL.

    The workspace goes on using its file until its own `workspace.toml` names the database.

    Args:
        folder: the workspace; nobody may write to it meanwhile, or what is written then stays behind.
        to: the address of an empty PostgreSQL database.
        tell: told how far it is.

    Raises:
        BadInput: if this is no workspace of this version on SQLite, or `to` is no such address.
        Conflict: if the database there is not empty: what is in it.
        SinksideError: if `check` finds something wrong before, or a row is not the same there; then nothing
            was moved.
    """
    workspace = read_workspace(folder)
    source_url, target_url = workspace.url(), Workspace(folder, to).url()
    if not is_sqlite(source_url) or is_sqlite(target_url):
        raise BadInput(
            "only tables in the workspace's own file are moved, and only to a PostgreSQL address; `backup` "
            "and `restore` bring those of a server to another one",
            resource=str(folder),
        )
    open_archive(folder).close()  # which refuses what is of another version, and says what to do
    before = check(folder)
    if not before.is_sound:
        raise SinksideError(
            f"check finds {len(before.problems)} things wrong here, the first: {before.problems[0]}; "
            "nothing was moved",
            resource=str(folder),
        )
    source, target = make_engine(source_url), make_engine(target_url)
    try:
        _refuse_full(target, workspace)
        with begun(source, writes=False) as reading, begun(target, writes=True) as writing:
            moved = _moved(reading, writing, tell)
    finally:
        source.dispose()
        target.dispose()
    after = check(folder, database=to)
    switch = f'database = "{target_url.set(drivername="postgresql").render_as_string(hide_password=True)}"'
    return Moved(moved, before, after, f"{switch} in {folder / MARKER}")


def _refuse_full(target: Engine, workspace: Workspace) -> None:
    """Let only an empty database pass.

    Raises:
        Conflict: if it is not, with what is in it.
    """
    where = target.url.render_as_string(hide_password=True)
    with plain_errors(), target.connect() as connection:
        names = inspect(connection).get_table_names()
        version = migrating.current_version(connection)
        if not names:
            return
        if version is None:
            found = f"{len(names)} tables that are not Sinkside's"
        elif _owner(connection) == workspace.id:
            found = "this very workspace, moved there before"
        else:
            age = "an older version" if version < migrating.LATEST else "this version or a newer one"
            found = f"another workspace, of {age}"
    raise Conflict(f"this database is not empty: it holds {found}; expected an empty one", resource=where)


def _owner(connection: Connection) -> str | None:
    named = table(settings.name, column("name"), column("value"))
    found = connection.execute(select(named.c.value).where(named.c.name == WORKSPACE)).scalar()
    return None if found is None else str(found)


def _moved(reading: Transaction, writing: Transaction, tell: Tell) -> tuple[MovedTable, ...]:
    """Copy every table, read each back, and compare.

    Raises:
        SinksideError: if one is not the same there; whoever called undoes everything.
    """
    migrating.migrate(writing.connection)
    for known in metadata.sorted_tables:
        for index in known.indexes:
            index.drop(writing.connection)
    there = _tables(writing.connection)
    sent = [
        _copied(reading.connection, known, writing.connection, there[name], tell)
        for name, known in _tables(reading.connection).items()
    ]
    for known in metadata.sorted_tables:
        for index in known.indexes:
            index.create(writing.connection)
    for one in sent:
        found = _read(writing.connection, there[one.name], one.rows, tell)
        if found != one:
            raise SinksideError(
                f"{found.rows} rows arrived of {one.rows}, or not as they were sent; nothing was moved",
                resource=one.name,
            )
    return tuple(sent)


def _tables(connection: Connection) -> dict[str, Table]:
    """Every table that the database has, what is pointed to first; only its version stays where it is."""
    known = MetaData()
    known.reflect(connection)
    return {one.name: one for one in known.sorted_tables if one.name != migrating.VERSION_TABLE}


def _copied(reading: Connection, here: Table, writing: Connection, there: Table, tell: Tell) -> MovedTable:
    """Send every row of a table, and say how many and which."""
    if set(here.c.keys()) != set(there.c.keys()):
        raise SinksideError("this table has other columns there; nothing was moved", resource=here.name)
    total = _count(reading, here)
    names = ", ".join(f'"{one.name}"' for one in here.c)
    driver: Any = writing.connection.driver_connection
    digest = rows = 0
    with driver.cursor() as cursor, cursor.copy(f'COPY "{there.name}" ({names}) FROM STDIN') as stream:
        for row in _rows(reading, here, list(here.c.keys())):
            stream.write_row(row)
            digest += _digest(row)
            rows += 1
            if rows % _PORTION == 0:
                tell(f"sending {here.name}", rows, total)
    _go_on_counting(writing, there)
    tell(f"sending {here.name}", total, total)
    return MovedTable(here.name, rows, f"{digest % _DIGESTS:064x}")


def _read(connection: Connection, there: Table, total: int, tell: Tell) -> MovedTable:
    """What a table holds: how many rows, and which."""
    digest = rows = 0
    for row in _rows(connection, there, [one.name for one in metadata.tables[there.name].c]):
        digest += _digest(row)
        rows += 1
        if rows % _PORTION == 0:
            tell(f"comparing {there.name}", rows, total)
    tell(f"comparing {there.name}", total, total)
    return MovedTable(there.name, rows, f"{digest % _DIGESTS:064x}")


def _rows(connection: Connection, known: Table, names: list[str]) -> Iterator[tuple[Any, ...]]:
    every = select(*(known.c[name] for name in names))
    for row in connection.execute(every, execution_options={"yield_per": _PORTION}):
        yield tuple(row)


def _digest(row: tuple[Any, ...]) -> int:
    """A row's digest; the sum over all rows does not hang on the order in which a database gives them."""
    return int.from_bytes(hashlib.sha256(line_of(row)).digest())


def _count(connection: Connection, known: Table) -> int:
    return int(connection.execute(select(func.count()).select_from(known)).scalar_one())


def _go_on_counting(connection: Connection, there: Table) -> None:
    """Numbers that the server gives out itself go on after those that came along."""
    for one in there.primary_key:
        if "nextval" in str(getattr(one.server_default, "arg", "")):
            counter = func.pg_get_serial_sequence(there.name, one.name)
            last = select(func.max(one)).scalar_subquery()
            connection.execute(select(func.setval(counter, func.coalesce(last, 1), last.is_not(None))))
