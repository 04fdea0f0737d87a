"""The chain: each event carries the digest of the one before, so that nothing can be changed in silence.

Whoever owns the storage can recompute a whole chain. The head is therefore printed on evidence files and
backups, and checked against them.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable
from dataclasses import dataclass

from sinkside.errors import BadInput
from sinkside.journal.event import NO_EVENT, Event, Happening, read_event
from sinkside.journal.moments import known_zone

#: 80 bits: enough that nobody finds a second history with the same printed head, short enough to read out.
_PRINTED_BYTES = 10


@dataclass(frozen=True)
class Head:
    """The last event of a chain: its sequence number and digest."""

    sequence: int
    digest: str

    def __str__(self) -> str:
        """The printed form: sequence number and four groups of four.

        >>> str(Head(1042, "00" * 32))
        '1042-AAAA-AAAA-AAAA-AAAA'
        """
        letters = base64.b32encode(bytes.fromhex(self.digest)[:_PRINTED_BYTES]).decode()
        return "-".join([str(self.sequence), *(letters[start : start + 4] for start in range(0, 16, 4))])


@dataclass(frozen=True)
class ChainFault:
    """The first thing wrong in a chain: at which sequence number, and what."""

    sequence: int
    problem: str

    def __str__(self) -> str:
        return f"event {self.sequence}: {self.problem}"


#: The head of a journal in which nothing has happened yet.
EMPTY = Head(0, NO_EVENT)


def link(previous: Event | None, happening: Happening) -> Event:
    """What happened, as the event that follows another; the first of a chain follows None.

    Raises:
        BadInput: if the happening's zone is none that this machine knows. Only new events are asked that: an
            old one must stay readable where the zone database has changed.
    """
    known_zone(happening.zone)
    head = head_of(previous)
    return Event.from_happening(happening, sequence=head.sequence + 1, previous=head.digest)


def head_of(last: Event | None) -> Head:
    """The head of the chain that ends with an event."""
    return Head(last.sequence, last.digest) if last else EMPTY


def check(
    events: Iterable[Event | bytes], *, after: Head = EMPTY, head: Head | None = None
) -> ChainFault | None:
    """The first fault in a chain, or None if it is whole.

    Args:
        events: the events in order, as stored bytes or read.
        after: the head that the first of them must follow; the beginning unless told.
        head: the head that was kept elsewhere. Without it a change to the last event, or its loss, leaves no
            mark that could be found.
    """
    last = after
    for stored in events:
        expected = last.sequence + 1
        try:
            event = read_event(stored) if isinstance(stored, bytes) else stored
        except BadInput as error:
            return ChainFault(expected, error.message)
        if event.sequence != expected:
            return ChainFault(
                expected, f"missing or out of order; number {event.sequence} stands in its place"
            )
        if event.previous != last.digest:
            return ChainFault(
                expected, "does not follow from the event before it, as one of the two was changed"
            )
        last = Head(event.sequence, event.digest)
    return _against(last, head) if head else None


def _against(last: Head, kept: Head) -> ChainFault | None:
    """What the head that was kept elsewhere says of the end of the chain."""
    if last.sequence < kept.sequence:
        return ChainFault(last.sequence + 1, f"missing; the chain once reached number {kept.sequence}")
    if last.sequence > kept.sequence:
        return ChainFault(
            kept.sequence + 1, "stands after the head that was kept; check up to that head only"
        )
    if last.digest != kept.digest:
        return ChainFault(last.sequence, "was changed: its digest is not the one that was kept")
    return None
