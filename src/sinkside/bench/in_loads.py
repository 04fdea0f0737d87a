"""What a load makes of the runs in it: they go in, the machine ends, a person decides, they cool."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.doing import moved_to
from sinkside.bench.plan import Plan
from sinkside.bench.run import InLoad, LoadEnd, Place, Run
from sinkside.department import Station
from sinkside.errors import BadInput

#: Where a run is while a load of a station has it, and where it came from.
_IN: Final = {Station.washer: Place.in_washer, Station.sterilizer: Place.in_sterilizer}
_FROM: Final = {Station.washer: (Place.at_sink,), Station.sterilizer: (Place.packed,)}


def put_in(plan: Plan, run: Run, load: InLoad) -> Run:
    """A run in a load; several loads of one station may have one set whose devices go apart.

    Raises:
        BadInput: if it does not come from there, something stands in the way, or it lies in it already.
    """
    if any(one.load == load.load for one in run.loads):
        raise BadInput(f"{plan.name} lies in this load already", resource="code")
    place = _IN[load.station]
    came_from = (*_FROM[load.station], place)
    moved = moved_to(plan, run, place, now=load.at, came_from=came_from)
    return moved.model_copy(update={"loads": (*run.loads, load)})


def taken_out(run: Run, load: str) -> Run:
    """A run that was taken out of a load before that began: it stands where it came from."""
    left = tuple(one for one in run.loads if one.load != load)
    gone = next((one for one in run.loads if one.load == load), None)
    if gone is None or any(one.station is gone.station for one in left):
        return run.model_copy(update={"loads": left})
    return run.model_copy(update={"loads": left, "place": _FROM[gone.station][0]})


def decided(run: Run, load: str, end: LoadEnd, *, at: datetime, cooled: datetime | None = None) -> Run:
    """A run after somebody decided on a load of it, or decided anew; a sterilized one is out of its machine.

    `cooled` is from when on it may be handled. What a later round left behind is not touched.
    """
    ended = {"end": end, "ended": at, "cooled": cooled}
    loads = tuple(one.model_copy(update=ended) if one.load == load else one for one in run.loads)
    after = run.model_copy(update={"loads": loads})
    if run.place is Place.in_sterilizer and any(one.load == load for one in run.loads):
        return after.model_copy(update={"place": Place.sterilized})
    return after
