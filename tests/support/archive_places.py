"""Workspaces to try the archive on, and what is put into them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sinkside.archive import WorkspaceArchive, create_workspace, open_archive
from sinkside.journal import Happening
from sinkside.records import Grant, Job, KeptTap, Person, Revision, Row, Session, Site

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
DEPARTMENT = "valley"
SITE = Site(DEPARTMENT, "Valley Hospital", "Europe/Vienna")


@dataclass(frozen=True)
class Place:
    """Where a workspace is or will be; the address of its database is empty for SQLite."""

    folder: Path
    database: str = ""

    def made(self) -> Place:
        """The same place, with an empty workspace in it."""
        create_workspace(self.folder, database=self.database)
        return self

    def open(self) -> WorkspaceArchive:
        """The archive in it."""
        return open_archive(self.folder)


def later(seconds: float) -> datetime:
    """So many seconds after the tests' moment."""
    return NOW + timedelta(seconds=seconds)


def happening(number: int = 0, *, kind: str = "step-edited", note: str = "") -> Happening:
    """Something that happened."""
    data = {"number": number, **({"note": note} if note else {})}
    return Happening(
        at=later(number),
        zone="Europe/Vienna",
        kind=kind,
        actor="system",
        subject=f"instruction:{number}",
        data=data,
    )


def tapped(tap: KeptTap) -> Happening:
    """The event of a tap, as the desk writes it."""
    data = {
        "act": {"act": tap.act},
        "key": tap.key,
        "done": tap.at.isoformat(),
        "outcome": tap.outcome,
        "said": tap.said,
        "state": tap.state,
        "run": tap.run,
    }
    return Happening(
        at=tap.taken, zone="Europe/Vienna", kind="tapped", actor=tap.by, subject=f"copy:{tap.copy}", data=data
    )


def revision(subject: str = "i-1", number: int = 1, body: str = '{"a":1}') -> Revision:
    """A revision of a document."""
    return Revision("instruction", subject, number, body, "00" * 32, "system", NOW, "first words")


def person(number: int = 1, name: str = "Ada Quill") -> Person:
    """Somebody with an account."""
    return Person(
        f"p-{number:016d}".replace("0", "A").replace("1", "B"),
        name,
        sign_in=name.replace(" ", ".").lower() + str(number),
        password_hash="$argon2id$x",  # noqa: S106 # no real one
        badge_digest=f"badge-{number}",
    )


def row(number: int, *, due: datetime | None = None, state: str = "draft", title: str = "") -> Row:
    """A line of a list."""
    return Row(
        "instruction",
        f"i-{number}",
        DEPARTMENT,
        state,
        title or f"Retractor {number}",
        later(number),
        due,
        {"maker": "Brightwell", "steps": number, "open": True, "margin": 1.5, "none": None},
    )


def job(number: int) -> Job:
    """Long work."""
    return Job(f"j-{number}", "draft", DEPARTMENT, "system", {"file": "x"}, "waiting", later(number))


def session(who: Person, digest: str = "token-1") -> Session:
    """A signed-in browser."""
    return Session(digest, who.id, NOW, NOW, "csrf")


def grant(who: Person, role: str = "lead") -> Grant:
    """A role."""
    return Grant(who.id, DEPARTMENT, role)


def fill(archive: WorkspaceArchive, *, events: int = 5, people: bool = True) -> None:
    """Put some of everything into an archive."""
    with archive.unit() as unit:
        unit.sites.add(SITE)
        for number in range(events):
            unit.journal.append(DEPARTMENT, happening(number, note="Größe"))
        for number in (1, 2):
            unit.documents.keep(revision(number=number))
        unit.rows.put(row(1))
        unit.files.put(b"a recorder's file", media_type="text/csv", name="cycle.csv")
        unit.jobs.ask(job(1))
        if people:
            unit.people.add(person(), salt=b"s" * 16)
            unit.people.grant(grant(person()))
            unit.people.open_session(session(person()))
