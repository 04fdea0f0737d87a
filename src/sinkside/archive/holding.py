"""Holding a database while a workspace on it is served: a copy of the folder must not be served on it too."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sinkside.archive.connection import is_sqlite, make_engine, plain_errors
from sinkside.archive.workspace import read_workspace
from sinkside.errors import Conflict

#: Whatever else uses advisory locks in this database, it does not use this number.
_SERVED: Final = 0x51A5_1DE0


@contextmanager
def held_alone(folder: Path, *, database: str = "") -> Iterator[None]:
    """Hold a workspace's database until the block ends or the process does.

    SQLite's file lies in the folder, and whoever holds the folder holds it.

    Args:
        folder: the workspace.
        database: a PostgreSQL address, where it is not the one that the workspace's file states.

    Raises:
        Conflict: if it is held already, from this folder or from another.
    """
    url = read_workspace(folder).url(database)
    if is_sqlite(url):
        yield
        return
    engine = make_engine(url)
    try:
        with plain_errors(), engine.connect() as connection:
            held = connection.execution_options(isolation_level="AUTOCOMMIT")
            if not held.exec_driver_sql(f"SELECT pg_try_advisory_lock({_SERVED})").scalar():
                raise Conflict(
                    "this database is served already, from this folder or another", resource=str(folder)
                )
            yield
    finally:
        engine.dispose()
