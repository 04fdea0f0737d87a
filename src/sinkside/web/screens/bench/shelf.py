"""Where the bench is: its addresses, its stations, and the screen that all of its pages belong to."""

from __future__ import annotations

from typing import Final

from sinkside.department import Station
from sinkside.errors import NotThere
from sinkside.web.screen import DEPARTMENT, Screen

screen = Screen("bench")

PLACE: Final = f"{DEPARTMENT}/bench"

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
