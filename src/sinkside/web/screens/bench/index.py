"""The bench: how many sets are at each station, and one station with the sets that lie there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.department import Station
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.guiding import at_station, counts
from sinkside.plain.operations import station_label
from sinkside.web.asked import Asked
from sinkside.web.screen import Nav, Option
from sinkside.web.screens.bench.guide import here_shown
from sinkside.web.screens.bench.place import PLACE, rooms, screen
from sinkside.web.screens.bench.shown import FrameShown, HereShown, frame
from sinkside.web.screens.bench.stations import WORKED_AT, station_at

#: Where the sets of the other stations are dealt with.
_ELSEWHERE: Final = {
    Station.washer: "/bench/loads",
    Station.sterilizer: "/bench/loads",
    Station.store: "/bench/store",
}


@dataclass(frozen=True)
class StationShown:
    """A station: its name, page, how many sets are before it, and what else is to know."""

    name: str
    address: str
    sets: str


@dataclass(frozen=True)
class BenchPage:
    """The stations in the order of the work, and the other pages of the bench."""

    title: str
    frame: FrameShown
    stations: tuple[StationShown, ...]
    rooms: tuple[Option, ...]


@dataclass(frozen=True)
class StationPage:
    """The sets of one station, what must be dealt with first is first."""

    title: str
    frame: FrameShown
    bench: str
    here: tuple[HereShown, ...]


@screen.page(PLACE, right=READ, template="bench.html", nav=Nav("Bench", 15, "bench"))
def bench_page(asked: Asked) -> BenchPage:
    """How many sets are at each station."""
    found = counts(asked.archive, asked.visitor)
    return BenchPage(
        title="Bench",
        frame=frame(asked, here=asked.at("/bench")),
        stations=tuple(_station(asked, station, number) for station, number in found.items()),
        rooms=rooms(asked),
    )


@screen.page(f"{PLACE}/at/{{station}}", right=READ, template="bench_station.html")
def station_page(asked: Asked, station: str) -> StationPage:
    """The sets of one station."""
    at = station_at(station)
    found = at_station(asked.archive, asked.visitor, at, now=asked.now)
    return StationPage(
        title=station_label(at),
        frame=frame(asked, here=asked.at(f"/bench/at/{at}"), station=at.value),
        bench=asked.at("/bench"),
        here=tuple(here_shown(asked, one, at) for one in found),
    )


def _station(asked: Asked, station: Station, number: int) -> StationShown:
    path = f"/bench/at/{station}" if station in WORKED_AT else _ELSEWHERE[station]
    sets = "nothing here" if not number else "1 set" if number == 1 else f"{number} sets"
    return StationShown(station_label(station), asked.at(path), sets)
