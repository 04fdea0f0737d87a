"""Check: whether everything that is kept is still what was kept, and if not, what was altered."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import select, text

from sinkside.archive.archive import WorkspaceArchive, open_archive
from sinkside.archive.checking_bench import BenchCheck
from sinkside.archive.connection import Transaction, begun
from sinkside.archive.documents import seal
from sinkside.archive.files import FileStore
from sinkside.archive.journal import searched_words
from sinkside.archive.schema import event_words, events, files, heads, moment_text, revisions
from sinkside.archive.stored import as_stored, readable
from sinkside.errors import BadInput, SinksideError
from sinkside.journal import Event, Head, read_event
from sinkside.journal import check as check_chain

_PORTION = 1000


@dataclass(frozen=True)
class Problem:
    """Something that is not as it was kept: where, and what is wrong there."""

    place: str
    problem: str

    def __str__(self) -> str:
        return f"{self.place}: {self.problem}"


@dataclass
class CheckReport:
    """What was looked at and what is wrong.

    `heads` are the printed heads of the whole chains, to be compared with those on paper and backups;
    `unnamed_files` are files that no row names: left by an interrupted upload, harmless, swept by age.
    """

    problems: list[Problem] = field(default_factory=list)
    heads: dict[str, str] = field(default_factory=dict)
    events: int = 0
    revisions: int = 0
    files: int = 0
    unnamed_files: int = 0

    @property
    def is_sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems

    def note(self, place: str, problem: str) -> None:
        """Add something that is wrong."""
        self.problems.append(Problem(place, problem))


def check(folder: Path, *, database: str = "", printed: Mapping[str, str] | None = None) -> CheckReport:
    """Look at all that a workspace keeps.

    Args:
        folder: the workspace.
        database: a PostgreSQL address, where it is not the one that the workspace's file states.
        printed: heads as they stand on paper or in a backup, by department. Whoever owns the database can
            recompute a chain; these they cannot change.

    Raises:
        BadInput: if this is no workspace, or one of another version.
    """
    archive = open_archive(folder, database=database)
    try:
        return check_archive(archive, printed=printed)
    finally:
        archive.close()


def check_archive(archive: WorkspaceArchive, *, printed: Mapping[str, str] | None = None) -> CheckReport:
    """Look at all that an open archive keeps, while it is in use."""
    report = CheckReport()
    try:
        with begun(archive.engine, writes=False) as transaction:
            _check_database(transaction, report)
            bench = BenchCheck(transaction, report.note)
            _check_chains(transaction, report, printed or {}, bench)
            bench.finish()
            _check_revisions(transaction, report)
            _check_files(transaction, archive.files, report)
    except SinksideError as error:
        report.note("database", str(error))
    return report


def _check_database(transaction: Transaction, report: CheckReport) -> None:
    """What SQLite says of its own file; PostgreSQL keeps checksums of its pages, if it was set up to."""
    if not transaction.on_sqlite:
        return
    for row in transaction.all(text("PRAGMA integrity_check")):
        if row["integrity_check"] != "ok":
            report.note("database", str(row["integrity_check"]))
    for row in transaction.all(text("PRAGMA foreign_key_check")):
        report.note("database", f"a row of {row['table']} points to what is not there")


def _check_chains(
    transaction: Transaction, report: CheckReport, printed: Mapping[str, str], bench: BenchCheck
) -> None:
    kept = {row["department"]: Head(row["sequence"], row["digest"]) for row in transaction.all(select(heads))}
    found = {row["department"] for row in transaction.all(select(events.c.department).distinct())}
    for department in sorted(found - kept.keys()):
        report.note(f"department {department}", "has events and no head of their chain")
    for department, head in sorted(kept.items()):
        chain = _Chain(transaction, department, report, bench)
        fault = check_chain(chain.events(printed.get(department)), head=head)
        chain.finish()
        if fault:
            report.note(f"department {department}, event {fault.sequence}", fault.problem)
        else:
            report.heads[department] = str(head)


class _Chain:
    """The events of one department on their way into the check of the chain, each looked at in passing."""

    def __init__(
        self, transaction: Transaction, department: str, report: CheckReport, bench: BenchCheck
    ) -> None:
        self._do = transaction
        self._department = department
        self._report = report
        self._bench = bench
        self._passing: Iterator[Event | bytes] = iter(())

    def events(self, printed: str | None) -> Iterator[Event | bytes]:
        """Every event; what is wrong with one is noted under its number."""
        self._passing = self._looked_at(printed)
        return self._passing

    def finish(self) -> None:
        """Look at those that come after the first fault of the chain, too."""
        for _event in self._passing:
            pass

    def _looked_at(self, printed: str | None) -> Iterator[Event | bytes]:
        awaited = printed
        for row in self._stored():
            self._report.events += 1
            place = f"department {self._department}, event {row['sequence']}"
            digest = hashlib.sha256(row["canonical"]).hexdigest()
            if digest != row["digest"]:
                self._report.note(place, "was altered: its bytes are not those of its digest")
            if awaited and awaited.split("-")[0] == str(row["sequence"]):
                if awaited != str(Head(row["sequence"], digest)):
                    self._report.note(place, "is not the one whose head was printed")
                awaited = None
            yield self._read(row, place)
        if awaited:
            self._report.note(f"department {self._department}", f"the printed head {awaited} is not reached")

    def _read(self, row: Mapping[str, Any], place: str) -> Event | bytes:
        stored = bytes(row["canonical"])
        try:
            event = read_event(stored)
        except BadInput:
            return stored
        for name in _altered_columns(row, event):
            self._report.note(place, f"was altered: its column {name} is not what the event says")
        self._bench.saw(self._department, event)
        return event

    def _stored(self) -> Iterator[dict[str, Any]]:
        joined = events.outerjoin(
            event_words,
            (event_words.c.department == events.c.department) & (event_words.c.sequence == events.c.sequence),
        )
        columns = as_stored([*events.c, event_words.c.words], on_sqlite=self._do.on_sqlite)
        of_department = select(*columns).select_from(joined).where(events.c.department == self._department)
        after = -1
        while True:
            portion = self._do.all(
                of_department.where(events.c.sequence > after).order_by(events.c.sequence).limit(_PORTION)
            )
            yield from (readable(row) for row in portion)
            if len(portion) < _PORTION:
                return
            after = portion[-1]["sequence"]


def _altered_columns(row: Mapping[str, Any], event: Event) -> list[str]:
    said = {
        "sequence": event.sequence,
        "at": moment_text(event.at),
        "kind": event.kind,
        "actor": event.actor,
        "subject": event.subject,
        "words": searched_words(event),
    }
    return [name for name, value in said.items() if row[name] != value]


def _check_revisions(transaction: Transaction, report: CheckReport) -> None:
    last: dict[tuple[str, str], int] = defaultdict(int)
    columns = as_stored(revisions.c, on_sqlite=transaction.on_sqlite)
    ordered = select(*columns).order_by(revisions.c.kind, revisions.c.subject, revisions.c.number)
    for row in map(readable, transaction.stream(ordered)):
        report.revisions += 1
        place = f"{row['kind']} {row['subject']}, revision {row['number']}"
        if seal({name: value for name, value in row.items() if name != "seal"}) != row["seal"]:
            report.note(place, "was altered: it is not what its seal says")
        series = (row["kind"], row["subject"])
        if row["number"] != last[series] + 1:
            report.note(place, "does not follow the one before it; one is missing")
        last[series] = row["number"]


def _check_files(transaction: Transaction, store: FileStore, report: CheckReport) -> None:
    stored = transaction.all(select(*as_stored(files.c, on_sqlite=transaction.on_sqlite)))
    named = {row["digest"]: row for row in map(readable, stored)}
    for digest, row in named.items():
        report.files += 1
        problem = store.fault(digest)
        if not problem and store.path(digest).stat().st_size != row["size"]:
            problem = "its size is not the one that was noted"
        if problem:
            report.note(f"file {digest} ({row['name']})", problem)
    report.unnamed_files = len(store.present() - named.keys())
