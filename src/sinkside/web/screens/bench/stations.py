"""The stations at which people work on one set after the other, with a tablet."""

from __future__ import annotations

from typing import Final

from sinkside.department import Station
from sinkside.errors import NotThere

#: Where people stand with a tablet, and work on one set after the other.
WORKED_AT: Final = (Station.sink, Station.bench, Station.packing)


def station_at(station: str) -> Station:
    """The station that an address names.

    Raises:
        NotThere: if nobody works on sets there.
    """
    if station not in WORKED_AT:
        raise NotThere("there is no such station", resource=station)
    return Station(station)
