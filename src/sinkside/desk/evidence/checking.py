"""The record book held against a head that stands on paper."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sinkside.desk.access import Visitor, require
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput
from sinkside.journal import ChainFault, Head, check

CHECK: Final = "chain-check"

_PRINTED: Final = re.compile(r"([1-9]\d{0,15})((?:-[A-Z2-7]{4}){4})")


@dataclass(frozen=True)
class HeadChecked:
    """What became of a printed head: whether the book still has it, and one sentence."""

    printed: str
    matches: bool
    sentence: str


def check_head(archive: Archive, who: Visitor, printed: str) -> HeadChecked:
    """Recompute the chain of this department and look for a printed head in it.

    Raises:
        NotAllowed: without the right.
        BadInput: if it is no head.
    """
    require(who, CHECK)
    wanted = printed.strip().upper()
    found = _PRINTED.fullmatch(wanted)
    if found is None:
        raise BadInput("expected a head as it is printed, such as 1042-AAAA-AAAA-AAAA-AAAA", resource="head")
    with archive.unit(writes=False) as unit:
        seen = _Seen(unit.journal.stored(who.department), int(found[1]))
        fault = check(seen, head=unit.journal.head(who.department))
        return HeadChecked(wanted, *_judged(seen, wanted, fault))


class _Seen:
    """Events on their way into the check; the one with the wanted number is noted as it goes by."""

    def __init__(self, events: Iterator[bytes], wanted: int) -> None:
        self._events = events
        self.wanted = wanted
        self.events = 0
        self.head = ""

    def __iter__(self) -> Iterator[bytes]:
        for stored in self._events:
            self.events += 1
            if self.events == self.wanted:
                self.head = str(Head(self.wanted, hashlib.sha256(stored).hexdigest()))
            yield stored


def _judged(seen: _Seen, printed: str, fault: ChainFault | None) -> tuple[bool, str]:
    """Whether it matches, and why not: a chain that is broken before it vouches for nothing after."""
    if fault is not None and fault.sequence <= seen.wanted:
        return False, (
            f"The chain is broken at {fault}. The printed head {printed} no longer matches what is kept."
        )
    if not seen.head:
        return (
            False,
            f"The record book ends at event {seen.events}: the printed head {printed} is not reached.",
        )
    if seen.head != printed:
        return False, (
            f"Event {seen.wanted} is not the one whose head was printed: that was {printed}, this is "
            f"{seen.head}. The record book was written anew since."
        )
    if fault is not None:
        return False, f"The head {printed} is there, but after it the chain is broken at {fault}."
    return True, (
        f"The record book has the printed head {printed}; its {seen.events} events follow from each other."
    )
