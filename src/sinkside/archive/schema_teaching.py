"""The tables of teaching: who stands where on the roster, who may do what, what was learnt and answered.

Nobody's name stands here. What only serves somebody's own learning goes when that person is erased; what
proves that work was done by somebody who could do it stays, under a pseudonym that then says nothing.
"""

from __future__ import annotations

from sqlalchemy import Boolean, Column, ForeignKey, Index, Integer, String, Table

from sinkside.archive.schema import Fields, Moment, Words, metadata


def _here() -> Column[str]:
    return Column("department", Words, ForeignKey("sites.id"), primary_key=True)


def _of_person() -> Column[str]:
    return Column("person", Words, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True)


#: On which shift somebody works; agency staff until a moment.
posts = Table(
    "posts",
    metadata,
    _here(),
    _of_person(),
    Column("shift", Words, primary_key=True),
    Column("until", Moment),
    Index("posts_of_shift", "department", "shift", "person"),
)

#: Who may process which device family at which station, how far, until when; `reopened` since a change.
#: `state` and `due_order` sort what is to be done next, so that no list of it looks at all of them.
standings = Table(
    "standings",
    metadata,
    _here(),
    Column("family", Words, primary_key=True),
    Column("station", Words, primary_key=True),
    Column("person", Words, primary_key=True),
    Column("level", String(16), nullable=False),
    Column("given", Moment, nullable=False),
    Column("until", Moment),
    Column("reopened", Moment),
    Column("state", String(16), nullable=False),
    Column("due_order", String(27), nullable=False),
    Column("fields", Fields, nullable=False),
    Index("standings_of_person", "person", "department", "family", "station"),
    Index("standings_due", "department", "state", "due_order", "person", "family", "station"),
    sqlite_with_rowid=False,
)

#: Which lesson somebody went through, of which revision of an instruction.
learnt = Table(
    "learnt",
    metadata,
    _here(),
    Column("instruction", Words, primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("part", Words, primary_key=True),
    Column("person", Words, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("fields", Fields, nullable=False),
    Index("learnt_by_person", "department", "person", "at"),
)

#: Every answer to a question, for the statistics of questions; the pseudonym may outlive its person.
answers = Table(
    "answers",
    metadata,
    Column("id", Words, primary_key=True),
    Column("department", Words, ForeignKey("sites.id"), nullable=False),
    Column("person", Words, nullable=False),
    Column("instruction", Words, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("question", String(64), nullable=False),
    Column("sitting", Words, nullable=False),
    Column("choice", Integer, nullable=False),
    Column("is_right", Boolean, nullable=False),
    Column("at", Moment, nullable=False),
    Index("answers_of_instruction", "department", "instruction", "at"),
    Index("answers_of_person", "department", "person", "at"),
)

#: What somebody is likely to remember of a question, as the scheduler keeps it; goes with the person.
memories = Table(
    "memories",
    metadata,
    _here(),
    _of_person(),
    Column("instruction", Words, primary_key=True),
    Column("question", String(64), primary_key=True),
    Column("due", Moment, nullable=False),
    Column("fields", Fields, nullable=False),
    Index("memories_due", "department", "person", "due"),
    Index("memories_of_device", "department", "instruction", "person", "due", "question"),
)
