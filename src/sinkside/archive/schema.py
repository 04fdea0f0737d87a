"""The tables as this version of the program knows them; how they came to be is in `migrations`.

Moments are kept as text in UTC (`2026-11-25T09:36:13.000000Z`), which sorts as it should in both databases
and reads the same in a backup.
"""

from __future__ import annotations

import functools
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
)

from sinkside.errors import BadInput

#: Sorts after every moment, for rows that are not due.
NEVER = "9999"

#: Longer fields hold a whole table of answers: remembering thousands of them would fill the memory.
_LONGEST_REMEMBERED = 2_000


class Moment(TypeDecorator[datetime]):
    """A moment in UTC, as text of fixed length."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """As it is stored."""
        del dialect
        return None if value is None else moment_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """As it was."""
        del dialect
        return None if value is None else datetime.fromisoformat(value)


class Words(TypeDecorator[str]):
    """Text that both databases can hold: PostgreSQL knows no zero character, so SQLite refuses it too."""

    impl = Text()
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """As it is stored."""
        del dialect
        if value is not None and "\0" in value:
            raise BadInput("this text contains a zero character, which cannot be stored")
        return value


class Fields(TypeDecorator[Mapping[str, Any]]):
    """A flat mapping, as JSON text."""

    impl = Text()
    cache_ok = True

    def process_bind_param(self, value: Mapping[str, Any] | None, dialect: Dialect) -> str:
        """As it is stored."""
        del dialect
        return json.dumps(dict(value or {}), ensure_ascii=True, allow_nan=False, separators=(",", ":"))

    def process_result_value(self, value: str | None, dialect: Dialect) -> Mapping[str, Any]:
        """As it was."""
        del dialect
        text = value or "{}"
        return dict(_remembered_fields(text) if len(text) <= _LONGEST_REMEMBERED else _fields(text))


def _fields(text: str) -> Mapping[str, Any]:
    found: dict[str, Any] = json.loads(text)
    return found


@functools.lru_cache(maxsize=4096)
def _remembered_fields(text: str) -> Mapping[str, Any]:
    """The mapping of some stored text: lists show the same rows again and again."""
    return _fields(text)


def moment_text(at: datetime) -> str:
    """A moment as it is stored.

    Raises:
        BadInput: if it has no zone, and so is no moment.

    >>> moment_text(datetime(2026, 11, 25, 9, 30, tzinfo=UTC))
    '2026-11-25T09:30:00.000000Z'
    """
    if at.tzinfo is None:
        raise BadInput("expected a moment with its zone", resource=at.isoformat())
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


metadata = MetaData()


def _person() -> Column[str]:
    return Column("person", Words, ForeignKey("people.id", ondelete="CASCADE"), index=True)


settings = Table(
    "settings",
    metadata,
    Column("name", String(64), primary_key=True),
    Column("value", Words, nullable=False),
)

sites = Table(
    "sites",
    metadata,
    Column("id", Words, primary_key=True),
    Column("name", Words, nullable=False),
    Column("zone", Words, nullable=False),
)

heads = Table(
    "heads",
    metadata,
    Column("department", Words, ForeignKey("sites.id"), primary_key=True),
    Column("sequence", Integer, nullable=False),
    Column("digest", String(64), nullable=False),
)

events = Table(
    "events",
    metadata,
    Column("department", Words, ForeignKey("sites.id"), primary_key=True),
    Column("sequence", Integer, primary_key=True),
    Column("digest", String(64), nullable=False),
    Column("at", Moment, nullable=False),
    Column("kind", Words, nullable=False),
    Column("actor", Words, nullable=False),
    Column("subject", Words, nullable=False),
    Column("canonical", LargeBinary, nullable=False),
    Index("events_of_kind", "department", "kind", "sequence"),
    Index("events_of_subject", "department", "subject", "sequence"),
    Index("events_of_actor", "department", "actor", "sequence"),
)

#: What a search looks through, apart from the events: a narrow table, kept in the order of its key, is read
#: several times as fast.
event_words = Table(
    "event_words",
    metadata,
    Column("department", Words, ForeignKey("sites.id"), primary_key=True),
    Column("sequence", Integer, primary_key=True),
    Column("words", Words, nullable=False),
    sqlite_with_rowid=False,
)

revisions = Table(
    "revisions",
    metadata,
    Column("kind", Words, primary_key=True),
    Column("subject", Words, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("body", Words, nullable=False),
    Column("digest", String(64), nullable=False),
    Column("by", Words, nullable=False),
    Column("at", Moment, nullable=False),
    Column("note", Words, nullable=False),
    Column("seal", String(64), nullable=False),
)

rows = Table(
    "rows",
    metadata,
    Column("kind", Words, primary_key=True),
    Column("id", Words, primary_key=True),
    Column("department", Words, nullable=False),
    Column("state", Words, nullable=False),
    Column("title", Words, nullable=False),
    Column("updated", Moment, nullable=False),
    Column("due", Moment),
    Column("due_order", String(27), nullable=False),
    Column("fields", Fields, nullable=False),
    Column("words", Words, nullable=False),
    sqlite_with_rowid=False,
)
Index("rows_in_order", rows.c.kind, rows.c.department, rows.c.due_order, rows.c.updated.desc(), rows.c.id)
Index(
    "rows_by_state",
    rows.c.kind,
    rows.c.department,
    rows.c.state,
    rows.c.due_order,
    rows.c.updated.desc(),
    rows.c.id,
)

files = Table(
    "files",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("media_type", Words, nullable=False),
    Column("name", Words, nullable=False),
)

people = Table(
    "people",
    metadata,
    Column("id", Words, primary_key=True),
    Column("name", Words, nullable=False),
    Column("sign_in", Words, nullable=False),
    Column("sign_in_key", Words, nullable=False, unique=True),
    Column("password_hash", Words, nullable=False),
    Column("pin_hash", Words, nullable=False),
    Column("badge_digest", Words, unique=True),
    Column("language", Words, nullable=False),
    Column("disabled", Boolean, nullable=False),
    Column("salt", LargeBinary, nullable=False),
)

grants = Table(
    "grants",
    metadata,
    Column("person", Words, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("department", Words, primary_key=True, index=True),
    Column("role", Words, primary_key=True),
    Column("until", Moment),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_digest", Words, primary_key=True),
    _person(),
    Column("opened", Moment, nullable=False),
    Column("seen", Moment, nullable=False),
    Column("csrf", Words, nullable=False),
    Column("shared_tablet", Boolean, nullable=False),
    Column("ended", Moment),
)

links = Table(
    "links",
    metadata,
    Column("token_digest", Words, primary_key=True),
    Column("purpose", Words, nullable=False),
    _person(),
    Column("expires", Moment, nullable=False),
    Column("used", Moment),
)

failures = Table(
    "failures",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("key", String(64), nullable=False),
    Column("at", Moment, nullable=False),
    Index("failures_of_key", "key", "at"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Words, primary_key=True),
    Column("kind", Words, nullable=False),
    Column("department", Words, nullable=False),
    Column("by", Words, nullable=False),
    Column("arguments", Fields, nullable=False),
    Column("state", Words, nullable=False),
    Column("asked", Moment, nullable=False),
    Column("done", BigInteger, nullable=False),
    Column("total", BigInteger, nullable=False),
    Column("doing", Words, nullable=False),
    Column("result", Fields, nullable=False),
    Column("error", Words, nullable=False),
    Column("cancel_asked", Boolean, nullable=False),
    Column("worker", Words, nullable=False),
    Column("heartbeat", Moment),
    Column("attempts", Integer, nullable=False),
    Index("jobs_of_department", "department", "asked"),
    Index("jobs_in_state", "state", "asked"),
)
