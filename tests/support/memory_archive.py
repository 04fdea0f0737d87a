"""An archive in memory, for quick tests of the desk: it keeps the promises of `sinkside.desk.ports`."""

from __future__ import annotations

import copy
import hashlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from sinkside.errors import Conflict, UnreadableFile
from sinkside.journal import Event, Happening, Head, head_of, link
from sinkside.records import (
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
)
from support.memory_bench import MemoryBench
from support.memory_bench_tables import BenchTables
from support.memory_roster import MemoryRoster, MemoryStandings
from support.memory_teaching import MemoryAnswers, MemoryLearning, MemoryMemories, TeachingTables

_LAST = datetime.max.replace(tzinfo=UTC)


@dataclass
class Tables(TeachingTables, BenchTables):
    """Everything that is kept."""

    sites: dict[str, Site] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    salts: dict[str, bytes] = field(default_factory=dict)
    grants: dict[tuple[str, str, str], Grant] = field(default_factory=dict)
    sessions: dict[str, Session] = field(default_factory=dict)
    links: dict[str, OneTimeLink] = field(default_factory=dict)
    failures: list[tuple[str, datetime]] = field(default_factory=list)
    events: dict[str, tuple[Event, ...]] = field(default_factory=dict)
    revisions: dict[tuple[str, str], tuple[Revision, ...]] = field(default_factory=dict)
    rows: dict[tuple[str, str], Row] = field(default_factory=dict)
    files: dict[str, tuple[StoredFile, bytes]] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    posts: dict[tuple[str, str, str], Post] = field(default_factory=dict)
    standings: dict[tuple[str, str, str, str], Standing] = field(default_factory=dict)

    def snapshot(self) -> Tables:
        """The same values in tables of their own."""
        return Tables(**{name: copy.copy(table) for name, table in vars(self).items()})


