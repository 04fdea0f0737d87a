"""Records: the plain values that the desk asks for and the archive keeps.

Documents travel as JSON text, so that nobody below the desk needs to know them. No record but `Person` has a
name, and a person can be erased.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

JobState = Literal["waiting", "running", "done", "failed", "cancelled"]


@dataclass(frozen=True)
class Site:
    """A department as the archive knows it: its id, name and IANA zone."""

    id: str
    name: str
    zone: str


@dataclass(frozen=True)
class Person:
    """Somebody with an account. `id` is the pseudonym that events carry; the rest can be erased."""

    id: str
    name: str
    sign_in: str
    password_hash: str = ""
    pin_hash: str = ""
    badge_digest: str = ""
    language: str = "en"
    disabled: bool = False


@dataclass(frozen=True)
class Grant:
    """A role in a department, until a moment or for good."""

    person: str
    department: str
    role: str
    until: datetime | None = None


@dataclass(frozen=True)
class Session:
    """A signed-in browser; only the digest of its token is kept."""

    token_digest: str
    person: str
    opened: datetime
    seen: datetime
    csrf: str
    shared_tablet: bool = False
    ended: datetime | None = None


@dataclass(frozen=True)
class OneTimeLink:
    """A link that works once: to set up the first account, or to set a new password."""

    token_digest: str
    purpose: Literal["first-account", "new-password"]
    person: str | None
    expires: datetime
    used: datetime | None = None


@dataclass(frozen=True)
class Revision:
    """One immutable revision of a document: which, by whom, when, and its JSON text."""

    kind: str
    subject: str
    number: int
    body: str
    digest: str
    by: str
    at: datetime
    note: str = ""


@dataclass(frozen=True)
class Making:
    """How one revision was made: its number and digest, by whom, when, and why."""

    number: int
    digest: str
    by: str
    at: datetime
    note: str = ""


@dataclass(frozen=True)
class StoredFile:
    """A file by the digest of its content."""

    digest: str
    size: int
    media_type: str
    name: str


@dataclass(frozen=True)
class Row:
    """A line of a list that people look at, kept in step with the events by the same transaction.

    `kind` names the list (instruction, cycle, ...), `state` and `due` sort it, `fields` hold the rest.
    """

    kind: str
    id: str
    department: str
    state: str
    title: str
    updated: datetime
    due: datetime | None = None
    fields: Mapping[str, str | int | float | bool | None] = field(default_factory=dict)


@dataclass(frozen=True)
class WantedRows:
    """Which rows of a list are wanted, and in which order.

    Attributes:
        states: how they may stand; any unless told.
        text: words that must stand in them.
        fields: what fields must say.
        since: from when on they were last changed.
        until: before when they were last changed.
        ranks: by the worth of a field's values, the least first; `state` is the row's own. Values without
            one come last, and what is alike as in every list: what is due first, then the latest changed.
        limit: how many.
        offset: how many are passed over.
    """

    states: Sequence[str] = ()
    text: str | None = None
    fields: Mapping[str, str] = field(default_factory=dict)
    since: datetime | None = None
    until: datetime | None = None
    ranks: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    limit: int = 200
    offset: int = 0


@dataclass(frozen=True)
class Job:
    """Long work: what, for whom, how far, and what came of it."""

    id: str
    kind: str
    department: str
    by: str
    arguments: Mapping[str, str]
    state: JobState
    asked: datetime
    done: int = 0
    total: int = 0
    doing: str = ""
    result: Mapping[str, str] = field(default_factory=dict)
    error: str = ""
    cancel_asked: bool = False
    worker: str = ""
    heartbeat: datetime | None = None
    attempts: int = 0


@dataclass(frozen=True)
class Wanted:
    """Which events are wanted; `text` is searched in kind, subject and data, `before` is a sequence.

    `named` are people and subjects: of events with them who did it or what it concerns is one of them.
    `subjects` are what it concerns, one of several; `after` is a sequence too, and is left out itself.
    """

    kinds: Sequence[str] = ()
    subject: str | None = None
    actor: str | None = None
    named: Sequence[str] = ()
    subjects: Sequence[str] = ()
    text: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    before: int | None = None
    after: int | None = None
    limit: int = 100


@dataclass(frozen=True)
class Answer:
    """What somebody answered to a question, once; the pseudonym may outlive its person.

    `sitting` is the day or the test that it belongs to, `choice` counts from 0 as the question has them.
    """

    id: str
    department: str
    person: str
    instruction: str
    revision: int
    question: str
    sitting: str
    choice: int
    is_right: bool
    at: datetime


@dataclass(frozen=True)
class KeptMemory:
    """What somebody is likely to remember of a question, as the scheduler keeps it; goes with the person."""

    department: str
    person: str
    question: str
    instruction: str
    due: datetime
    fields: Mapping[str, str | int | float | bool | None]


@dataclass(frozen=True)
class LearntPart:
    """That somebody went through a part of a lesson; the pseudonym may outlive its person.

    `fields` tell every part that the lesson had then, and for a lesson of only what changed since when.
    """

    department: str
    instruction: str
    revision: int
    part: str
    person: str
    at: datetime
    fields: Mapping[str, str | int | float | bool | None]


@dataclass(frozen=True)
class MemoryShare:
    """Of a device or a question: how many people were asked, how many answers are kept, how many not due."""

    of: str
    people: int
    kept: int
    fresh: int


@dataclass(frozen=True)
class Post:
    """That somebody works on a shift; agency staff until a moment."""

    department: str
    person: str
    shift: str
    until: datetime | None = None


@dataclass(frozen=True)
class Standing:
    """Who may process which device family at which station: how far, until when.

    `state` and `due` sort it into the list of what is to be done next, and since when or by when.
    """

    department: str
    family: str
    station: str
    person: str
    level: str
    given: datetime
    state: str
    due: datetime | None = None
    until: datetime | None = None
    reopened: datetime | None = None
    fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class WantedStandings:
    """Which standings of a state are wanted: due from `since` on and before `before`, of people on a shift.

    `persons` are asked for one by one where they are few.
    """

    state: str
    since: datetime | None = None
    before: datetime | None = None
    shift: str = ""
    persons: Sequence[str] = ()
    limit: int = 60
    offset: int = 0


@dataclass(frozen=True)
class Cover:
    """How long a family is covered at a station on a shift: until the last who works alone there ends.

    `until` is none where that has no end.
    """

    family: str
    station: str
    shift: str
    until: datetime | None
