"""Connections: how each database is opened and spoken to, and what its errors mean in plain words.

Everything that SQLite needs to be treated with care for stands here and nowhere else.
"""

from __future__ import annotations

import functools
import json
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import (
    URL,
    ColumnElement,
    Connection,
    Dialect,
    Executable,
    RowMapping,
    Table,
    bindparam,
    create_engine,
    event,
    exc,
    func,
    literal_column,
    make_url,
    select,
)
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Engine
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import UserDefinedType

from sinkside.errors import BadInput, Conflict, SinksideError

DATABASE_FILE = "sinkside.sqlite3"

#: How long a process waits for another one's write to end. In-process writers queue before they get here.
_BUSY_MS = 30_000

#: How long readers may take to let go of the log; pages do at once, a backup may not.
_LET_GO_MS = 1_000

_WRITES = "sinkside_writes"
_NO_TRANSACTION = "sinkside_no_transaction"

#: SQLSTATE of PostgreSQL (documentation, appendix A): deadlock and serialization failure.
_LOST_RACE = frozenset({"40P01", "40001"})
_UNKNOWN_REFERENCE = "23503"


def database_url(folder: Path, database: str = "") -> URL:
    """Where the tables are: in the workspace's own file, unless a PostgreSQL address is given.

    Raises:
        BadInput: if the address is none, or of another kind of database.

    >>> database_url(Path("house")).database
    'house/sinkside.sqlite3'
    >>> database_url(Path("house"), "postgresql://user@host/base").drivername
    'postgresql+psycopg'
    """
    if not database:
        return URL.create("sqlite+pysqlite", database=str(folder / DATABASE_FILE))
    try:
        url = make_url(database)
    except exc.ArgumentError as error:
        raise BadInput("expected a database address such as postgresql://user@host/name") from error
    if url.get_backend_name() != "postgresql":
        raise BadInput(f"expected a PostgreSQL address; '{url.get_backend_name()}' is not supported")
    return url.set(drivername="postgresql+psycopg")


def make_engine(url: URL) -> Engine:
    """An engine for one of the two databases, set up so that what is committed stays.

    Raises:
        BadInput: if the PostgreSQL driver is not installed.
    """
    try:
        engine = create_engine(url, pool_size=20, max_overflow=20, pool_pre_ping=not is_sqlite(url))
    except ModuleNotFoundError as error:
        raise BadInput("PostgreSQL needs the driver: install sinkside[postgresql]") from error
    if is_sqlite(url):
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        event.listen(engine, "connect", _prepare_postgresql)
    return engine


def is_sqlite(url: URL) -> bool:
    """Whether the tables are in a file of their own."""
    return url.get_backend_name() == "sqlite"


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # The driver would begin transactions on its own, and not before DDL: a failed migration would stay half
    # done.
    connection.isolation_level = None
    for setting in (
        f"busy_timeout = {_BUSY_MS}",
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        "secure_delete = ON",
        "trusted_schema = OFF",
        "cache_size = -65536",
    ):
        connection.execute(f"PRAGMA {setting}")


def _prepare_postgresql(connection: DBAPIConnection, _record: object) -> None:
    # A recall's one statement is long and looks dear: the server would spend three seconds compiling what it
    # answers in a few hundredths.
    with closing(connection.cursor()) as cursor:
        cursor.execute("SET jit = off")
    connection.commit()


def _begin_sqlite(connection: Connection) -> None:
    # A reader that turns writer would meet "locked" at once, without waiting; so writers say it beforehand.
    options = connection.get_execution_options()
    if not options.get(_NO_TRANSACTION, False):
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get(_WRITES, False) else "BEGIN")


@contextmanager
def begun(
    engine: Engine, *, writes: bool, let_pass: Callable[[], None] | None = None
) -> Iterator[Transaction]:
    """A transaction: for writing, or for reading one unchanging state.

    Args:
        engine: of the database.
        writes: whether it writes.
        let_pass: called before each statement that reads.

    Raises:
        Conflict: if somebody else was quicker, or the database stayed busy.
    """
    with plain_errors(), engine.connect() as connection:
        if is_sqlite(engine.url):
            connection.execution_options(**{_WRITES: writes})
        elif not writes:
            connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        with connection.begin():
            yield Transaction(connection, writes=writes, let_pass=let_pass)


