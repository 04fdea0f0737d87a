"""The tables of the bench: what stands where, runs, loads, cases, and every tap.

Nobody's name stands here, and no field is for one: an operation goes by its case number.
"""

from __future__ import annotations

from sqlalchemy import Boolean, Column, ForeignKey, Index, Integer, String, Table, Text, text

from sinkside.archive.schema import Fields, Moment, Words, metadata


def _here() -> Column[str]:
    return Column("department", Words, ForeignKey("sites.id"), nullable=False)


#: Physical sets and marked instruments. `due_order` sorts what must be dealt with first.
copies = Table(
    "copies",
    metadata,
    Column("id", Words, primary_key=True),
    _here(),
    Column("code", Words, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("of", Words, nullable=False),
    Column("name", Words, nullable=False),
    Column("state", String(16), nullable=False),
    Column("place", Words, nullable=False),
    Column("updated", Moment, nullable=False),
    Column("run", Words, nullable=False),
    Column("due_order", String(27), nullable=False),
    Column("fields", Fields, nullable=False),
    Index("copies_by_code", "department", "code", unique=True),
    Index("copies_due", "department", "state", "due_order", "id"),
    Index("copies_of", "department", "of", "id"),
)

#: Sets on their way along their route; one row a run, changed with every tap on it.
runs = Table(
    "runs",
    metadata,
    Column("id", Words, primary_key=True),
    _here(),
    Column("copy", Words, nullable=False),
    Column("opened", Moment, nullable=False),
    Column("state", String(16), nullable=False),
    Column("version", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("closed", Moment),
    Column("plan", Words, nullable=False),
    Index("runs_of_copy", "department", "copy", "opened"),
    Index("runs_of_plan", "plan", "opened"),
)

#: Which revisions of instructions a plan follows.
plan_texts = Table(
    "plan_texts",
    metadata,
    Column("instruction", Words, primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("plan", Words, primary_key=True),
)

#: What machines processed at once.
loads = Table(
    "loads",
    metadata,
    Column("id", Words, primary_key=True),
    _here(),
    Column("station", String(16), nullable=False),
    Column("machine", Words, nullable=False),
    Column("program", Words, nullable=False),
    Column("state", String(16), nullable=False),
    Column("opened", Moment, nullable=False),
    Column("started", Moment),
    Column("cycle", Words, nullable=False),
    Column("fields", Fields, nullable=False),
    Index("loads_of_machine", "department", "machine", "opened"),
    Index("loads_begun", "department", "machine", "started"),
    Index("loads_by_state", "department", "state", "opened"),
    Index("loads_of_cycle", "department", "cycle"),
)

#: What lay in a load.
loaded = Table(
    "loaded",
    metadata,
    Column("load", Words, ForeignKey("loads.id"), primary_key=True),
    Column("copy", Words, primary_key=True),
    Column("run", Words, nullable=False),
    Column("at", Moment, nullable=False),
    Column("out", Moment),
    Index("loaded_on_run", "run", "at"),
    Index("loaded_copy", "copy", "at"),
)

#: Operations, by number.
cases = Table(
    "cases",
    metadata,
    Column("id", Words, primary_key=True),
    _here(),
    Column("number", Words, nullable=False),
    Column("room", Words, nullable=False),
    Column("begins", Moment, nullable=False),
    Column("state", String(16), nullable=False),
    Column("ended", Moment),
    Column("fields", Fields, nullable=False),
    Index("cases_by_number", "department", "number", unique=True),
    Index("cases_by_time", "department", "begins"),
)

#: Which sets an operation needs, and which copies it got.
case_sets = Table(
    "case_sets",
    metadata,
    Column("case", Words, ForeignKey("cases.id"), primary_key=True),
    Column("set", Words, primary_key=True),
    Column("turn", Integer, primary_key=True, autoincrement=False),
    Column("copy", Words, nullable=False),
    Column("state", String(16), nullable=False),
    Column("run", Words, nullable=False),
    Index("case_sets_of_copy", "copy"),
    Index("case_sets_of_run", "run"),
    Index("case_sets_of_set", "set"),
)

#: Every tap with what came of it; the key makes a repeat harmless, the number keeps a bench's order.
taps = Table(
    "taps",
    metadata,
    Column("department", Words, ForeignKey("sites.id"), primary_key=True),
    Column("key", String(80), primary_key=True),
    Column("bench", String(80), nullable=False),
    Column("number", Integer, nullable=False),
    Column("act", String(40), nullable=False),
    Column("by", Words, nullable=False),
    Column("at", Moment, nullable=False),
    Column("taken", Moment, nullable=False),
    Column("outcome", String(16), nullable=False),
    Column("said", Words, nullable=False),
    Column("copy", Words, nullable=False),
    Column("state", String(16), nullable=False),
    Column("entered", Boolean, nullable=False),
    Column("run", Words, nullable=False),
    Column("fields", Fields, nullable=False),
    Index(
        "taps_of_bench",
        "department",
        "bench",
        "number",
        unique=True,
        sqlite_where=text("number > 0"),
        postgresql_where=text("number > 0"),
    ),
    Index("taps_on_copy", "department", "copy", "at"),
    Index("taps_by_person", "department", "by", "at"),
    Index("taps_standing", "department", "state", "at"),
    Index("taps_of_act", "department", "act", "at"),
    Index("taps_by_outcome", "department", "outcome", "taken"),
)
