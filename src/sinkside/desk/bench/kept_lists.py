"""Documents that stand in a list of the department: kept with their line and their event, or opened again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Generic, TypeVar

from sinkside.desk.access import Visitor, record
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Unit
from sinkside.documents import Value
from sinkside.errors import NotThere
from sinkside.records import Row

Kept = TypeVar("Kept", bound=Value)

_MOST: Final = 200


@dataclass(frozen=True)
class Line:
    """How a document stands in its list: in which state, under what title, and due when."""

    state: str
    title: str
    due: datetime | None = None
    fields: Mapping[str, str | int | float | bool | None] | None = None


@dataclass(frozen=True)
class KeptList(Generic[Kept]):
    """One list: the kind of its rows and events' subjects, its documents, and what one is called."""

    kind: str
    document: type[Kept]
    called: str

    def keep(
        self,
        unit: Unit,
        who: Visitor,
        key: str,
        document: Kept,
        line: Line,
        *,
        event: str,
        now: datetime,
        data: Mapping[str, Any] | None = None,
    ) -> None:
        """Keep a document as it stands now, with its line and its event."""
        revision = keep_next(unit, self.kind, key, document, by=who.person, now=now)
        unit.rows.put(
            Row(
                self.kind,
                key,
                who.department,
                line.state,
                line.title,
                now,
                due=line.due,
                fields=dict(line.fields or {}),
            )
        )
        told = {**(data or {}), "digest": revision.digest}
        record(unit, who, event, f"{self.kind}:{key}", now=now, data=told)

    def opened(self, unit: Unit, who: Visitor, key: str) -> Kept:
        """A document of this department as it stands.

        Raises:
            NotThere: if there is none here.
        """
        row = unit.rows.get(self.kind, key)
        kept = read_kept(unit, self.kind, key, self.document) if row else None
        if row is None or kept is None or row.department != who.department:
            raise NotThere(f"there is no such {self.called} here", resource=key)
        return kept

    def all(
        self, unit: Unit, who: Visitor, states: Sequence[str] = (), *, most: int = _MOST
    ) -> tuple[tuple[str, Kept], ...]:
        """Documents of this department with their keys: what is due first, then the latest changed."""
        rows = unit.rows.all(self.kind, [who.department], states=states, limit=most)
        found = ((row.id, read_kept(unit, self.kind, row.id, self.document)) for row in rows)
        return tuple((key, kept) for key, kept in found if kept is not None)
