"""Tables of teaching: the roster, who may do what, lessons gone through, answers, memories."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables."""
    _posts()
    _standings()
    _learnt()
    _answers()
    _memories()


def _text(name: str, **options: Any) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), **{"nullable": False, **options})


def _key(name: str) -> sa.Column[str]:
    return _text(name, primary_key=True)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(27), nullable=nullable)


def _of_site() -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["department"], ["sites.id"])


def _of_person() -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["person"], ["people.id"], ondelete="CASCADE")


def _posts() -> None:
    op.create_table(
        "posts",
        _key("department"),
        _key("person"),
        _key("shift"),
        _moment("until", nullable=True),
        _of_site(),
        _of_person(),
    )
    op.create_index("posts_of_shift", "posts", ["department", "shift", "person"])


def _standings() -> None:
    op.create_table(
        "standings",
        _key("department"),
        _key("family"),
        _key("station"),
        _key("person"),
        sa.Column("level", sa.String(16), nullable=False),
        _moment("given"),
        _moment("until", nullable=True),
        _moment("reopened", nullable=True),
        sa.Column("state", sa.String(16), nullable=False),
        _moment("due_order"),
        _text("fields"),
        _of_site(),
        sqlite_with_rowid=False,
    )
    op.create_index("standings_of_person", "standings", ["person", "department", "family", "station"])
    in_turn = ["department", "state", "due_order", "person", "family", "station"]
    op.create_index("standings_due", "standings", in_turn)


def _learnt() -> None:
    op.create_table(
        "learnt",
        _key("department"),
        _key("instruction"),
        sa.Column("revision", sa.Integer(), primary_key=True, nullable=False),
        _key("part"),
        _key("person"),
        _moment("at"),
        _text("fields"),
        _of_site(),
    )
    op.create_index("learnt_by_person", "learnt", ["department", "person", "at"])


def _answers() -> None:
    op.create_table(
        "answers",
        _key("id"),
        _text("department"),
        _text("person"),
        _text("instruction"),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(64), nullable=False),
        _text("sitting"),
        sa.Column("choice", sa.Integer(), nullable=False),
        sa.Column("is_right", sa.Boolean(), nullable=False),
        _moment("at"),
        _of_site(),
    )
    op.create_index("answers_of_instruction", "answers", ["department", "instruction", "at"])
    op.create_index("answers_of_person", "answers", ["department", "person", "at"])


def _memories() -> None:
    op.create_table(
        "memories",
        _key("department"),
        _key("person"),
        _key("instruction"),
        sa.Column("question", sa.String(64), primary_key=True, nullable=False),
        _moment("due"),
        _text("fields"),
        _of_site(),
        _of_person(),
    )
    op.create_index("memories_due", "memories", ["department", "person", "due"])
    op.create_index(
        "memories_of_device", "memories", ["department", "instruction", "person", "due", "question"]
    )
