"""The roster: who works on which shift. A post goes when its person is erased."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import fields

from sqlalchemy import RowMapping, bindparam, delete, func, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_teaching import posts
from sinkside.records import Post

#: In the order in which a post is made of them.
_KEPT = [posts.c[field.name] for field in fields(Post)]

_OF_PERSON = (
    select(*_KEPT)
    .where(posts.c.department == bindparam("here"), posts.c.person == bindparam("of"))
    .order_by(posts.c.shift)
)
_ON = (
    select(*_KEPT)
    .where(posts.c.department == bindparam("here"), posts.c.shift.in_(bindparam("shifts", expanding=True)))
    .order_by(posts.c.shift, posts.c.person)
)
_COUNTS = (
    select(posts.c.shift, func.count().label("posts"))
    .where(posts.c.department == bindparam("here"))
    .group_by(posts.c.shift)
)


class RosterTable:
    """Who works on which shift."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, post: Post) -> None:
        """Add a post, or change until when.

        Raises:
            BadInput: if there is no such person.
        """
        self._do.put(posts, vars(post), key=("department", "person", "shift"))

    def remove(self, department: str, person: str, shift: str) -> None:
        """Take somebody off a shift."""
        one = (posts.c.department == department, posts.c.person == person, posts.c.shift == shift)
        self._do.change(delete(posts).where(*one))

    def of_person(self, department: str, person: str) -> list[Post]:
        """A person's posts, by shift."""
        return [_post(row) for row in self._do.all(_OF_PERSON, here=department, of=person)]

    def on(self, department: str, shifts: Collection[str]) -> list[Post]:
        """Every post on some shifts, ended ones included."""
        return [_post(row) for row in self._do.all(_ON, here=department, shifts=tuple(sorted(shifts)))]

    def counts(self, department: str) -> dict[str, int]:
        """How many posts each shift has."""
        return {row["shift"]: row["posts"] for row in self._do.all(_COUNTS, here=department)}


def _post(found: RowMapping) -> Post:
    """A post of what the database gives, which comes in the order in which it was asked for."""
    return Post(*found.values())
