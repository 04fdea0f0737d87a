"""Gaps of a load: its record, the verdict on it, a named person's decision, and what release asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.bench.history import Evidence, Line, LineKind, gap
from sinkside.bench.loads import LoadState
from sinkside.department import Station

_BY_RECORD: Final = "a load is decided on its record, by a named person"
_UNDER_WAY: Final = frozenset({LoadState.building, LoadState.running})
_DECIDED: Final = frozenset({LoadState.released, LoadState.held})


@dataclass(frozen=True)
class Asked:
    """What release asks for and is not there: its name, what is known of it, and who asks for it.

    `waits` says that it is under way, such as an indicator that incubates within its hours.
    """

    name: str
    known: str
    policy: str
    waits: bool = False


@dataclass(frozen=True)
class LoadKnown:
    """What is kept of a load, as far as its gaps need it.

    Attributes:
        load: its id.
        machine: the name of its machine.
        station: where that stands on the way of a set.
        state: how it stands.
        opened: when it was begun.
        started: when the machine began; none where that is not kept.
        ended: when it came out; none where that is not kept.
        cycle: the record; empty where there is none.
        is_judged: whether a verdict on the record is kept.
        unjudged: why there is none, as far as that is known.
        unseen: what the record leaves open.
        read: what was read at the machine, where somebody decided without a record.
        decided: when somebody decided; none where nobody did.
        asked: what release asks for and is not there.
    """

    load: str
    machine: str
    station: Station
    state: LoadState
    opened: datetime
    started: datetime | None = None
    ended: datetime | None = None
    cycle: str = ""
    is_judged: bool = False
    unjudged: str = ""
    unseen: tuple[str, ...] = ()
    read: str = ""
    decided: datetime | None = None
    asked: tuple[Asked, ...] = ()


def load_gaps(known: LoadKnown) -> tuple[Line, ...]:
    """What is not recorded of a load; nothing while it is built or runs.

    >>> from datetime import UTC
    >>> at = datetime(2026, 3, 2, 9, tzinfo=UTC)
    >>> over = LoadKnown("l-1", "Washer 1", Station.washer, LoadState.over, at, started=at, ended=at)
    >>> for one in load_gaps(over):
    ...     one.words
    'Not recorded: the record of Washer 1.'
    'Not recorded: a decision on the load of Washer 1.'
    """
    if known.state in _UNDER_WAY:
        return ()
    found = (*_of_its_run(known), *_of_record(known), *_of_decision(known), *_of_release(known))
    return tuple(replace(one, station=known.station) for one in found)


def _of_its_run(known: LoadKnown) -> Iterator[Line]:
    where = (Evidence("load", known.load),)
    if known.started is None:
        words = f"when {known.machine} began"
        yield gap(words, since=known.opened, policy=_BY_RECORD, kind=LineKind.load, evidence=where)
    if known.ended is None:
        since = known.started or known.opened
        words = f"when the load came out of {known.machine}"
        yield gap(words, since=since, policy=_BY_RECORD, kind=LineKind.load, evidence=where)


def _of_record(known: LoadKnown) -> Iterator[Line]:
    since = known.ended or known.started or known.opened
    where = (Evidence("load", known.load),)
    of_record = (Evidence("cycle", known.cycle), *where)
    if not known.cycle:
        read = f"; what was read at it: {known.read}" if known.read else ""
        words = f"the record of {known.machine}{read}"
        yield gap(words, since=since, policy=_BY_RECORD, kind=LineKind.record, evidence=where)
    elif not known.is_judged:
        why = f" ({known.unjudged.rstrip('.')})" if known.unjudged else ""
        words = f"a verdict on the record of {known.machine}{why}"
        yield gap(words, since=since, policy=_BY_RECORD, kind=LineKind.record, evidence=of_record)
    elif known.unseen:
        words = f"what the record of {known.machine} leaves open: {', '.join(known.unseen)}"
        yield gap(words, since=since, policy=_BY_RECORD, kind=LineKind.record, evidence=of_record)


def _of_decision(known: LoadKnown) -> Iterator[Line]:
    if known.state not in _DECIDED:
        since = known.ended or known.started or known.opened
        where = (Evidence("load", known.load),)
        words = f"a decision on the load of {known.machine}"
        yield gap(words, since=since, policy=_BY_RECORD, kind=LineKind.decision, evidence=where)


def _of_release(known: LoadKnown) -> Iterator[Line]:
    """What release asks for: missing whatever was decided; under way only once somebody released without."""
    released = known.state == LoadState.released
    since = known.decided or known.ended or known.opened
    where = (Evidence("cycle", known.cycle), Evidence("load", known.load))
    for one in known.asked:
        if one.waits and not released:
            continue
        words = f"{known.machine}, {one.name[:1].lower()}{one.name[1:]} ({one.known.rstrip('.')})"
        yield gap(words, since=since, policy=one.policy, kind=LineKind.check, evidence=where)
