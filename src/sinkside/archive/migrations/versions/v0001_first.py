"""The first tables: departments and their chains, documents, lists, files, people, jobs."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_NEVER_CHANGED = ("events", "revisions")
_ORDER = ("due_order", sa.text("updated DESC"), "id")
_REFUSAL = "events and revisions are never changed"


def upgrade() -> None:
    """Make the tables."""
    _departments()
    _documents()
    _lists()
    _people()
    _signing_in()
    _jobs()
    for table in _NEVER_CHANGED:
        _keep_for_good(table)


def _text(name: str, **options: Any) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), **{"nullable": False, **options})


def _digest(name: str, **options: Any) -> sa.Column[str]:
    return sa.Column(name, sa.String(64), nullable=False, **options)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(27), nullable=nullable)


def _whole(name: str, kind: sa.Integer | sa.BigInteger | None = None, **options: Any) -> sa.Column[int]:
    return sa.Column(name, kind or sa.Integer(), nullable=False, **options)


def _flag(name: str) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean(), nullable=False)


def _departments() -> None:
    op.create_table("settings", _digest("name", primary_key=True), _text("value"))
    op.create_table("sites", _text("id", primary_key=True), _text("name"), _text("zone"))
    op.create_table("heads", *_of_site(), _whole("sequence"), _digest("digest"))
    op.create_table(
        "events",
        *_of_site(),
        _whole("sequence", primary_key=True),
        _digest("digest"),
        _moment("at"),
        _text("kind"),
        _text("actor"),
        _text("subject"),
        sa.Column("canonical", sa.LargeBinary(), nullable=False),
    )
    op.create_index("events_of_kind", "events", ["department", "kind", "sequence"])
    op.create_index("events_of_subject", "events", ["department", "subject", "sequence"])
    op.create_index("events_of_actor", "events", ["department", "actor", "sequence"])
    op.create_table(
        "event_words",
        *_of_site(),
        _whole("sequence", primary_key=True),
        _text("words"),
        sqlite_with_rowid=False,
    )


def _of_site() -> tuple[sa.Column[str], sa.ForeignKeyConstraint]:
    return _text("department", primary_key=True), sa.ForeignKeyConstraint(["department"], ["sites.id"])


def _documents() -> None:
    op.create_table(
        "revisions",
        _text("kind", primary_key=True),
        _text("subject", primary_key=True),
        _whole("number", primary_key=True),
        _text("body"),
        _digest("digest"),
        _text("by"),
        _moment("at"),
        _text("note"),
        _digest("seal"),
    )
    op.create_table(
        "files",
        _digest("digest", primary_key=True),
        _whole("size", sa.BigInteger()),
        _text("media_type"),
        _text("name"),
    )


def _lists() -> None:
    op.create_table(
        "rows",
        _text("kind", primary_key=True),
        _text("id", primary_key=True),
        _text("department"),
        _text("state"),
        _text("title"),
        _moment("updated"),
        _moment("due", nullable=True),
        _moment("due_order"),
        _text("fields"),
        _text("words"),
        sqlite_with_rowid=False,
    )
    op.create_index("rows_in_order", "rows", ["kind", "department", *_ORDER])
    op.create_index("rows_by_state", "rows", ["kind", "department", "state", *_ORDER])


def _people() -> None:
    op.create_table(
        "people",
        _text("id", primary_key=True),
        _text("name"),
        _text("sign_in"),
        _text("sign_in_key", unique=True),
        _text("password_hash"),
        _text("pin_hash"),
        _text("badge_digest", nullable=True, unique=True),
        _text("language"),
        _flag("disabled"),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "grants",
        *_of_person(primary_key=True, nullable=False),
        _text("department", primary_key=True),
        _text("role", primary_key=True),
        _moment("until", nullable=True),
    )
    op.create_index("ix_grants_department", "grants", ["department"])


def _of_person(**options: Any) -> tuple[sa.Column[str], sa.ForeignKeyConstraint]:
    reference = sa.ForeignKeyConstraint(["person"], ["people.id"], ondelete="CASCADE")
    return _text("person", **options), reference


def _signing_in() -> None:
    op.create_table(
        "sessions",
        _text("token_digest", primary_key=True),
        *_of_person(nullable=True),
        _moment("opened"),
        _moment("seen"),
        _text("csrf"),
        _flag("shared_tablet"),
        _moment("ended", nullable=True),
    )
    op.create_index("ix_sessions_person", "sessions", ["person"])
    op.create_table(
        "links",
        _text("token_digest", primary_key=True),
        _text("purpose"),
        *_of_person(nullable=True),
        _moment("expires"),
        _moment("used", nullable=True),
    )
    op.create_index("ix_links_person", "links", ["person"])
    op.create_table("failures", _whole("id", primary_key=True), _digest("key"), _moment("at"))
    op.create_index("failures_of_key", "failures", ["key", "at"])


def _jobs() -> None:
    op.create_table(
        "jobs",
        _text("id", primary_key=True),
        _text("kind"),
        _text("department"),
        _text("by"),
        _text("arguments"),
        _text("state"),
        _moment("asked"),
        _whole("done", sa.BigInteger()),
        _whole("total", sa.BigInteger()),
        _text("doing"),
        _text("result"),
        _text("error"),
        _flag("cancel_asked"),
        _text("worker"),
        _moment("heartbeat", nullable=True),
        _whole("attempts"),
    )
    op.create_index("jobs_of_department", "jobs", ["department", "asked"])
    op.create_index("jobs_in_state", "jobs", ["state", "asked"])


def _keep_for_good(table: str) -> None:
    """Have the database itself refuse to change or delete rows of a table."""
    if op.get_context().dialect.name == "sqlite":
        for action in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
            )
        return
    op.execute(
        "CREATE OR REPLACE FUNCTION sinkside_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION sinkside_refuse()"
    )
