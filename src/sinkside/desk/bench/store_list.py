"""What the store sees: packs that wait to go in, that lie in it, that are given out, with what matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.gates import in_the_way
from sinkside.bench.run import HELD, Place
from sinkside.bench.shelf_life import ShelfLife, StorePolicy
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.copies import READ, copy_in
from sinkside.desk.bench.runs import OpenRun, run_of
from sinkside.desk.bench.store_policy import policy_here
from sinkside.desk.bench.store_shelf import ReleasedBy, kept_of, released_by
from sinkside.desk.machine_days import ThingToday, today_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import NotThere
from sinkside.records import KeptCopy, WantedCopies

#: So many lines of each list are shown; the field above finds the rest.
MOST: Final = 60

_IN_PACKS: Final = (Place.sterilized, Place.in_store, Place.issued)
_STORE_ROOM: Final = "room-store"


@dataclass(frozen=True)
class PackSeen:
    """A pack: its copy and run, who released its load, whether it keeps, what stands in its next way.

    `obstacles` are in the way of the store for one that waits, and of its case for one in store.
    """

    opened: OpenRun
    released: ReleasedBy
    kept: ShelfLife
    obstacles: tuple[str, ...]

    @property
    def copy(self) -> KeptCopy:
        """Its copy."""
        return self.opened.copy

    def said(self, field: str) -> str:
        """What is kept of it beside: `reserved` and `case` are case numbers, `exception` a form's id."""
        return str(self.copy.fields.get(field) or "")


@dataclass(frozen=True)
class StoreFound:
    """Packs that wait to go in, those in store, those given out, those that are held; how many of each.

    `rooms` are the department's stores with their checks, the worst first; `policy` says how long packs keep.
    """

    waiting: tuple[PackSeen, ...]
    stored: tuple[PackSeen, ...]
    issued: tuple[PackSeen, ...]
    held: tuple[PackSeen, ...]
    counts: dict[str, int]
    rooms: tuple[ThingToday, ...]
    policy: StorePolicy


def find_store(archive: Archive, who: Visitor, *, text: str = "", now: datetime) -> StoreFound:
    """What the store of this department sees.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = {place: _packs(unit, who, [place.value], text, now) for place in _IN_PACKS}
        held = [one for one in _packs(unit, who, [HELD], text, now) if one.opened.run.place in _IN_PACKS]
        rooms = today_in(unit, who, now=now) if who.may("machine-read") else ()
        return StoreFound(
            waiting=found[Place.sterilized],
            stored=found[Place.in_store],
            issued=found[Place.issued],
            held=tuple(held),
            counts=unit.bench.copies.counts(who.department),
            rooms=tuple(one for one in rooms if _STORE_ROOM in one.thing.kinds),
            policy=policy_here(unit, who.department),
        )


def see_pack(archive: Archive, who: Visitor, copy: str, *, now: datetime) -> PackSeen:
    """One pack.

    Raises:
        NotAllowed: without the right.
        NotThere: if it is in no pack that came out of a sterilizer.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = copy_in(unit, who, copy)
        run = unit.bench.runs.get(known.run) if known.run else None
        if run is None or run.closed is not None or run.state not in {place.value for place in _IN_PACKS}:
            raise NotThere(f"{known.name} is in no pack here: {known.place}", resource=known.code)
        return _seen(unit, who, known, now)


def _packs(unit: Unit, who: Visitor, states: Sequence[str], text: str, now: datetime) -> tuple[PackSeen, ...]:
    wanted = WantedCopies(states=states, text=text, limit=MOST)
    return tuple(_seen(unit, who, one, now) for one in unit.bench.copies.found(who.department, wanted))


def _seen(unit: Unit, who: Visitor, copy: KeptCopy, now: datetime) -> PackSeen:
    opened = run_of(unit, copy)
    run = opened.run
    goes_to = Place.issued if run.place is Place.in_store else Place.in_store
    obstacles = () if run.place is Place.issued else in_the_way(opened.plan, run, goes_to, now=now)
    kept = kept_of(unit, who, opened, now=now)
    return PackSeen(opened, released_by(unit, who, run), kept, obstacles)
