"""What a water event stands in the way of: a load of a machine that draws the water; and the way past it."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterator
from datetime import datetime
from importlib import resources
from typing import Final

from sinkside.bench.programmes.water_event import WaterEvent, WaterPolicy, allowed_for
from sinkside.desk.access import Visitor
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.ports import Unit
from sinkside.errors import Conflict
from sinkside.records import KeptLoad

WATER_EVENT: Final = "water-event"
OPEN, CLOSED = "open", "closed"
EVENTS: Final = KeptList(WATER_EVENT, WaterEvent, "water event")


@functools.cache
def water_policy() -> WaterPolicy:
    """The policy of water events that comes with the program."""
    file = resources.files("sinkside.desk").joinpath("policies", "water_events.toml")
    return WaterPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def keep_event(unit: Unit, who: Visitor, key: str, known: WaterEvent, *, event: str, now: datetime) -> None:
    """Keep a water event as it stands now."""
    line = Line(CLOSED if known.closed else OPEN, known.what, None, {"kind": known.kind.value})
    data = {"kind": known.kind.value, "machines": len(known.machines)}
    EVENTS.keep(unit, who, key, known, line, event=event, now=now, data=data)


def water_stop(unit: Unit, who: Visitor, machine: str) -> str:
    """Why a machine stands still for its water; empty where it does not, or one load may go on."""
    for _, known in _open_at(unit, who, machine):
        if not any(one.machine == machine and not one.load for one in known.allowed):
            return why_still(known)
    return ""


def pass_water(unit: Unit, who: Visitor, load: KeptLoad, *, at: datetime, now: datetime) -> None:
    """Let a load go on unless its machine stands still for its water; one exception lets one load past.

    Args:
        unit: the transaction.
        who: the acting person.
        load: which load.
        at: when it was begun or started.
        now: the moment.

    Raises:
        Conflict: if a water event stands in the way and no exception was made for it.
    """
    for key, known in _open_at(unit, who, load.machine):
        if not known.stops(load.machine, at):
            continue
        allowed = allowed_for(known, load.machine, load.id)
        if allowed is None:
            name = load.fields.get("machine_name") or load.machine
            raise Conflict(f"{name} stands still: {why_still(known)}", resource="machine")
        if allowed != known:
            keep_event(unit, who, key, allowed, event="water-exception-used", now=now)


def water_at(unit: Unit, who: Visitor, thing: str) -> tuple[tuple[str, str], ...]:
    """The open events at a machine or water point: their keys, and what each says of it."""
    return tuple(
        (key, f"{known.what[0].upper()}{known.what[1:]}, told by {known.told_by}")
        for key, known in EVENTS.all(unit, who, [OPEN])
        if any(one.id == thing for one in (*known.machines, *known.points))
    )


def why_still(known: WaterEvent) -> str:
    """Why machines stand still by an event, in a clause."""
    waits = "its tests are not closed yet" if known.over else "it is not over yet"
    return f"{known.what}, told by {known.told_by}; {waits}"


def _open_at(unit: Unit, who: Visitor, machine: str) -> Iterator[tuple[str, WaterEvent]]:
    """The open events by which a machine stands still."""
    for key, known in EVENTS.all(unit, who, [OPEN]):
        if any(one.id == machine for one in known.machines):
            yield key, known