class MemorySites:
    """The departments."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def add(self, site: Site) -> None:
        """Add a department, with the start of its chain."""
        self._tables.sites[site.id] = site

    def get(self, department: str) -> Site | None:
        """A department by its id."""
        return self._tables.sites.get(department)

    def rename(self, department: str, name: str) -> None:
        """Call a department otherwise; its id stays."""
        self._tables.sites[department] = replace(self._tables.sites[department], name=name)

    def all(self) -> list[Site]:
        """Every department, by name."""
        return sorted(self._tables.sites.values(), key=lambda site: site.name)


class MemoryPeople:
    """People, their accounts, roles and sessions."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def add(self, person: Person, *, salt: bytes) -> None:
        """Add a person with their salt, in the erasable table."""
        self._tables.people[person.id] = person
        self._tables.salts[person.id] = salt

    def change(self, person: Person) -> None:
        """Keep a person's changed account."""
        self._tables.people[person.id] = person

    def get(self, person: str) -> Person | None:
        """A person by their pseudonym; none if unknown or erased."""
        return self._tables.people.get(person)

    def names(self, persons: Collection[str]) -> dict[str, str]:
        """The names of those who are known."""
        return {one: self._tables.people[one].name for one in persons if one in self._tables.people}

    def working_in(self, department: str, now: datetime) -> dict[str, str]:
        """The names of everybody with a role in a department now."""
        held = [one for one in self.grants_in(department) if one.until is None or one.until > now]
        return self.names({one.person for one in held})

    def by_sign_in(self, sign_in: str) -> Person | None:
        """A person by the name they sign in with, whatever its case."""
        return self._first("sign_in", sign_in.casefold())

    def by_badge(self, badge_digest: str) -> Person | None:
        """A person by the digest of their badge."""
        return self._first("badge_digest", badge_digest)

    def _first(self, name: str, value: str) -> Person | None:
        found = (one for one in self._tables.people.values() if str(getattr(one, name)).casefold() == value)
        return next(found, None)

    def all(self) -> list[Person]:
        """Every person who is not erased, by name."""
        return sorted(self._tables.people.values(), key=lambda person: person.name)

    def erase(self, person: str) -> None:
        """Delete name, salt, account and sessions; events keep the pseudonym, which now says nothing."""
        del self._tables.people[person], self._tables.salts[person]
        for grant in self.grants(person):
            self.withdraw(*_key_of(grant))
        for digest, session in list(self._tables.sessions.items()):
            if session.person == person:
                del self._tables.sessions[digest]
        for kept in [kept for kept in self._tables.memories if kept[1] == person]:
            del self._tables.memories[kept]
        for key in [key for key in self._tables.posts if key[1] == person]:
            del self._tables.posts[key]

    def grants(self, person: str) -> list[Grant]:
        """A person's roles, ended ones included."""
        return [grant for grant in self._tables.grants.values() if grant.person == person]

    def grants_in(self, department: str) -> list[Grant]:
        """Everybody's roles in a department."""
        return [grant for grant in self._tables.grants.values() if grant.department == department]

    def grant(self, grant: Grant) -> None:
        """Give a role, or change until when."""
        self._tables.grants[_key_of(grant)] = grant

    def withdraw(self, person: str, department: str, role: str) -> None:
        """Take a role away."""
        self._tables.grants.pop((person, department, role), None)

    def open_session(self, session: Session) -> None:
        """Keep a session."""
        self._tables.sessions[session.token_digest] = session

    def session(self, token_digest: str) -> Session | None:
        """A session by the digest of its token."""
        return self._tables.sessions.get(token_digest)

    def present(self, token_digest: str) -> tuple[Session, Person] | None:
        """A session by the digest of its token, and whose it is; none if that person is gone."""
        session = self._tables.sessions.get(token_digest)
        person = self._tables.people.get(session.person) if session else None
        return (session, person) if session and person else None

    def workplaces(self, person: str) -> list[tuple[Grant, Site]]:
        """A person's roles, ended ones included, each with its department, by the department's name."""
        found = [(grant, self._tables.sites[grant.department]) for grant in self.grants(person)]
        return sorted(found, key=lambda one: (one[1].name, one[1].id, one[0].role))

    def touch(self, token_digest: str, seen: datetime) -> None:
        """Note that a session was used."""
        self._tables.sessions[token_digest] = replace(self._tables.sessions[token_digest], seen=seen)

    def end_sessions(self, person: str, at: datetime, *, token_digest: str | None = None) -> None:
        """End one session, or all of a person."""
        for digest, session in list(self._tables.sessions.items()):
            chosen = token_digest is None or token_digest == digest
            if session.person == person and session.ended is None and chosen:
                self._tables.sessions[digest] = replace(session, ended=at)

    def add_link(self, link: OneTimeLink) -> None:
        """Keep a one-time link."""
        self._tables.links[link.token_digest] = link

    def use_link(self, token_digest: str, at: datetime) -> OneTimeLink | None:
        """Use a link; none if it is unknown, used or expired. Two users at once: one of them gets none."""
        found = self._tables.links.get(token_digest)
        if found is None or found.used is not None or found.expires <= at:
            return None
        self._tables.links[token_digest] = replace(found, used=at)
        return found

    def failures(self, key: str, since: datetime) -> int:
        """How often signing in failed for a key (a name or an address) since a moment."""
        return sum(1 for failed, at in self._tables.failures if failed == key and at > since)

    def note_failure(self, key: str, at: datetime) -> None:
        """Note a failed sign-in."""
        self._tables.failures.append((key, at))

    def clear_failures(self, key: str) -> None:
        """Forget failures after a success."""
        self._tables.failures = [one for one in self._tables.failures if one[0] != key]


class MemoryJournal:
    """The chain of each department."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def append(self, department: str, happening: Happening) -> Event:
        """Bind a happening to the department's chain; its head stays locked until the unit ends."""
        chain = self._tables.events.get(department, ())
        event = link(chain[-1] if chain else None, happening)
        self._tables.events[department] = (*chain, event)
        return event

    def head(self, department: str) -> Head | None:
        """The head of the chain."""
        chain = self._tables.events.get(department)
        return head_of(chain[-1]) if chain else None

    def events(self, department: str, wanted: Wanted) -> list[Event]:
        """Events, newest first."""
        chain = reversed(self._tables.events.get(department, ()))
        return [event for event in chain if _is_wanted(event, wanted)][: wanted.limit]

    def subjects(self, department: str, wanted: Wanted) -> frozenset[str]:
        """What the wanted events are about, of all of them, however many are wanted at once."""
        chain = self._tables.events.get(department, ())
        return frozenset(event.subject for event in chain if _is_wanted(event, wanted))

    def first_since(self, department: str, moment: datetime) -> int:
        """The first event's sequence that was recorded at a moment or later; the next one's if none was."""
        chain = self._tables.events.get(department, ())
        return next((event.sequence for event in chain if event.at >= moment), len(chain) + 1)

    def stored(self, department: str, *, after: int = 0) -> Iterator[bytes]:
        """The canonical bytes of every event as they are stored, oldest first."""
        return (
            event.canonical for event in self._tables.events.get(department, ()) if event.sequence > after
        )


