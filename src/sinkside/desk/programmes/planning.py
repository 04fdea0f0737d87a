"""Planning a programme: its method and pass mark, its devices, how often each; work let go on again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.programmes.programme import MOST_PLACES, Lift, Programme, TestedDevice
from sinkside.bench.programmes.words import plain
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.kept import PROGRAMMES, asked_of, keep_programme, today_of
from sinkside.desk.programmes.policy import PLAN, is_difficult, method_of, pass_mark, places_of, policy
from sinkside.desk.set_texts import approved_of, device_name
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput
from sinkside.instruction import Instruction
from sinkside.records import Row
from sinkside.teach.sign_offs import families_of

_MOST_DEVICES: Final = 60
_MOST_TEXTS: Final = 500
_LONGEST_PERIOD: Final = 366


@dataclass(frozen=True)
class Planned:
    """What somebody plans: name, method, pass mark and whose, period in days, devices by their texts' ids."""

    name: str
    method: str
    devices: Sequence[str]
    at_most: float | None = None
    said_by: str = ""
    period_days: int = 0


@dataclass(frozen=True)
class OfDevice:
    """How one device is tested: how many in each period, and where."""

    times: int
    places: Sequence[str]


def make_programme(archive: Archive, who: Visitor, planned: Planned, *, now: datetime) -> str:
    """Begin a programme, and say its id; how often and where come from the policy, until they are changed.

    Raises:
        NotAllowed: without the right.
        BadInput: if something is missing: a device, a pass mark, whose it is.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        at_most, said_by = _mark(unit, who, planned)
        programme = Programme(
            name=plain(planned.name, "name", needed=True),
            method=planned.method,
            at_most=at_most,
            said_by=said_by,
            period_days=_period(planned.period_days or policy().period_days),
        )
        programme = _with(unit, who, programme, planned.devices, now=now)
        if not programme.devices:
            raise BadInput("choose a device or more", resource="devices")
        key = new_id("u")
        data = {"devices": len(programme.devices)}
        keep_programme(unit, who, key, programme, event="verification-planned", now=now, data=data)
        return key


def add_devices(archive: Archive, who: Visitor, key: str, devices: Sequence[str], *, now: datetime) -> None:
    """Add devices to a programme.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme or text here.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        before = _running(unit, who, key)
        after = _with(unit, who, before, devices, now=now)
        added = len(after.devices) - len(before.devices)
        if not added:
            raise BadInput("choose a device that is not in it yet", resource="devices")
        data = {"devices": added}
        keep_programme(unit, who, key, after, event="verification-devices-added", now=now, data=data)


def change_device(
    archive: Archive, who: Visitor, key: str, device: str, change: OfDevice, *, now: datetime
) -> None:
    """Say how often and where one device is tested; with no time at all it is taken out.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme here.
        BadInput: if it has no such device, or that is no plan.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        before = _running(unit, who, key)
        known = before.device(device)
        if not 0 <= change.times <= before.period_days:
            raise BadInput(f"expected 0 to {before.period_days} tests in the period", resource="times")
        left = [one for one in before.devices if one.id != device]
        if change.times:
            places = _places(change.places)
            left.insert(
                before.devices.index(known),
                known.model_copy(update={"times": change.times, "places": places}),
            )
        after = before.model_copy(update={"devices": tuple(left)})
        data: dict[str, str | int] = {"device": known.name, "times": change.times}
        keep_programme(unit, who, key, after, event="verification-device-changed", now=now, data=data)


def let_go_on(archive: Archive, who: Visitor, key: str, device: str, *, reason: str, now: datetime) -> None:
    """Let work on a device go on that was stopped, as whoever answers for the programme.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme here.
        BadInput: if it is not stopped, or without a reason.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        before = _running(unit, who, key)
        known = before.device(device)
        if device not in asked_of(unit, who, key, before).stopped:
            raise BadInput(f"work on {known.name} is not stopped", resource="device")
        words = plain(reason, "reason", needed=True)
        lift = Lift(device=device, reason=words, by=who.person, at=now)
        after = before.model_copy(update={"lifts": (*before.lifts, lift)})
        data = {"device": known.name}
        keep_programme(unit, who, key, after, event="verification-goes-on", now=now, data=data)


def end_programme(archive: Archive, who: Visitor, key: str, *, now: datetime) -> None:
    """End a programme; its results stay.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme here.
        BadInput: if it ended already.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        before = _running(unit, who, key)
        after = before.model_copy(update={"ended": today_of(who, now)})
        keep_programme(unit, who, key, after, event="verification-ended", now=now)


def devices_to_choose(unit: Unit, who: Visitor, known: Iterable[TestedDevice] = ()) -> tuple[Row, ...]:
    """The approved texts of devices that are not in a programme yet, by name."""
    inside = {one.instruction for one in known}
    rows = unit.rows.all(shelf.KIND, [who.department], states=("approved",), limit=_MOST_TEXTS)
    return tuple(sorted((row for row in rows if row.id not in inside), key=device_name))


def _running(unit: Unit, who: Visitor, key: str) -> Programme:
    known = PROGRAMMES.opened(unit, who, key)
    if known.ended:
        raise BadInput(f"this programme ended on {known.ended.isoformat()}", resource="programme")
    return known


def _period(days: int) -> int:
    if not 1 <= days <= _LONGEST_PERIOD:
        raise BadInput(f"expected 1 to {_LONGEST_PERIOD} days", resource="period_days")
    return days


def _mark(unit: Unit, who: Visitor, planned: Planned) -> tuple[float | None, str]:
    """The pass mark and whose it is; a published one where one is in force, else what somebody states."""
    method = method_of(planned.method)
    if method.kind != "number":
        return None, ""
    published = pass_mark(method, department_in(unit, who.department))
    if planned.at_most is None:
        if published is None:
            raise BadInput(
                "expected the highest number that passes, as the kit's maker or your policy says",
                resource="at_most",
            )
        return published.value[1], str(published.source)
    return planned.at_most, plain(planned.said_by, "said_by", needed=True)


def _with(
    unit: Unit, who: Visitor, programme: Programme, devices: Sequence[str], *, now: datetime
) -> Programme:
    known = {row.id: row for row in devices_to_choose(unit, who, programme.devices)}
    added = [_device(unit, who, known[key], programme, now=now) for key in devices if key in known]
    every = (*programme.devices, *added)
    if len(every) > _MOST_DEVICES:
        raise BadInput(f"at most {_MOST_DEVICES} devices; begin another programme", resource="devices")
    return programme.model_copy(update={"devices": every})


def _device(unit: Unit, who: Visitor, row: Row, programme: Programme, *, now: datetime) -> TestedDevice:
    text = read_kept(unit, shelf.KIND, row.id, Instruction, approved_of(row))
    if text is None:
        raise BadInput("this text is not approved", resource="devices")
    hard = is_difficult(text)
    times = policy().times_difficult if hard else policy().times
    return TestedDevice(
        id=new_id("d"),
        name=device_name(row),
        instruction=row.id,
        family=families_of(department_in(unit, who.department), text, row.id),
        difficult=hard,
        times=min(times, programme.period_days),
        places=places_of(text)[:MOST_PLACES],
        since=today_of(who, now),
    )


def _places(said: Sequence[str]) -> tuple[str, ...]:
    found = tuple(dict.fromkeys(words for one in said if (words := plain(one, "places"))))
    if not 1 <= len(found) <= MOST_PLACES:
        raise BadInput(f"expected 1 to {MOST_PLACES} places, one a line", resource="places")
    return found
