"""The chain of each department: events as their canonical bytes, with columns to find them by."""

from __future__ import annotations

import functools
from collections.abc import Iterator

from sqlalchemy import ColumnElement, Select, and_, insert, select, update

from sinkside.archive.connection import Transaction, unindexed
from sinkside.archive.schema import event_words, events, heads
from sinkside.errors import BadInput
from sinkside.journal import Event, Happening, Head, canonical_bytes, known_zone, read_event
from sinkside.records import Wanted

#: Stored events are read in portions, so that a chain of any length needs little memory.
_PORTION = 1000


class EventTable:
    """The journal, as the desk asks for it."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def append(self, department: str, happening: Happening) -> Event:
        """Bind a happening to the department's chain; its head stays locked until the unit ends.

        Raises:
            BadInput: if there is no such department, or its time zone is unknown.
        """
        known_zone(happening.zone)
        # On PostgreSQL this waits for whoever appends; on SQLite writers come one by one anyway.
        locked = self._do.first(select(heads).where(heads.c.department == department).with_for_update())
        if locked is None:
            raise BadInput("there is no such department", resource=department)
        event = Event.from_happening(
            happening, sequence=locked["sequence"] + 1, previous=str(locked["digest"])
        )
        self._keep(department, event)
        self._do.change(
            update(heads)
            .where(heads.c.department == department)
            .values(sequence=event.sequence, digest=event.digest)
        )
        return event

    def _keep(self, department: str, event: Event) -> None:
        place = {"department": department, "sequence": event.sequence}
        self._do.change(
            insert(events).values(
                **place,
                digest=event.digest,
                at=event.at,
                kind=event.kind,
                actor=event.actor,
                subject=event.subject,
                canonical=event.canonical,
            )
        )
        self._do.change(insert(event_words).values(**place, words=searched_words(event)))

    def head(self, department: str) -> Head | None:
        """The head of the chain; none if nothing has happened in the department."""
        found = self._do.first(
            select(heads.c.sequence, heads.c.digest).where(
                heads.c.department == department, heads.c.sequence > 0
            )
        )
        return Head(**found) if found else None

    def events(self, department: str, wanted: Wanted) -> list[Event]:
        """Events, newest first.

        Raises:
            BadInput: if one of them was altered; its number is the error's resource.
        """
        chosen = _chosen(department, wanted).limit(wanted.limit)
        return [_read(row["sequence"], bytes(row["canonical"])) for row in self._do.all(chosen)]

    def stored(self, department: str, *, after: int = 0) -> Iterator[bytes]:
        """The canonical bytes of every event as they are stored, oldest first."""
        while True:
            portion = self._do.all(
                select(events.c.sequence, events.c.canonical)
                .where(events.c.department == department, events.c.sequence > after)
                .order_by(events.c.sequence)
                .limit(_PORTION)
            )
            for row in portion:
                yield bytes(row["canonical"])
            if not portion:
                return
            after = portion[-1]["sequence"]


def searched_words(event: Event) -> str:
    """What a search in the record book looks through: kind, subject and data, all in small letters."""
    data = canonical_bytes(event.data).decode() if event.data else ""
    return f"{event.kind} {event.subject} {data}".casefold().replace("\0", " ")


@functools.lru_cache(maxsize=2_000)
def _read(sequence: int, canonical: bytes) -> Event:
    """The event of some stored bytes; the newest are read again and again, and bytes do not change."""
    try:
        return read_event(canonical)
    except BadInput as error:
        raise BadInput(error.message, resource=f"event {sequence}") from error


def _chosen(department: str, wanted: Wanted) -> Select[int, bytes]:
    """The wanted events of a department, newest first."""
    chosen = select(events.c.sequence, events.c.canonical)
    place = events.c
    if wanted.text:
        # The search goes through the narrow table in its own order, and looks up only what it finds.
        place = event_words.c
        same = and_(place.department == events.c.department, place.sequence == events.c.sequence)
        found = place.words.contains(wanted.text.casefold(), autoescape=True)
        chosen = chosen.select_from(event_words.join(events, same)).where(found)
    if wanted.before is not None:
        chosen = chosen.where(place.sequence < wanted.before)
    chosen = chosen.where(place.department == department, *_conditions(wanted))
    return chosen.order_by(place.sequence.desc())


def _conditions(wanted: Wanted) -> list[ColumnElement[bool]]:
    """What an event itself must fulfil."""
    own = (events.c.kind, events.c.actor)
    kind, actor = map(unindexed, own) if wanted.text else own
    at = (
        events.c.at
    )  # without an index: read newest first, a stretch of time is met early and needs no sorting
    asked: list[ColumnElement[bool]] = []
    if wanted.kinds:
        asked.append(kind.in_(wanted.kinds))
    if wanted.subject is not None:
        asked.append(events.c.subject == wanted.subject)
    if wanted.actor is not None:
        asked.append(actor == wanted.actor)
    if wanted.since is not None:
        asked.append(at >= wanted.since)
    if wanted.until is not None:
        asked.append(at < wanted.until)
    return asked
