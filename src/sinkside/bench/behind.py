"""What a run has behind it: the stations that it passed, and what no record of its own tells."""

from __future__ import annotations

from typing import Final

from sinkside.bench.run import Place
from sinkside.department import Station
from sinkside.instruction import Action

#: The first station that is not behind a set, by its place; none where it went the whole way.
_NEXT: Final = {
    Place.soiled: Station.theatre,
    Place.at_sink: Station.sink,
    Place.in_washer: Station.washer,
    Place.clean_side: Station.bench,
    Place.packing: Station.packing,
    Place.packed: Station.sterilizer,
    Place.in_sterilizer: Station.sterilizer,
    Place.sterilized: Station.sterilizer,
    Place.in_store: Station.store,
}

#: How soon cleaning began, when it was brought and stored: the moments themselves tell it.
TOLD_BY_MOMENTS: Final = frozenset({Action.start_cleaning, Action.transport, Action.store, Action.count_use})


def stations_behind(place: Place) -> tuple[Station, ...]:
    """The stations that a set has behind it, in the order of the way.

    >>> [station.value for station in stations_behind(Place.in_washer)]
    ['theatre', 'transport', 'sink', 'ultrasonic']
    """
    stations = tuple(Station)
    upto = _NEXT.get(place)
    return stations[: stations.index(upto)] if upto else stations
