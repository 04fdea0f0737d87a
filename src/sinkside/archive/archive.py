"""The archive of a workspace: units of work on its tables and files."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import delete, select
from sqlalchemy.engine import Engine

from sinkside.archive.answers import AnswerTable
from sinkside.archive.bench import BenchTables
from sinkside.archive.connection import (
    Transaction,
    begun,
    emptied_log,
    is_sqlite,
    make_engine,
    plain_errors,
    run_outside_transactions,
)
from sinkside.archive.documents import RevisionTable
from sinkside.archive.files import FileStore, FileTable
from sinkside.archive.jobs import JobTable
from sinkside.archive.journal import EventTable
from sinkside.archive.learnt import LearntTable
from sinkside.archive.memories import MemoryTable
from sinkside.archive.migrating import refuse_other_versions
from sinkside.archive.people import PeopleTable
from sinkside.archive.roster import RosterTable
from sinkside.archive.rows import RowTable
from sinkside.archive.schema import failures, grants, links, people, sessions, settings
from sinkside.archive.schema_teaching import memories
from sinkside.archive.settings import ERASED
from sinkside.archive.sites import SiteTable
from sinkside.archive.standings import StandingTable
from sinkside.archive.turn import WritersTurn
from sinkside.archive.workspace import read_workspace, refuse_anothers_tables

#: An upload may take its time between its file and its row; nobody's takes a day.
_STRAY_FOR = timedelta(days=1)


@dataclass(frozen=True)
class UnitOfWork:
    """One transaction, with all that can be done in it."""

    sites: SiteTable
    people: PeopleTable
    journal: EventTable
    documents: RevisionTable
    rows: RowTable
    files: FileTable
    jobs: JobTable
    answers: AnswerTable
    memories: MemoryTable
    learning: LearntTable
    roster: RosterTable
    standings: StandingTable
    bench: BenchTables


class WorkspaceArchive:
    """Where everything of a workspace is kept. Threads may share one; processes each open their own."""

    def __init__(self, engine: Engine, files: FileStore) -> None:
        self.engine = engine
        self.files = files
        self._turn = WritersTurn(Path(engine.url.database or "")) if is_sqlite(engine.url) else None
        self._log_to_empty = False

    @contextmanager
    def unit(self, *, writes: bool = True) -> Iterator[UnitOfWork]:
        """One transaction: kept when the block ends well, undone when it raises.

        Args:
            writes: false for reading one unchanging state, beside whoever writes.

        Raises:
            Conflict: if somebody else was quicker, or the database stayed busy; nothing was written.
        """
        if writes:
            with self._turn_to_write(), self._ahead(), begun(self.engine, writes=True) as transaction:
                unit = self._unit(transaction)
                yield unit
                unit.journal.bind_rest()
            for digest in unit.files.forgotten:
                self.files.remove(digest)
            if unit.people.erased_somebody:
                self.wipe_remains()
            elif self._log_to_empty:
                self._empty_log()
        else:
            let_pass = self._turn.let_pass if self._turn else None
            with begun(self.engine, writes=False, let_pass=let_pass) as transaction:
                yield self._unit(transaction)

    def _turn_to_write(self) -> AbstractContextManager[None]:
        return self._turn.taken() if self._turn else nullcontext()

    def _ahead(self) -> AbstractContextManager[None]:
        return self._turn.ahead() if self._turn else nullcontext()

    def _unit(self, transaction: Transaction) -> UnitOfWork:
        return UnitOfWork(
            sites=SiteTable(transaction),
            people=PeopleTable(transaction),
            journal=EventTable(transaction),
            documents=RevisionTable(transaction),
            rows=RowTable(transaction),
            files=FileTable(transaction, self.files),
            jobs=JobTable(transaction),
            answers=AnswerTable(transaction),
            memories=MemoryTable(transaction),
            learning=LearntTable(transaction),
            roster=RosterTable(transaction),
            standings=StandingTable(transaction),
            bench=BenchTables(transaction),
        )

    def wipe_remains(self) -> None:
        """Rewrite what held erased people, so that no deleted byte stays in the database's files."""
        held = (people, grants, sessions, links, failures, memories)
        on_server = [f"VACUUM FULL {table.name}" for table in held]
        run_outside_transactions(self.engine, ["VACUUM"] if is_sqlite(self.engine.url) else on_server)
        self._empty_log()

    def _empty_log(self) -> None:
        """Have SQLite's log forget what was deleted; while somebody reads from it, after the next write."""
        self._log_to_empty = is_sqlite(self.engine.url) and not emptied_log(self.engine)
        if not self._log_to_empty:
            with self._turn_to_write(), begun(self.engine, writes=True) as transaction:
                transaction.change(delete(settings).where(settings.c.name == ERASED))

    def finish_wiping(self) -> None:
        """Wipe what an erasure left, if the program was stopped between the two."""
        with begun(self.engine, writes=False) as transaction:
            due = transaction.first(select(settings.c.name).where(settings.c.name == ERASED))
        if due:
            self.wipe_remains()

    def sweep(self, now: datetime, *, older_than: timedelta = _STRAY_FOR) -> list[str]:
        """Delete files that no row names and that have been there for long; say which."""
        with self.unit(writes=False) as unit:
            unnamed = self.files.present() - unit.files.named()
        return self.files.sweep(unnamed, before=now - older_than)

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()
        if self._turn:
            self._turn.close()


def open_archive(folder: Path, *, database: str = "") -> WorkspaceArchive:
    """The archive of a workspace.

    Args:
        folder: the workspace.
        database: a PostgreSQL address, where it is not the one that the workspace's file states.

    Raises:
        BadInput: if this is no workspace, or one of another version; the sentence says what to do.
    """
    workspace = read_workspace(folder)
    engine = make_engine(workspace.url(database))
    try:
        with plain_errors():
            refuse_other_versions(engine, folder)
        with begun(engine, writes=False) as transaction:
            refuse_anothers_tables(transaction, workspace)
        archive = WorkspaceArchive(engine, FileStore(workspace.files))
        archive.finish_wiping()
    except BaseException:
        engine.dispose()
        raise
    return archive
