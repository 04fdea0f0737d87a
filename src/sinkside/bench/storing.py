"""What the store makes of a run: in store, issued, taken back, sent back, or let out under exception."""

from __future__ import annotations

from datetime import date, datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.doing import moved_to, sent_back
from sinkside.bench.gates import in_the_way
from sinkside.bench.plan import Plan
from sinkside.bench.run import InLoad, Place, Run
from sinkside.bench.shelf_life import ShelfLife
from sinkside.department import Station
from sinkside.errors import BadInput
from sinkside.findings import Level

#: Where a set must be to be let out under exception: it went through a sterilizer at least.
_FOR_EXCEPTION: Final = (Place.sterilized, Place.in_store)


def put_in_store(plan: Plan, run: Run, *, at: datetime) -> Run:
    """A run in store.

    Raises:
        BadInput: if it does not come out of a sterilizer, or something stands in the way: what.
    """
    return moved_to(plan, run, Place.in_store, now=at, came_from=(Place.sterilized,))


def issued(plan: Plan, run: Run, kept: ShelfLife, *, at: datetime, whole: bool) -> Run:
    """A run that is given out to a case.

    Args:
        plan: what the set had to go through.
        run: what was done.
        kept: whether the pack still counts as sterile.
        at: when.
        whole: whether whoever gives it out saw it whole, dry, and with a label that can be read.

    Raises:
        BadInput: if it is not in store, its pack is not whole or over, or something stands in the way.
    """
    if not whole:
        raise BadInput(
            f"{plan.name}: only a pack that is whole, dry and readable is given out; say what happened",
            resource="whole",
        )
    if not kept.is_sound:
        raise BadInput(f"{plan.name}: {kept.findings[0].message}", resource="code")
    return moved_to(plan, run, Place.issued, now=at, came_from=(Place.in_store,))


def taken_back(plan: Plan, run: Run, *, at: datetime, whole: bool) -> Run:
    """A run that comes back from a case: in store again if nobody opened or harmed the pack, else soiled.

    Raises:
        BadInput: if it was not given out, or something stands in the way of the store.
    """
    if run.place is not Place.issued:
        raise BadInput(f"{plan.name} was not given out; there is nothing to take back", resource="code")
    if not whole:
        return sent_back(run, at=at)
    return moved_to(plan, run, Place.in_store, now=at, came_from=(Place.issued,))


def spoiled(plan: Plan, run: Run, *, at: datetime) -> Run:
    """A run whose pack something happened to: it begins again at the sink.

    Raises:
        BadInput: if it is not packed.
    """
    if run.place not in {Place.packed, Place.sterilized, Place.in_store, Place.issued}:
        raise BadInput(f"{plan.name} is in no pack now", resource="code")
    return sent_back(run, at=at)


def let_out(plan: Plan, run: Run, kept: ShelfLife, *, at: datetime) -> tuple[str, ...]:
    """What stands in the way of a set that is to be let out under exception.

    Raises:
        BadInput: if it went through no sterilizer, or nothing stands in its way and it needs no exception.
    """
    if run.place not in _FOR_EXCEPTION:
        raise BadInput(
            f"{plan.name} did not come out of a sterilizer; no exception lets it out", resource="code"
        )
    obstacles = in_the_way(plan, run, Place.issued, now=at)
    over = tuple(one.message for one in kept.findings if one.level is Level.stop)
    if not obstacles and not over:
        raise BadInput(f"nothing stands in the way of {plan.name}; issue it", resource="code")
    return (*obstacles, *over)


def under_exception(run: Run, exception: str) -> Run:
    """A run that was let out under an exception, with the id of its form; that let go what held it."""
    lifted = f"let out under exception {exception}"
    holds = tuple(one if one.lifted else one.model_copy(update={"lifted": lifted}) for one in run.holds)
    change = {"place": Place.issued, "holds": holds, "exceptions": (*run.exceptions, exception)}
    return run.model_copy(update=change)


def sterilizer_load(run: Run) -> InLoad | None:
    """The sterilizer load that a pack went through last; none before."""
    return next((one for one in reversed(run.loads) if one.station is Station.sterilizer), None)


def sterilized_on(run: Run, zone: str) -> date:
    """The day, where the department is, on which the pack's load ended; of its last act without a load."""
    load = sterilizer_load(run)
    at = (load.ended or load.at) if load else run.last_at
    return at.astimezone(ZoneInfo(zone)).date()
