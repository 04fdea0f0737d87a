"""What the desk asks of whoever keeps things: protocols that the archive satisfies by shape.

One `Unit` is one transaction: everything done in it stands together or not at all, events included.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from typing import Protocol

from sinkside.desk.bench.ports import Bench
from sinkside.desk.lesson_ports import Answers, Learning, Memories
from sinkside.journal import Event, Happening, Head
from sinkside.records import (
    Cover,
    Grant,
    Job,
    JobState,
    Making,
    OneTimeLink,
    Person,
    Post,
    Revision,
    Row,
    Session,
    Site,
    Standing,
    StoredFile,
    Wanted,
    WantedRows,
    WantedStandings,
)


class Journal(Protocol):
    """The chain of a department."""

    def append(self, department: str, happening: Happening) -> Event:
        """Bind a happening to the department's chain; its head stays locked until the unit ends."""

    def head(self, department: str) -> Head | None:
        """The head of the chain."""

    def events(self, department: str, wanted: Wanted) -> list[Event]:
        """Events, newest first."""

    def subjects(self, department: str, wanted: Wanted) -> frozenset[str]:
        """What the wanted events are about, of all of them, however many are wanted at once."""

    def first_since(self, department: str, moment: datetime) -> int:
        """The first event's sequence that was recorded at a moment or later; the next one's if none was."""

    def stored(self, department: str, *, after: int = 0) -> Iterator[bytes]:
        """The canonical bytes of every event as they are stored, oldest first."""


class Sites(Protocol):
    """The departments."""

    def add(self, site: Site) -> None:
        """Add a department, with the start of its chain."""

    def get(self, department: str) -> Site | None:
        """A department by its id."""

    def all(self) -> list[Site]:
        """Every department, by name."""

    def rename(self, department: str, name: str) -> None:
        """Call a department otherwise; its id stays."""


class People(Protocol):
    """People, their accounts, roles and sessions."""

    def add(self, person: Person, *, salt: bytes) -> None:
        """Add a person with their salt, in the erasable table."""

    def change(self, person: Person) -> None:
        """Keep a person's changed account."""

    def get(self, person: str) -> Person | None:
        """A person by their pseudonym; none if unknown or erased."""

    def names(self, persons: Collection[str]) -> dict[str, str]:
        """The names of those who are known; nobody is asked for one by one."""

    def working_in(self, department: str, now: datetime) -> dict[str, str]:
        """The names of everybody with a role in a department now, by pseudonym."""

    def by_sign_in(self, sign_in: str) -> Person | None:
        """A person by the name they sign in with, whatever its case."""

    def by_badge(self, badge_digest: str) -> Person | None:
        """A person by the digest of their badge."""

    def all(self) -> list[Person]:
        """Every person who is not erased, by name."""

    def erase(self, person: str) -> None:
        """Delete name, salt, account and sessions; events keep the pseudonym, which now says nothing."""

    def grants(self, person: str) -> list[Grant]:
        """A person's roles, ended ones included."""

    def grants_in(self, department: str) -> list[Grant]:
        """Everybody's roles in a department."""

    def grant(self, grant: Grant) -> None:
        """Give a role, or change until when."""

    def withdraw(self, person: str, department: str, role: str) -> None:
        """Take a role away."""

    def open_session(self, session: Session) -> None:
        """Keep a session."""

    def session(self, token_digest: str) -> Session | None:
        """A session by the digest of its token."""

    def present(self, token_digest: str) -> tuple[Session, Person] | None:
        """A session by the digest of its token, and whose it is; none if that person is gone."""

    def workplaces(self, person: str) -> list[tuple[Grant, Site]]:
        """A person's roles, ended ones included, each with its department, by the department's name."""

    def touch(self, token_digest: str, seen: datetime) -> None:
        """Note that a session was used."""

    def end_sessions(self, person: str, at: datetime, *, token_digest: str | None = None) -> None:
        """End one session, or all of a person."""

    def add_link(self, link: OneTimeLink) -> None:
        """Keep a one-time link."""

    def use_link(self, token_digest: str, at: datetime) -> OneTimeLink | None:
        """Use a link; none if it is unknown, used or expired. Two users at once: one of them gets none."""

    def failures(self, key: str, since: datetime) -> int:
        """How often signing in failed for a key (a name or an address) since a moment."""

    def note_failure(self, key: str, at: datetime) -> None:
        """Note a failed sign-in."""

    def clear_failures(self, key: str) -> None:
        """Forget failures after a success."""


class Documents(Protocol):
    """Immutable revisions of documents."""

    def keep(self, revision: Revision) -> None:
        """Keep a revision. Its number must follow the last one's, else somebody else was quicker.

        Raises:
            Conflict: if that number is taken.
        """

    def get(self, kind: str, subject: str, number: int | None = None) -> Revision | None:
        """A revision; the latest unless told."""

    def revisions(self, kind: str, subject: str) -> list[Revision]:
        """Every revision, oldest first."""

    def history(self, kind: str, subject: str) -> list[Making]:
        """How every revision was made, oldest first, without what stands in it."""


