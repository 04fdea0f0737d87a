"""Why a paper is kept off the floor, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sinkside.errors import NotForTheFloor
from sinkside.findings import Finding

#: So many stops are named where a paper is refused; the page and the proof have them all.
_STOPS_NAMED: Final = 3


def refuse_open_stops(stops: Sequence[Finding], where: str, *, resource: str) -> None:
    """Refuse a paper while stops are open: how many, where, and the first of them by name.

    `where` follows the count as it stands: " in the set".

    Raises:
        NotForTheFloor: if any is open.

    >>> from sinkside.findings import Level
    >>> heavy = Finding(rule="set-mass-over", level=Level.stop, message="It weighs too much.")
    >>> refuse_open_stops([heavy], " in the set", resource="Hand set")
    Traceback (most recent call last):
    sinkside.errors.NotForTheFloor: Hand set: 1 stop is open in the set (It weighs too much.); ask for...
    """
    if not stops:
        return
    are = "1 stop is open" if len(stops) == 1 else f"{len(stops)} stops are open"
    named = " ".join(stop.message for stop in stops[:_STOPS_NAMED])
    more = f" And {len(stops) - _STOPS_NAMED} more." if len(stops) > _STOPS_NAMED else ""
    raise NotForTheFloor(f"{are}{where} ({named}{more}); ask for a proof to see it", resource=resource)