class MemoryDocuments:
    """Immutable revisions."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def keep(self, revision: Revision) -> None:
        """Keep a revision. Its number must follow the last one's, else somebody else was quicker."""
        known = self.revisions(revision.kind, revision.subject)
        if revision.number != len(known) + 1:
            raise Conflict("somebody else was quicker", resource=revision.subject)
        self._tables.revisions[revision.kind, revision.subject] = (*known, revision)

    def get(self, kind: str, subject: str, number: int | None = None) -> Revision | None:
        """A revision; the latest unless told."""
        known = self.revisions(kind, subject)
        if number is None:
            return known[-1] if known else None
        return known[number - 1] if 0 < number <= len(known) else None

    def revisions(self, kind: str, subject: str) -> list[Revision]:
        """Every revision, oldest first."""
        return list(self._tables.revisions.get((kind, subject), ()))

    def history(self, kind: str, subject: str) -> list[Making]:
        """How every revision was made, oldest first, without what stands in it."""
        found = self.revisions(kind, subject)
        return [Making(one.number, one.digest, one.by, one.at, one.note) for one in found]


class MemoryRows:
    """Lists that people look at."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def put(self, row: Row) -> None:
        """Add or change a row."""
        self._tables.rows[row.kind, row.id] = row

    def get(self, kind: str, row_id: str) -> Row | None:
        """One row."""
        return self._tables.rows.get((kind, row_id))

    def titles(self, kind: str, ids: Collection[str]) -> dict[str, str]:
        """The titles of those rows that there are."""
        return {
            found: row.title for (of, found), row in self._tables.rows.items() if of == kind and found in ids
        }

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
        found = [row for row in self._chosen(kind, departments, states) if _says(row, text)]
        found.sort(key=lambda row: row.updated, reverse=True)
        found.sort(key=lambda row: row.due or _LAST)
        return found[offset : offset + limit]

    def count(self, kind: str, departments: Sequence[str], *, states: Sequence[str] = ()) -> int:
        """How many rows there are."""
        return len(self._chosen(kind, departments, states))

    def found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> list[Row]:
        """The rows that are wanted, in the order that is wanted."""
        found = self._matching(kind, departments, wanted)
        for name, ranked in reversed(list(wanted.ranks.items())):
            ranks = [ranked.get(_said(row, name), len(ranked)) for row in found]
            found = [row for _, row in sorted(zip(ranks, found, strict=True), key=lambda pair: pair[0])]
        return found[wanted.offset : wanted.offset + wanted.limit]

    def count_found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> int:
        """How many rows are wanted, on every page together."""
        return len(self._matching(kind, departments, wanted))

    def _matching(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> list[Row]:
        listed = self.all(kind, departments, states=wanted.states, text=wanted.text, limit=10**9)
        return [
            row
            for row in listed
            if all(_said(row, name) == value for name, value in wanted.fields.items())
            and (wanted.since is None or row.updated >= wanted.since)
            and (wanted.until is None or row.updated < wanted.until)
        ]

    def _chosen(self, kind: str, departments: Sequence[str], states: Sequence[str]) -> list[Row]:
        return [
            row
            for row in self._tables.rows.values()
            if row.kind == kind and row.department in departments and (not states or row.state in states)
        ]


class MemoryFiles:
    """Files by the digest of their content."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def put(self, data: bytes, *, media_type: str, name: str) -> StoredFile:
        """Keep a file; the same content is kept once."""
        digest = hashlib.sha256(data).hexdigest()
        kept = StoredFile(digest, len(data), media_type, name)
        return self._tables.files.setdefault(digest, (kept, data))[0]

    def get(self, digest: str) -> StoredFile | None:
        """What is known of a file."""
        found = self._tables.files.get(digest)
        return found[0] if found else None

    def read(self, digest: str) -> bytes:
        """Its content."""
        found = self._tables.files.get(digest)
        if found is None:
            raise UnreadableFile("this stored file is missing", resource=digest)
        return found[1]

    def forget(self, digest: str) -> None:
        """Keep a file no longer."""
        self._tables.files.pop(digest, None)


