"""Migrations: how a database becomes the one that this version of the program knows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, column, inspect, select, table
from sqlalchemy.engine import Engine

from sinkside.errors import BadInput

MIGRATIONS = Path(__file__).with_name("migrations")

#: The migration that this version of the program is written for.
LATEST = "0005"

VERSION_TABLE = "alembic_version"


def migrate(connection: Connection, revision: str | None = None) -> None:
    """Bring a database to a revision, the latest unless told, within the connection's own transaction."""
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    scripts = ScriptDirectory.from_config(config)

    def steps(current: Any, _context: Any) -> Any:
        return scripts._upgrade_revs(revision or LATEST, current)  # noqa: SLF001 # as alembic's own command does

    with EnvironmentContext(config, scripts, fn=steps) as environment:
        environment.configure(connection=connection, transactional_ddl=True)
        environment.run_migrations()


def current_version(connection: Connection) -> str | None:
    """The revision that a database is at; none if it is no archive."""
    if VERSION_TABLE not in inspect(connection).get_table_names():
        return None
    found = connection.execute(select(column("version_num")).select_from(table(VERSION_TABLE))).scalar()
    return None if found is None else str(found)


def refuse_other_versions(engine: Engine, folder: Path) -> None:
    """Let only a database pass that is as this version of the program knows it.

    Raises:
        BadInput: if it is older, newer, or no archive at all.
    """
    with engine.connect() as connection:
        version = current_version(connection)
    if version is None:
        raise BadInput("the database of this workspace is missing or empty", resource=str(folder))
    if version < LATEST:
        raise BadInput(
            "this workspace was written by an older version; run `sinkside upgrade`, which backs it up first",
            resource=str(folder),
        )
    if version > LATEST:
        raise BadInput(
            "this workspace was written by a newer version of sinkside; use that one", resource=str(folder)
        )