def run_outside_transactions(engine: Engine, statements: Sequence[str]) -> None:
    """Run statements that no transaction may surround, such as those that rewrite files."""
    with plain_errors(), engine.connect() as connection:
        if is_sqlite(engine.url):
            # The library's own AUTOCOMMIT would give the connection back with the driver's habits restored.
            connection.execution_options(**{_NO_TRANSACTION: True})
        else:
            connection.execution_options(isolation_level="AUTOCOMMIT")
        for statement in statements:
            connection.exec_driver_sql(statement).close()


def emptied_log(engine: Engine) -> bool:
    """Move SQLite's log into the tables' file and cut it to nothing; false if readers held on to it."""
    with plain_errors(), engine.connect() as connection:
        connection.execution_options(**{_NO_TRANSACTION: True})
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {_LET_GO_MS}").close()
        try:
            is_busy = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").scalar()
        finally:
            connection.exec_driver_sql(f"PRAGMA busy_timeout = {_BUSY_MS}").close()
    return not is_busy


@contextmanager
def plain_errors() -> Iterator[None]:
    """Says in plain words what the database refused.

    Raises:
        Conflict: if what is written is taken, or the database was busy.
        BadInput: if a value cannot be stored, or points to what does not exist.
    """
    try:
        yield
    except exc.IntegrityError as error:
        raise _refused(error) from error
    except exc.DataError as error:
        raise BadInput(f"this cannot be stored: {error.orig}") from error
    except exc.DBAPIError as error:
        if _is_lost_race(error):
            raise Conflict("the archive was busy with somebody else's change; try again") from error
        raise SinksideError(f"the database does not answer as it should: {error.orig}") from error
    except exc.StatementError as error:
        if isinstance(error.orig, SinksideError):
            raise error.orig from error
        raise BadInput(f"this cannot be stored: {error.orig}") from error


def _refused(error: exc.IntegrityError) -> SinksideError:
    state = getattr(error.orig, "sqlstate", None)
    if state == _UNKNOWN_REFERENCE or "FOREIGN KEY" in str(error.orig):
        return BadInput("this points to a person or department that does not exist")
    if "never changed" in str(error.orig):
        return SinksideError("events and revisions are never changed or deleted")
    return Conflict("somebody else was quicker: this is taken")


def _is_lost_race(error: exc.DBAPIError) -> bool:
    state = getattr(error.orig, "sqlstate", None)
    return state in _LOST_RACE or "database is locked" in str(error.orig)


def unindexed(column: ColumnElement[Any]) -> ColumnElement[Any]:
    """A column that is to be compared row by row: beside a search through all text an index only misleads."""
    return func.coalesce(column, column)


class _Texts(UserDefinedType[Collection[str]]):
    """Texts that are bound as one value: a JSON list for SQLite, an array for PostgreSQL."""

    cache_ok = True

    def get_col_spec(self, **_: Any) -> str:
        """What PostgreSQL calls it."""
        return "TEXT[]"

    def bind_processor(self, dialect: Dialect) -> Callable[[Any], Any]:
        """As the driver takes it."""
        return json.dumps if dialect.name == "sqlite" else list


class _Listed(FunctionElement[str]):
    """Texts that are bound as one value, as a table of one column."""

    inherit_cache = True


@compiles(_Listed, "sqlite")
def _listed_on_sqlite(element: _Listed, compiler: SQLCompiler, **options: Any) -> str:
    return f"json_each({compiler.process(element.clauses, **options)})"


@compiles(_Listed, "postgresql")
def _listed_on_postgresql(element: _Listed, compiler: SQLCompiler, **options: Any) -> str:
    # As a row each, since the planner counts them then; it would weigh the elements of an array one by one.
    return f"unnest(CAST({compiler.process(element.clauses, **options)} AS text[])) AS listed (value)"


def among(one: ColumnElement[str], name: str) -> ColumnElement[bool]:
    """Whether a column is one of the texts that are bound to a name.

    However many they are, they are one value: a statement with a place for each would be built anew for each
    number of them, and both databases bound how many there may be.
    """
    return one.in_(select(literal_column("value")).select_from(listed(name)))


def listed(name: str) -> FunctionElement[str]:
    """Texts that are bound to a name as one value, as a table with one column, `value`."""
    return _Listed(bindparam(name, type_=_Texts()))


