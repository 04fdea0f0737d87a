"""What stands in the way of a run's next place, sentence by sentence; nothing where it may go on."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.plan import Line, Plan
from sinkside.bench.run import Place, Run
from sinkside.department import Station

_BEFORE_WASHING: Final = (Station.sink, Station.ultrasonic)
_CLEANING: Final = (*_BEFORE_WASHING, Station.washer)
_ON_THE_BENCH: Final = (Station.bench, Station.packing)


def in_the_way(plan: Plan, run: Run, place: Place, *, now: datetime) -> tuple[str, ...]:
    """What stands in the way of a place, the gravest first.

    Args:
        plan: what the set has to go through.
        run: what was done.
        place: where it is to go.
        now: the moment.
    """
    asked = {
        Place.at_sink: _nothing,
        Place.in_washer: _of_washing,
        Place.clean_side: _of_the_clean_side,
        Place.packing: _of_packing,
        Place.packed: _of_a_pack,
        Place.in_sterilizer: _of_sterilizing,
        Place.sterilized: _of_sterilizing,
        Place.in_store: _of_the_store,
        Place.issued: _of_the_store,
    }
    if place not in asked:
        return ()
    return (*_held(run), *asked[place](plan, run, now))


def _held(run: Run) -> tuple[str, ...]:
    return tuple(f"it is held: {one.why}" for one in run.open_holds())


def _nothing(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    del plan, run, now
    return ()


def _of_washing(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    del now
    return _undone(plan, run, *_BEFORE_WASHING)


def _of_the_clean_side(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    del now
    open_machines = [one for one in plan.machines(Station.washer) if one.required and not run.is_done(one)]
    if not open_machines:
        return _undone(plan, run, *_CLEANING)
    said = "no washer record that somebody released: it goes back to the soiled side"
    return (said, *_undone(plan, run, *_BEFORE_WASHING))


def _of_packing(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    return (
        *_of_the_clean_side(plan, run, now),
        *_undone(plan, run, Station.bench),
        *_looked_at(plan, run),
        *_worn_out(plan, run),
    )


def _of_a_pack(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    return (*_of_packing(plan, run, now), *_undone(plan, run, Station.packing), *_count(plan, run))


def _of_sterilizing(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    unpacked = () if run.packed else ("it is not packed",)
    return (*unpacked, *_of_a_pack(plan, run, now))


def _of_the_store(plan: Plan, run: Run, now: datetime) -> tuple[str, ...]:
    # A set whose devices go apart lies in several loads: each must be released, not only the last.
    loads = [one for one in run.loads if one.station is Station.sterilizer]
    open_machines = [
        one for one in plan.machines(Station.sterilizer) if one.required and not run.is_done(one)
    ]
    said: list[str] = []
    if open_machines or any(one.end != "released" for one in loads):
        said.append("no sterilizer load that somebody released")
    elif any(one.cooled is None or one.cooled > now for one in loads):
        said.append("it is still cooling")
    return (*_of_sterilizing(plan, run, now), *said, *_undone(plan, run, Station.sterilizer))


def _undone(plan: Plan, run: Run, *stations: Station) -> tuple[str, ...]:
    """One sentence a station that has something undone: how many, and the first of them."""
    said = []
    for station in stations:
        left = [one for one in run.still_open(plan, station) if one.whose == "hand"]
        if left:
            more = f" and {len(left) - 1} more" if len(left) > 1 else ""
            said.append(f"not done at the {station}: {left[0].letter}, {left[0].words.lower()}{more}")
    return tuple(said)


def _looked_at(plan: Plan, run: Run) -> tuple[str, ...]:
    unseen = [one.words for one in plan.lines if one.id not in run.looked]
    failed = [
        f"{line.words} failed inspection: {run.looked[line.id].fault}"
        for line in plan.lines
        if line.id in run.looked and not run.looked[line.id].passed and not _is_taken_out(run, line)
    ]
    if unseen:
        more = f" and {len(unseen) - 1} more" if len(unseen) > 1 else ""
        failed.append(f"not inspected: {unseen[0]}{more}")
    return tuple(failed)


def _worn_out(plan: Plan, run: Run) -> tuple[str, ...]:
    return tuple(
        f"{line.words}: processed {run.uses[line.id]} times, its text allows {line.most_uses}; replace it"
        for line in plan.lines
        if line.most_uses and run.uses.get(line.id, 0) >= line.most_uses
    )


def _is_taken_out(run: Run, line: Line) -> bool:
    """Whether what failed lies no more in the set: fewer were counted, or something stands in."""
    counted = run.counted.get(line.id)
    leaves = run.looked[line.id].then in {"set-aside", "repair"}
    return leaves and counted is not None and (counted.found < line.expected or bool(counted.substitute))


def _count(plan: Plan, run: Run) -> tuple[str, ...]:
    said = [
        f"a critical part is missing: {words} ({number})"
        for words, number, critical in run.missing(plan)
        if critical
    ]
    counted = [run.counted.get(one.id) for one in plan.lines]
    if any(one is None or one.at_station is not Station.packing for one in counted):
        said.append("not counted at packing")
    return tuple(said)
