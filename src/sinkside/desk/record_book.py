"""The record book: everything that happened in a department, searched, taken out as a file, and checked."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sinkside.desk import cycle_records, shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.indicators import INDICATOR, LOT
from sinkside.desk.machine_things import Thing, things_of
from sinkside.desk.people import name_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.record_sentences import sentence
from sinkside.errors import BadInput
from sinkside.journal import ChainFault, Event, Head, canonical_bytes, check, known_zone
from sinkside.records import Wanted

_MOST_AT_ONCE = 500
_PERSON = "person"
_THING = "machine"
_MOST_NAMED = 50

#: The kinds of rows that events are about.
_SEARCHED = (shelf.KIND, cycle_records.KIND, LOT, INDICATOR, "solution", "set", "observation", "roll-out")


@dataclass(frozen=True)
class Entry:
    """One event as people read it: when, in the department's own time, who, what, and what it concerns.

    `reason` is what the person said of why, where the book keeps that.
    """

    sequence: int
    at: datetime
    actor: str
    actor_name: str
    kind: str
    noun: str
    id: str
    sentence: str
    digest: str
    reason: str = ""


@dataclass(frozen=True)
class RecordPage:
    """Entries, newest first; `before` asks for the next page, none if there is no more; the head now."""

    entries: tuple[Entry, ...]
    before: int | None
    head: Head | None


@dataclass(frozen=True)
class ChainCheck:
    """Whether the chain is whole: how many events it has, its head, and the first fault if there is one."""

    events: int
    head: Head | None
    fault: ChainFault | None

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return self.fault is None

    @property
    def sentence(self) -> str:
        """What was found, in a sentence."""
        if self.fault is not None:
            return f"The chain is broken at {self.fault}."
        return f"The chain is whole: {self.events} events, head {self.head}."


def read_record(archive: Archive, who: Visitor, wanted: Wanted) -> RecordPage:
    """What happened in this department, newest first.

    Words are looked for in the events, and in the names of people and things that the events only point at.

    Raises:
        NotAllowed: without the right.
        BadInput: if more is asked for at once than is given.
    """
    require(who, "record-read")
    if not 0 < wanted.limit <= _MOST_AT_ONCE:
        raise BadInput(f"expected 1 to {_MOST_AT_ONCE} events at once", resource="limit")
    with archive.unit(writes=False) as unit:
        events = unit.journal.events(who.department, wanted)
        if wanted.text and (named := _named(unit, who, wanted.text)):
            pointed = unit.journal.events(who.department, replace(wanted, text=None, named=named))
            every = {event.sequence: event for event in (*events, *pointed)}
            events = [every[sequence] for sequence in sorted(every, reverse=True)][: wanted.limit]
        entries = _entries(unit, who, events)
        head = unit.journal.head(who.department)
    more = len(events) == wanted.limit and events[-1].sequence > 1
    return RecordPage(entries, events[-1].sequence if more else None, head)


def history_of(
    archive: Archive, who: Visitor, *, noun: str, thing: str, limit: int = 100
) -> tuple[Entry, ...]:
    """What happened to one instruction or cycle, newest first, for whoever may read it.

    Raises:
        NotAllowed: without the right to read such a thing.
        NotThere: if there is none here.
    """
    with archive.unit(writes=False) as unit:
        if noun == shelf.KIND:
            require(who, "instruction-read")
            shelf.row_of(unit, who, thing)
        else:
            require(who, "cycle-read")
            cycle_records.cycle_row(unit, who, thing)
        wanted = Wanted(subject=f"{noun}:{thing}", limit=limit)
        return _entries(unit, who, unit.journal.events(who.department, wanted))


def export_record(archive: Archive, who: Visitor) -> Iterator[bytes]:
    """The record book as lines of JSON: each event's canonical bytes, then a line with the head.

    Whoever keeps the file can recompute every digest (SHA-256 of a line without its end), and see by the head
    that nothing is missing.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "record-export")
    return _lines(archive, who)


def check_chain(archive: Archive, who: Visitor, *, kept: Head | None = None) -> ChainCheck:
    """Whether the chain of this department is whole.

    Args:
        archive: where it is kept.
        who: the acting person.
        kept: a head that was printed on paper or kept elsewhere; the stored one unless told.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "chain-check")
    with archive.unit(writes=False) as unit:
        head = unit.journal.head(who.department)
        counted = _Counted(unit.journal.stored(who.department))
        fault = check(counted, head=kept or head)
        return ChainCheck(counted.number, head, fault)


def _named(unit: Unit, who: Visitor, text: str) -> tuple[str, ...]:
    """People, rows and things of the department whose names hold some words, as events point at them."""
    said = text.casefold()
    people = [person.id for person in unit.people.all() if said in person.name.casefold()]
    rows = [
        f"{kind}:{row.id}"
        for kind in _SEARCHED
        for row in unit.rows.all(kind, [who.department], text=text, limit=_MOST_NAMED)
    ]
    things = [f"{_THING}:{one.id}" for one in _things(unit, who) if said in one.name.casefold()]
    return (*people, *(f"{_PERSON}:{person}" for person in people), *rows, *things)


def _things(unit: Unit, who: Visitor) -> tuple[Thing, ...]:
    site = department_in(unit, who.department)
    return things_of(site) if site else ()


class _Counted:
    """Events counted as they go by."""

    def __init__(self, events: Iterator[bytes]) -> None:
        self._events = events
        self.number = 0

    def __iter__(self) -> Iterator[bytes]:
        for event in self._events:
            self.number += 1
            yield event


def _lines(archive: Archive, who: Visitor) -> Iterator[bytes]:
    with archive.unit(writes=False) as unit:
        last = b""
        for last in unit.journal.stored(who.department):
            yield last + b"\n"
        head = unit.journal.head(who.department)
    if head is not None and last and json.loads(last)["sequence"] == head.sequence:
        yield canonical_bytes({"head": str(head), "sequence": head.sequence, "digest": head.digest}) + b"\n"


def _entries(unit: Unit, who: Visitor, events: Sequence[Event]) -> tuple[Entry, ...]:
    """Events as people read them; each person and each thing is looked up once."""
    named = functools.cache(functools.partial(name_of, unit))
    things: dict[str, set[str]] = {}
    for event in events:
        noun, _, thing = event.subject.partition(":")
        things.setdefault(noun, set()).add(thing)
    titles = {noun: unit.rows.titles(noun, ids) for noun, ids in things.items() if noun != _PERSON}
    titles[_PERSON] = {thing: named(thing) for thing in things.get(_PERSON, ())}
    if _THING in things:
        titles[_THING] = {one.id: one.name for one in _things(unit, who)}
    return tuple(replace(_entry(event, named, titles), reason=_reason(unit, event)) for event in events)


def _reason(unit: Unit, event: Event) -> str:
    """Why a file was handed in again for another program; the event binds the record that says so."""
    noun, _, thing = event.subject.partition(":")
    if event.kind != "cycle-handed-in" or not event.data.get("before"):
        return ""
    made = unit.documents.get(noun, thing, 1)
    return made.note if made else ""


def _entry(event: Event, named: Callable[[str], str], titles: Mapping[str, Mapping[str, str]]) -> Entry:
    noun, _, thing = event.subject.partition(":")
    actor = named(event.actor)
    return Entry(
        sequence=event.sequence,
        at=event.at.astimezone(known_zone(event.zone)),
        actor=event.actor,
        actor_name=actor,
        kind=event.kind,
        noun=noun,
        id=thing,
        sentence=sentence(event, actor=actor, subject=titles[noun].get(thing, f"{noun} {thing}")),
        digest=event.digest,
    )
