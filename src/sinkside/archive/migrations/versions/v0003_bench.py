"""Tables of the bench: copies, runs, loads and what lay in them, cases and their sets, taps."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the tables."""
    _copies()
    _runs()
    _loads()
    _cases()
    _taps()


def _text(name: str, **options: Any) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), **{"nullable": False, **options})


def _short(name: str, length: int = 16) -> sa.Column[str]:
    return sa.Column(name, sa.String(length), nullable=False)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(27), nullable=nullable)


def _of_site() -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["department"], ["sites.id"])


def _copies() -> None:
    op.create_table(
        "copies",
        _text("id", primary_key=True),
        _text("department"),
        _text("code"),
        _short("kind"),
        _text("of"),
        _text("name"),
        _short("state"),
        _text("place"),
        _moment("updated"),
        _text("run"),
        _moment("due_order"),
        _text("fields"),
        _of_site(),
    )
    op.create_index("copies_by_code", "copies", ["department", "code"], unique=True)
    op.create_index("copies_due", "copies", ["department", "state", "due_order", "id"])
    op.create_index("copies_of", "copies", ["department", "of", "id"])


def _runs() -> None:
    op.create_table(
        "runs",
        _text("id", primary_key=True),
        _text("department"),
        _text("copy"),
        _moment("opened"),
        _short("state"),
        sa.Column("version", sa.Integer(), nullable=False),
        _text("body"),
        _moment("closed", nullable=True),
        _text("plan"),
        _of_site(),
    )
    op.create_index("runs_of_copy", "runs", ["department", "copy", "opened"])
    op.create_index("runs_of_plan", "runs", ["plan", "opened"])
    op.create_table(
        "plan_texts",
        _text("instruction", primary_key=True),
        sa.Column("revision", sa.Integer(), primary_key=True, autoincrement=False, nullable=False),
        _text("plan", primary_key=True),
    )


def _loads() -> None:
    op.create_table(
        "loads",
        _text("id", primary_key=True),
        _text("department"),
        _short("station"),
        _text("machine"),
        _text("program"),
        _short("state"),
        _moment("opened"),
        _moment("started", nullable=True),
        _text("cycle"),
        _text("fields"),
        _of_site(),
    )
    op.create_index("loads_of_machine", "loads", ["department", "machine", "opened"])
    op.create_index("loads_by_state", "loads", ["department", "state", "opened"])
    op.create_index("loads_of_cycle", "loads", ["department", "cycle"])
    op.create_table(
        "loaded",
        _text("load", primary_key=True),
        _text("copy", primary_key=True),
        _text("run"),
        _moment("at"),
        _moment("out", nullable=True),
        sa.ForeignKeyConstraint(["load"], ["loads.id"]),
    )
    op.create_index("loaded_on_run", "loaded", ["run", "at"])
    op.create_index("loaded_copy", "loaded", ["copy", "at"])


def _cases() -> None:
    op.create_table(
        "cases",
        _text("id", primary_key=True),
        _text("department"),
        _text("number"),
        _text("room"),
        _moment("begins"),
        _short("state"),
        _moment("ended", nullable=True),
        _text("fields"),
        _of_site(),
    )
    op.create_index("cases_by_number", "cases", ["department", "number"], unique=True)
    op.create_index("cases_by_time", "cases", ["department", "begins"])
    op.create_table(
        "case_sets",
        _text("case", primary_key=True),
        _text("set", primary_key=True),
        sa.Column("turn", sa.Integer(), primary_key=True, autoincrement=False, nullable=False),
        _text("copy"),
        _short("state"),
        _text("run"),
        sa.ForeignKeyConstraint(["case"], ["cases.id"]),
    )
    op.create_index("case_sets_of_copy", "case_sets", ["copy"])
    op.create_index("case_sets_of_run", "case_sets", ["run"])
    op.create_index("case_sets_of_set", "case_sets", ["set"])


def _taps() -> None:
    op.create_table(
        "taps",
        _text("department", primary_key=True),
        sa.Column("key", sa.String(80), primary_key=True, nullable=False),
        _short("bench", 80),
        sa.Column("number", sa.Integer(), nullable=False),
        _short("act", 40),
        _text("by"),
        _moment("at"),
        _moment("taken"),
        _short("outcome"),
        _text("said"),
        _text("copy"),
        _short("state"),
        sa.Column("entered", sa.Boolean(), nullable=False),
        _text("run"),
        _text("fields"),
        _of_site(),
    )
    in_a_queue = sa.text("number > 0")
    op.create_index(
        "taps_of_bench",
        "taps",
        ["department", "bench", "number"],
        unique=True,
        sqlite_where=in_a_queue,
        postgresql_where=in_a_queue,
    )
    op.create_index("taps_on_copy", "taps", ["department", "copy", "at"])
    op.create_index("taps_by_person", "taps", ["department", "by", "at"])
    op.create_index("taps_of_act", "taps", ["department", "act", "at"])
    op.create_index("taps_by_outcome", "taps", ["department", "outcome", "taken"])