class MemoryJobs:
    """The table of long work."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def ask(self, job: Job) -> None:
        """Ask for work."""
        self._tables.jobs[job.id] = job

    def get(self, job: str) -> Job | None:
        """A job."""
        return self._tables.jobs.get(job)

    def all(
        self, departments: Sequence[str], *, states: Sequence[JobState] = (), limit: int = 50
    ) -> list[Job]:
        """Jobs, latest first."""
        found = [
            job
            for job in self._tables.jobs.values()
            if job.department in departments and (not states or job.state in states)
        ]
        return sorted(found, key=lambda job: job.asked, reverse=True)[:limit]

    def claim(self, worker: str, now: datetime, *, lease_s: float) -> Job | None:
        """Take the oldest job that waits, or whose worker fell silent; nobody else gets it."""
        silent_since = now - timedelta(seconds=lease_s)
        for job in sorted(self._tables.jobs.values(), key=lambda job: job.asked):
            silent = job.state == "running" and job.heartbeat is not None and job.heartbeat < silent_since
            if job.state == "waiting" or silent:
                taken = replace(job, state="running", worker=worker, heartbeat=now, attempts=job.attempts + 1)
                self._tables.jobs[job.id] = taken
                return taken
        return None

    def beat(self, job: str, worker: str, now: datetime, *, done: int, total: int, doing: str) -> bool:
        """Say that the work goes on; false if it was cancelled or taken over."""
        known = self._tables.jobs[job]
        if known.state != "running" or known.worker != worker or known.cancel_asked:
            return False
        self._tables.jobs[job] = replace(known, heartbeat=now, done=done, total=total, doing=doing)
        return True

    def finish(self, job: str, worker: str, *, result: Mapping[str, str], error: str = "") -> bool:
        """Close a job, done or failed; false if it is no longer this worker's."""
        known = self._tables.jobs[job]
        if known.state != "running" or known.worker != worker:
            return False
        state: JobState = "failed" if error else "done"
        if known.cancel_asked and not result:
            state = "cancelled"
        self._tables.jobs[job] = replace(known, state=state, result=result, error=error)
        return True

    def cancel(self, job: str) -> None:
        """Ask that it stops; one that still waits is cancelled at once."""
        known = self._tables.jobs[job]
        if known.state in {"waiting", "running"}:
            state: JobState = "cancelled" if known.state == "waiting" else "running"
            self._tables.jobs[job] = replace(known, cancel_asked=True, state=state)


@dataclass
class MemoryUnit:
    """One transaction over the tables."""

    sites: MemorySites
    people: MemoryPeople
    journal: MemoryJournal
    documents: MemoryDocuments
    rows: MemoryRows
    files: MemoryFiles
    jobs: MemoryJobs
    answers: MemoryAnswers
    memories: MemoryMemories
    learning: MemoryLearning
    roster: MemoryRoster
    standings: MemoryStandings
    bench: MemoryBench

    @classmethod
    def over(cls, tables: Tables) -> MemoryUnit:
        """A unit that works on some tables."""
        return cls(
            MemorySites(tables),
            MemoryPeople(tables),
            MemoryJournal(tables),
            MemoryDocuments(tables),
            MemoryRows(tables),
            MemoryFiles(tables),
            MemoryJobs(tables),
            MemoryAnswers(tables),
            MemoryMemories(tables),
            MemoryLearning(tables),
            MemoryRoster(tables.posts),
            MemoryStandings(tables.standings, tables.posts),
            MemoryBench(tables),
        )


@dataclass
class MemoryArchive:
    """Where everything is kept: kept when a block ends well, undone when it raises."""

    tables: Tables = field(default_factory=Tables)

    @contextmanager
    def unit(self, *, writes: bool = True) -> Iterator[MemoryUnit]:
        """One transaction; what a reading one changes is forgotten."""
        working = self.tables.snapshot()
        yield MemoryUnit.over(working)
        if writes:
            self.tables = working


def _key_of(grant: Grant) -> tuple[str, str, str]:
    return grant.person, grant.department, grant.role


def _is_wanted(event: Event, wanted: Wanted) -> bool:
    told = f"{event.kind} {event.subject} {event.data}".casefold()
    return all(
        (
            not wanted.kinds or event.kind in wanted.kinds,
            wanted.subject in {None, event.subject},
            wanted.actor in {None, event.actor},
            not wanted.named or bool({event.subject, event.actor} & set(wanted.named)),
            not wanted.subjects or event.subject in wanted.subjects,
            wanted.after is None or event.sequence > wanted.after,
            wanted.text is None or wanted.text.casefold() in told,
            wanted.since is None or event.at >= wanted.since,
            wanted.until is None or event.at < wanted.until,
            wanted.before is None or event.sequence < wanted.before,
        )
    )


def _said(row: Row, name: str) -> str:
    return row.state if name == "state" else str(row.fields.get(name) or "")


def _says(row: Row, text: str | None) -> bool:
    return text is None or text.casefold() in f"{row.title} {dict(row.fields)}".casefold()
