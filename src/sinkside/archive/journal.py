"""The chain of each department: events as their canonical bytes, with columns to find them by."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Executable, Select, Table, and_, bindparam, insert, or_, select, update

from sinkside.archive.bench.binding import BOUND
from sinkside.archive.connection import ESCAPE, Transaction, holding, unindexed
from sinkside.archive.schema import event_words, events, heads, sites
from sinkside.errors import BadInput
from sinkside.journal import Event, Happening, Head, canonical_bytes, known_zone, read_event
from sinkside.records import Wanted

#: Stored events are read in portions, so that a chain of any length needs little memory.
_PORTION = 1000

#: The kind of an event that carries nothing but rows: what it was about was told before they were kept.
REST = "rows-kept"

# Each write asks these; a statement that is built once is not built again for each of them.
_OF_ONE = heads.c.department == bindparam("of")
_LOCKED = select(heads).where(_OF_ONE).with_for_update()
_HEAD = select(heads.c.sequence, heads.c.digest).where(_OF_ONE, heads.c.sequence > 0)
_LAST = (
    select(events.c.at)
    .where(events.c.department == bindparam("of"))
    .order_by(events.c.sequence.desc())
    .limit(1)
)
_ZONE = select(sites.c.zone).where(sites.c.id == bindparam("of"))
_MOVE = update(heads).where(_OF_ONE)
_AT = select(events.c.at).where(
    events.c.department == bindparam("of"), events.c.sequence == bindparam("turn")
)
_KEEP, _KEEP_WORDS = insert(events), insert(event_words)


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
        locked = self._do.first(_LOCKED, of=department)
        if locked is None:
            raise BadInput("there is no such department", resource=department)
        bound = self._do.unbound.pop(department, None)
        if bound:
            happening = happening.model_copy(update={"data": {**happening.data, BOUND: bound}})
        event = Event.from_happening(
            happening, sequence=locked["sequence"] + 1, previous=str(locked["digest"])
        )
        self._keep(department, event)
        self._do.change(_MOVE, of=department, sequence=event.sequence, digest=event.digest)
        return event

    def _keep(self, department: str, event: Event) -> None:
        place = {"department": department, "sequence": event.sequence}
        self._do.change(
            _KEEP,
            **place,
            digest=event.digest,
            at=event.at,
            kind=event.kind,
            actor=event.actor,
            subject=event.subject,
            canonical=event.canonical,
        )
        self._do.change(_KEEP_WORDS, **place, words=searched_words(event))

    def bind_rest(self) -> None:
        """Bind how rows are kept that no event of this unit carries; nothing where every one is carried."""
        for department in tuple(self._do.unbound):
            last = self._do.first(_LAST, of=department)
            site = self._do.first(_ZONE, of=department)
            if last is None or site is None:
                continue  # a department in which nothing has happened has no bench
            happening = Happening(
                at=last["at"],
                zone=site["zone"],
                kind=REST,
                actor="system",
                subject=f"department:{department}",
            )
            self.append(department, happening)

    def head(self, department: str) -> Head | None:
        """The head of the chain; none if nothing has happened in the department."""
        found = self._do.first(_HEAD, of=department)
        return Head(**found) if found else None

    def events(self, department: str, wanted: Wanted) -> list[Event]:
        """Events, newest first.

        Raises:
            BadInput: if one of them was altered; its number is the error's resource.
        """
        chosen = _chosen(frozenset(_values(wanted)))
        found = self._do.all(chosen, here=department, most=wanted.limit, **_values(wanted))
        return [_read(row["sequence"], bytes(row["canonical"])) for row in found]

    def subjects(self, department: str, wanted: Wanted) -> frozenset[str]:
        """What the wanted events are about, of all of them, however many are wanted at once."""
        about = _about(frozenset(_values(wanted)))
        return frozenset(row[0] for row in self._do.tuples(about, here=department, **_values(wanted)))

    def first_since(self, department: str, moment: datetime) -> int:
        """The first event's sequence that was recorded at a moment or later; the next one's if none was.

        Events are recorded one after the other, so that halving finds it in a few steps, without an index.
        """
        head = self.head(department)
        low, high = 1, (head.sequence if head else 0) + 1
        while low < high:
            middle = (low + high) // 2
            if self._do.value(_AT, of=department, turn=middle) < moment:
                low = middle + 1
            else:
                high = middle
        return low

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
    """What a search in the record book looks through: kind, subject and data, all in small letters.

    Digests of rows are nothing that anybody looks for.
    """
    said = {name: value for name, value in event.data.items() if name != BOUND}
    data = canonical_bytes(said).decode() if said else ""
    return f"{event.kind} {event.subject} {data}".casefold().replace("\0", " ")


@functools.lru_cache(maxsize=2_000)
def _read(sequence: int, canonical: bytes) -> Event:
    """The event of some stored bytes; the newest are read again and again, and bytes do not change."""
    try:
        return read_event(canonical)
    except BadInput as error:
        raise BadInput(error.message, resource=f"event {sequence}") from error


def _values(wanted: Wanted) -> dict[str, object]:
    """The values of everything that is asked of events, by name; what is not asked has none."""
    asked = {
        "text": holding(wanted.text) if wanted.text else None,
        "before": wanted.before,
        "after": wanted.after,
        "kinds": tuple(wanted.kinds) or None,
        "subject": wanted.subject,
        "actor": wanted.actor,
        "named": tuple(wanted.named) or None,
        "subjects": tuple(wanted.subjects) or None,
        "since": wanted.since,
        "until": wanted.until,
    }
    return {name: value for name, value in asked.items() if value is not None}


@functools.cache
def _chosen(asked: frozenset[str]) -> Executable:
    """The wanted events of a department, newest first; each combination of questions is built once."""
    chosen = _narrowed(select(events.c.sequence, events.c.canonical), asked)
    return chosen.order_by(_place(asked).c.sequence.desc()).limit(bindparam("most"))


@functools.cache
def _about(asked: frozenset[str]) -> Executable:
    """What the wanted events of a department are about, each subject once."""
    return _narrowed(select(events.c.subject).distinct(), asked)


def _narrowed(chosen: Select[Any], asked: frozenset[str]) -> Select[Any]:
    """The events of a department that fulfil what is asked."""
    place = _place(asked).c
    if "text" in asked:
        same = and_(place.department == events.c.department, place.sequence == events.c.sequence)
        found = place.words.like(bindparam("text"), escape=ESCAPE)
        chosen = chosen.select_from(event_words.join(events, same)).where(found)
    if "before" in asked:
        chosen = chosen.where(place.sequence < bindparam("before"))
    if "after" in asked:
        chosen = chosen.where(place.sequence > bindparam("after"))
    return chosen.where(place.department == bindparam("here"), *_conditions(asked))


def _place(asked: frozenset[str]) -> Table:
    """Where events stand in their order: a search goes through the narrow table, and looks up the rest."""
    return event_words if "text" in asked else events


def _conditions(asked: frozenset[str]) -> list[ColumnElement[bool]]:
    """What an event itself must fulfil."""
    own = (events.c.kind, events.c.actor)
    kind, actor = map(unindexed, own) if "text" in asked else own
    at = (
        events.c.at
    )  # without an index: read newest first, a stretch of time is met early and needs no sorting
    every = {
        "kinds": kind.in_(bindparam("kinds", expanding=True)),
        "subject": events.c.subject == bindparam("subject"),
        "subjects": events.c.subject.in_(bindparam("subjects", expanding=True)),
        "actor": actor == bindparam("actor"),
        "named": or_(
            events.c.subject.in_(bindparam("named", expanding=True)),
            events.c.actor.in_(bindparam("named", expanding=True)),
        ),
        "since": at >= bindparam("since"),
        "until": at < bindparam("until"),
    }
    return [condition for name, condition in every.items() if name in asked]
