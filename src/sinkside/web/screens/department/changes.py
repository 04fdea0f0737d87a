"""Two revisions of what a department has side by side, in the trade's terms."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from sinkside.department import DepartmentChange
from sinkside.department.spreadsheet import sheets
from sinkside.desk import departments
from sinkside.desk.people import names_of
from sinkside.records import Making
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Option
from sinkside.web.screens.department.overview import PLACE, READ, readable, screen

Number = Annotated[int | None, Query(ge=1, le=1_000_000)]

_KINDS = {"added": "new", "removed": "gone", "changed": "changed"}


@dataclass(frozen=True)
class ChangeShown:
    """One difference: whether new, gone or changed; of which thing; what of it; how it was and is."""

    kind: str
    thing: str
    what: str
    before: str
    after: str


@dataclass(frozen=True)
class ChangesOfKind:
    """The differences among one kind of thing."""

    words: str
    changes: tuple[ChangeShown, ...]


@dataclass(frozen=True)
class ChangesPage:
    """What changed between two revisions; `choices` are the revisions there are, the latest first.

    `before` is 0 where nothing was kept before; `why` is what was said of the later one.
    """

    title: str
    address: str
    department: str
    before: int
    after: int
    choices: tuple[Option, ...]
    kinds: tuple[ChangesOfKind, ...]
    count: int
    made: str
    why: str


@screen.page(f"{PLACE}/changes", right=READ, template="department_changes.html")
def changes(asked: Asked, *, before: Number = None, after: Number = None) -> ChangesPage:
    """What changed between two revisions: the latest and the one before it, unless told."""
    address = asked.at("/department")
    history = departments.open_latest(asked.archive, asked.visitor).history
    if not history:
        return ChangesPage("What changed", f"{address}/changes", address, 0, 0, (), (), 0, "", "")
    found = departments.compare_revisions(asked.archive, asked.visitor, before=before, after=after)
    names = names_of(asked.archive, {one.by for one in history})
    return ChangesPage(
        title="What changed",
        address=f"{address}/changes",
        department=address,
        before=found.before.number if found.before else 0,
        after=found.after.number,
        choices=tuple(
            Option(str(one.number), _words(one, names, asked.visitor.zone)) for one in reversed(history)
        ),
        kinds=by_kind(found.changes),
        count=len(found.changes),
        made=_words(found.after, names, asked.visitor.zone),
        why=found.after.note,
    )


def by_kind(found: Sequence[DepartmentChange]) -> tuple[ChangesOfKind, ...]:
    """Differences as people read them, kind of thing by kind of thing."""
    return tuple(
        ChangesOfKind(sheets()[name].words, tuple(_shown(one) for one in group))
        for name, group in itertools.groupby(found, key=lambda one: one.sheet)
    )


def _shown(one: DepartmentChange) -> ChangeShown:
    return ChangeShown(_KINDS[one.kind], one.thing, one.what, readable(one.before), readable(one.after))


def _words(one: Making, names: Mapping[str, str], zone: str) -> str:
    return f"Revision {one.number} · {shown_moment(one.at, zone)} · {names[one.by]}"