class Rows(Protocol):
    """Lists that people look at."""

    def put(self, row: Row) -> None:
        """Add or change a row."""

    def get(self, kind: str, row_id: str) -> Row | None:
        """One row."""

    def titles(self, kind: str, ids: Collection[str]) -> dict[str, str]:
        """The titles of those rows that there are."""

    def all(
        self,
        kind: str,
        departments: Sequence[str],
        *,
        states: Sequence[str] = (),
        text: str | None = None,
        limit: int = 200,
        offset: int = 0,
    ) -> list[Row]:
        """Rows of a list: what is due first, then the latest changed."""

    def count(self, kind: str, departments: Sequence[str], *, states: Sequence[str] = ()) -> int:
        """How many rows there are."""

    def found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> list[Row]:
        """The rows that are wanted, in the order that is wanted."""

    def count_found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> int:
        """How many rows are wanted, on every page together."""


class Files(Protocol):
    """Files by the digest of their content."""

    def put(self, data: bytes, *, media_type: str, name: str) -> StoredFile:
        """Keep a file; the same content is kept once."""

    def get(self, digest: str) -> StoredFile | None:
        """What is known of a file."""

    def read(self, digest: str) -> bytes:
        """Its content.

        Raises:
            UnreadableFile: if it is missing or was altered.
        """

    def forget(self, digest: str) -> None:
        """Keep a file no longer, because of what stands in it; its digest stays wherever it was written."""


class Jobs(Protocol):
    """The table of long work."""

    def ask(self, job: Job) -> None:
        """Ask for work."""

    def get(self, job: str) -> Job | None:
        """A job."""

    def all(
        self, departments: Sequence[str], *, states: Sequence[JobState] = (), limit: int = 50
    ) -> list[Job]:
        """Jobs, latest first."""

    def claim(self, worker: str, now: datetime, *, lease_s: float) -> Job | None:
        """Take the oldest job that waits, or whose worker fell silent; nobody else gets it.

        One that was to be cancelled while its worker died is given too, to be closed.
        """

    def beat(self, job: str, worker: str, now: datetime, *, done: int, total: int, doing: str) -> bool:
        """Say that the work goes on; false if it was cancelled or taken over."""

    def finish(self, job: str, worker: str, *, result: Mapping[str, str], error: str = "") -> bool:
        """Close a job, done or failed; false if it is no longer this worker's."""

    def cancel(self, job: str) -> None:
        """Ask that it stops; one that still waits is cancelled at once."""


class Roster(Protocol):
    """Who works on which shift."""

    def put(self, post: Post) -> None:
        """Add a post, or change until when."""

    def remove(self, department: str, person: str, shift: str) -> None:
        """Take somebody off a shift."""

    def of_person(self, department: str, person: str) -> list[Post]:
        """A person's posts, by shift."""

    def on(self, department: str, shifts: Collection[str]) -> list[Post]:
        """Every post on some shifts, ended ones included."""

    def counts(self, department: str) -> dict[str, int]:
        """How many posts each shift has."""


class Standings(Protocol):
    """Who may process what, where, how far."""

    def put(self, standing: Standing) -> None:
        """Add a standing, or change it."""

    def get(self, department: str, family: str, station: str, person: str) -> Standing | None:
        """One standing."""

    def of_person(self, department: str, person: str) -> list[Standing]:
        """A person's standings, by family and station."""

    def of_family(self, department: str, families: Collection[str]) -> list[Standing]:
        """Everybody's standings for some families, by family, station and person."""

    def alone(
        self, department: str, families: Collection[str], shifts: Collection[str], now: datetime
    ) -> set[tuple[str, str, str]]:
        """Who has a post on one of some shifts and may work alone now, as family, station and person."""

    def due(self, department: str, wanted: WantedStandings) -> list[Standing]:
        """Standings of a state, what is due first, each person's for one family beside each other."""

    def count_due(self, department: str, wanted: WantedStandings) -> int:
        """How many there are, `limit` at most."""

    def cover(self, department: str, families: Collection[str] | None) -> list[Cover]:
        """How long families are covered, shift by shift and station by station; all families if none."""

    def families(self, department: str) -> dict[str, frozenset[str]]:
        """Every family that somebody stands in, with its stations."""

    def close(self, person: str) -> None:
        """Take an erased person's standings out of every list of what is to be done; they stay."""


class Unit(Protocol):
    """One transaction."""

    @property
    def sites(self) -> Sites:
        """The departments."""

    @property
    def people(self) -> People:
        """People, their accounts, roles and sessions."""

    @property
    def journal(self) -> Journal:
        """The chains."""

    @property
    def documents(self) -> Documents:
        """Revisions of documents."""

    @property
    def rows(self) -> Rows:
        """Lists that people look at."""

    @property
    def files(self) -> Files:
        """Files by digest."""

    @property
    def jobs(self) -> Jobs:
        """Long work."""

    @property
    def answers(self) -> Answers:
        """What was answered to questions."""

    @property
    def memories(self) -> Memories:
        """What people are likely to remember."""

    @property
    def learning(self) -> Learning:
        """Which lessons people went through."""

    @property
    def roster(self) -> Roster:
        """Who works on which shift."""

    @property
    def standings(self) -> Standings:
        """Who may process what, where, how far."""

    @property
    def bench(self) -> Bench:
        """Copies, runs, loads, cases and taps."""


class Archive(Protocol):
    """Where everything is kept."""

    def unit(self, *, writes: bool = True) -> AbstractContextManager[Unit]:
        """One transaction: kept when the block ends well, undone when it raises."""