#: What makes a sign of a search stand for itself.
ESCAPE = "/"


def holding(text: str) -> str:
    """The pattern of texts that hold some words, whatever their case, for columns of small letters.

    >>> holding("50 %")
    '%50 /%%'
    """
    plain = text.casefold()
    for sign in (ESCAPE, "%", "_"):
        plain = plain.replace(sign, ESCAPE + sign)
    return f"%{plain}%"


class Transaction:
    """What the rooms of the archive do within one transaction."""

    def __init__(
        self, connection: Connection, *, writes: bool, let_pass: Callable[[], None] | None = None
    ) -> None:
        self.connection = connection
        self._writes = writes
        self._let_pass = let_pass
        # What one unchanging state answers to one question it answers to the next one like it.
        self._answered: dict[tuple[object, ...], Sequence[RowMapping]] = {}
        #: By department, the digests of changed rows that no event carries yet.
        self.unbound: dict[str, dict[str, str]] = {}

    @property
    def on_sqlite(self) -> bool:
        """Whether the tables are in SQLite, whose writers come one after the other."""
        return self.connection.dialect.name == "sqlite"

    def all(self, statement: Executable, **bound: Any) -> Sequence[RowMapping]:
        """Every row that a statement gives; `bound` are the values for the names that it leaves open.

        A statement that leaves names open must stand once for good: reading ones are known by it.
        """
        asked = (id(statement), *bound.items()) if bound and not self._writes else None
        if asked is not None and asked in self._answered:
            return self._answered[asked]
        with self._reading():
            answer = self.connection.execute(statement, bound).mappings().all()
        if asked is not None:
            self._answered[asked] = answer
        return answer

    def tuples(self, statement: Executable, **bound: Any) -> Sequence[Sequence[Any]]:
        """Every row that a statement gives, in the order of its columns: for answers of many thousands."""
        with self._reading():
            return self.connection.execute(statement, bound).all()

    def stream(self, statement: Executable) -> Iterator[RowMapping]:
        """The rows that a statement gives, one after the other, without holding all of them."""
        with plain_errors():
            yield from self.connection.execute(statement, execution_options={"yield_per": 500}).mappings()

    def first(self, statement: Executable, **bound: Any) -> RowMapping | None:
        """The first row that a statement gives; `bound` are the values for the names that it leaves open."""
        if bound:
            return next(iter(self.all(statement, **bound)), None)
        with self._reading():
            return self.connection.execute(statement).mappings().first()

    def value(self, statement: Executable, **bound: Any) -> Any:
        """The first column of the first row; `bound` are the values for the names that it leaves open."""
        if bound:
            found = self.first(statement, **bound)
            return next(iter(found.values())) if found else None
        with self._reading():
            return self.connection.execute(statement).scalar()

    def _reading(self) -> AbstractContextManager[None]:
        if self._let_pass:
            self._let_pass()
        return plain_errors()

    def change(self, statement: Executable, **values: Any) -> int:
        """Do what a statement says, and say how many rows it touched.

        Args:
            statement: what to do.
            values: for the names that it leaves open; of an insertion without values, the columns.

        Raises:
            Conflict: if what it writes is taken; the transaction can go on.
        """
        if not self._writes:
            raise SinksideError("this unit was opened for reading; open one that writes")
        # PostgreSQL gives up a whole transaction after a refusal, SQLite does not; a savepoint evens it out.
        with plain_errors(), nullcontext() if self.on_sqlite else self.connection.begin_nested():
            return self.connection.execute(statement, values).rowcount

    def put(self, table: Table, values: Mapping[str, Any], *, key: Sequence[str]) -> None:
        """Add a row, or change the one that has the same key."""
        self.change(_upsert(table, tuple(values), tuple(key), on_sqlite=self.on_sqlite), **values)


@functools.cache
def _upsert(table: Table, names: tuple[str, ...], key: tuple[str, ...], *, on_sqlite: bool) -> Executable:
    """Each is built once: building a statement takes longer than running it."""
    dialect = sqlite if on_sqlite else postgresql
    added = dialect.insert(table)
    other = {name: added.excluded[name] for name in names if name not in key}
    upsert: Executable = (
        added.on_conflict_do_update(index_elements=key, set_=other)
        if other
        else added.on_conflict_do_nothing(index_elements=key)
    )
    return upsert
