"""Gaps of a run: what its plan asks for, and nothing that is kept of it shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from sinkside.bench.behind import TOLD_BY_MOMENTS, stations_behind
from sinkside.bench.history import Evidence, Line, LineKind, gap
from sinkside.bench.plan import Plan, Task
from sinkside.bench.run import Packed, Run
from sinkside.department import WORKED_AT, Station

_SOIL_CLOCK: Final = "the soil clock: cleaning begins by when it was last used"
_LOOK: Final = "inspection line by line, as the list says"
_COUNT: Final = "the count at packing against the list"
_WEIGHED: Final = "a pack is weighed where its mass is known from the list"


def run_gaps(plan: Plan, run: Run, *, opened: datetime) -> tuple[Line, ...]:
    """What is not recorded of a run, the earliest of the way first.

    Args:
        plan: what the set had to go through.
        run: what was done.
        opened: when the run began.

    What is still ahead of a run is no gap: only what it passed must show.
    """
    where = (Evidence("run", run.id),)
    lines = [
        *_of_theatre(plan, run, opened, where),
        *(line for station in _worked_behind(run) for line in _of_station(plan, run, station, where)),
        *_of_inspection(plan, run, where),
        *_of_packing(plan, run, where),
    ]
    return tuple(lines)


def _worked_behind(run: Run) -> tuple[Station, ...]:
    """Where the department's own people have worked on it by now."""
    return tuple(one for one in stations_behind(run.place) if one in WORKED_AT)


def _of_theatre(plan: Plan, run: Run, opened: datetime, where: tuple[Evidence, ...]) -> Iterator[Line]:
    """When it was last used, and what its texts ask for before it came here; what theatre told is no gap."""
    if run.last_used is None:
        yield gap(
            "when it was last used; its soil clock began when it arrived",
            since=opened,
            policy=_SOIL_CLOCK,
            kind=LineKind.case,
            evidence=where,
            station=Station.theatre,
        )
    told = {one.task for one in run.deviations}
    asked = {Station.theatre: "the first treatment in theatre"}
    if Station.transport in stations_behind(run.place):
        asked[Station.transport] = "what the texts ask for on the way from theatre"
    for station, expected in asked.items():
        silent = [
            one
            for one in plan.at(station)
            if one.id not in run.done and one.id not in told and one.action not in TOLD_BY_MOMENTS
        ]
        if silent:
            yield gap(
                f"{expected} ({_named(silent)})",
                since=run.last_used or opened,
                policy=_texts(plan, silent),
                kind=LineKind.case,
                evidence=where,
                station=station,
            )


def _of_station(plan: Plan, run: Run, station: Station, where: tuple[Evidence, ...]) -> Iterator[Line]:
    left = run.still_open(plan, station)
    since = _left(run, station)
    by_hand = [one for one in left if one.whose == "hand"]
    by_machine = [one for one in left if one.whose == "machine"]
    if by_hand:
        yield gap(
            f"what the texts ask for at the {station} ({_named(by_hand)})",
            since=since,
            policy=_texts(plan, by_hand),
            evidence=where,
            station=station,
        )
    if by_machine:
        machine = "a washer" if station is Station.washer else "a sterilizer"
        yield gap(
            f"a load of {machine} that a named person released ({_named(by_machine)})",
            since=since,
            policy=_texts(plan, by_machine),
            kind=LineKind.load,
            evidence=where,
            station=station,
        )


def _of_inspection(plan: Plan, run: Run, where: tuple[Evidence, ...]) -> Iterator[Line]:
    unseen = [one.words for one in plan.lines if one.id not in run.looked]
    if unseen and Station.bench in stations_behind(run.place):
        expected = f"the inspection of {_first_of(unseen)}"
        yield gap(
            expected,
            since=_left(run, Station.bench),
            policy=_LOOK,
            kind=LineKind.check,
            evidence=where,
            station=Station.bench,
        )


def _of_packing(plan: Plan, run: Run, where: tuple[Evidence, ...]) -> Iterator[Line]:
    if Station.packing not in stations_behind(run.place):
        return
    since = _left(run, Station.packing)
    counted = {key for key, one in run.counted.items() if one.at_station is Station.packing}
    silent = [one.words for one in plan.lines if one.id not in counted]
    if silent:
        yield gap(
            f"the count of {_first_of(silent)}",
            since=since,
            policy=_COUNT,
            kind=LineKind.check,
            evidence=where,
            station=Station.packing,
        )
    missing = {
        _COUNT: "who packed it, and in what" if run.packed is None else "",
        _WEIGHED: "what the pack weighed" if run.packed and _was_not_weighed(plan, run.packed) else "",
    }
    for policy, expected in missing.items():
        if expected:
            yield gap(expected, since=since, policy=policy, evidence=where, station=Station.packing)


def _was_not_weighed(plan: Plan, packed: Packed) -> bool:
    return plan.mass_kg is not None and packed.mass_kg is None


def _left(run: Run, station: Station) -> datetime:
    """Since when a station is behind a run, by the first thing that was done after it."""
    washed = [one.at for one in run.loads if one.station is Station.washer]
    ended = [one.ended for one in run.loads if one.station is Station.washer and one.ended]
    looked = [one.at for one in run.looked.values()]
    packed = [run.packed.at] if run.packed else []
    sterilized = [one.at for one in run.loads if one.station is Station.sterilizer]
    out = [one.ended for one in run.loads if one.station is Station.sterilizer and one.ended]
    after: dict[Station, list[list[datetime]]] = {
        Station.sink: [washed, looked, packed, sterilized],
        Station.ultrasonic: [washed, looked, packed, sterilized],
        Station.washer: [ended, looked, packed, sterilized],
        Station.bench: [packed, sterilized, out],
        Station.packing: [packed, sterilized, out],
        Station.sterilizer: [out],
    }
    return next((min(found) for found in after.get(station, []) if found), run.last_at)


def _named(tasks: Sequence[Task]) -> str:
    """How many tasks, and which is the first."""
    return f"{tasks[0].letter}, {_first_of([one.words.rstrip('.').lower() for one in tasks])}"


def _first_of(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{words[0]} and {len(words) - 1} more"


def _texts(plan: Plan, tasks: Sequence[Task]) -> str:
    """The texts that ask for some tasks, each with its revision."""
    members = {one.member for one in tasks}
    asked = [f"{one.member}, revision {one.revision}" for one in plan.texts if one.member in members]
    return f"the approved text of {'; '.join(asked)}" if asked else f"the plan of {plan.name}"
