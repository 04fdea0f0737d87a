"""Recording a test: place by place, with the kit's lot; what a failed one holds, and whom it asks after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sinkside.bench.doing import held
from sinkside.bench.programmes.programme import (
    Beside,
    Programme,
    Reading,
    TestedDevice,
    TestResult,
    read_seen,
    read_value,
    refuse_old_kit,
)
from sinkside.bench.programmes.reaction import Step
from sinkside.bench.programmes.words import plain
from sinkside.bench.run import Place
from sinkside.department import Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import Line
from sinkside.desk.bench.load_deciding import load_here
from sinkside.desk.bench.loads import InTheLoad, still_in
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_by_id
from sinkside.desk.concerning import note_concerning
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.kept import (
    PROGRAMMES,
    RESULT,
    RESULTS,
    asked_of,
    keep_programme,
    results_of,
    today_of,
)
from sinkside.desk.programmes.policy import RECORD, method_of
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput


@dataclass(frozen=True)
class Found:
    """What somebody found: place by place in the device's order, of which piece, with which kit."""

    found: Sequence[str]
    code: str = ""
    lot: str = ""
    expires: date | None = None
    note: str = ""


@dataclass(frozen=True)
class Kept:
    """A result as it was kept: its id, what it says, and what it asks for; nothing where it passed."""

    id: str
    result: TestResult
    step: Step | None


@dataclass(frozen=True)
class _Taken:
    """The piece that was tested: its copy and run, and the load of the washer it came out of, if any."""

    code: str = ""
    opened: OpenRun | None = None
    load: str = ""
    machine: str = ""
    machine_name: str = ""
    others: tuple[InTheLoad, ...] = ()


def record_test(
    archive: Archive, who: Visitor, key: str, device: str, found: Found, *, now: datetime
) -> Kept:
    """Record one test of one piece; a failed one holds what the policy says.

    Args:
        archive: where it is kept.
        who: who tested.
        key: the programme.
        device: which device of it, by key.
        found: what was found.
        now: when.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme, or no set with this code, here.
        BadInput: if the programme ended, a place is missing, or the kit has expired.
    """
    require(who, RECORD)
    with archive.unit() as unit:
        programme = PROGRAMMES.opened(unit, who, key)
        if programme.ended:
            raise BadInput(f"this programme ended on {programme.ended.isoformat()}", resource="programme")
        tested = programme.device(device)
        taken = _taken(unit, who, found.code)
        result = _result(unit, who, (key, programme, tested), taken, found, now=now)
        result_id = new_id("q")
        _keep_result(unit, who, result_id, result, now=now)
        if taken.opened is not None:
            note_concerning(unit, who.department, taken.opened.copy.id, f"{RESULT}:{result_id}", now=now)
        asked = asked_of(unit, who, key, programme)
        step = None if result.passed else asked.standings[device].step
        if step is not None:
            _hold(unit, who, result, taken, step, now=now)
        data: dict[str, str | int] = {"device": tested.name, "passed": result.passed}
        keep_programme(unit, who, key, programme, event="verification-tested", now=now, data=data)
        return Kept(result_id, result, step)


def _result(
    unit: Unit,
    who: Visitor,
    of: tuple[str, Programme, TestedDevice],
    taken: _Taken,
    found: Found,
    *,
    now: datetime,
) -> TestResult:
    key, programme, tested = of
    method, day = method_of(programme.method), today_of(who, now)
    if method.kit:
        refuse_old_kit(found.lot, found.expires, day=day)
    readings = _readings(programme, tested, found.found)
    passed = all(one.met for one in readings)
    good = (row for row in results_of(unit, who, key) if row.fields.get("device") == tested.id)
    since = next((row.updated for row in good if row.fields.get("passed")), None)
    return TestResult(
        programme=key,
        device=tested.id,
        device_name=tested.name,
        method=programme.method,
        code=taken.code,
        run=taken.opened.run.id if taken.opened else "",
        load=taken.load,
        machine=taken.machine,
        machine_name=taken.machine_name,
        readings=readings,
        at_most=programme.at_most,
        kit_lot=plain(found.lot, "lot"),
        kit_expires=found.expires,
        note=plain(found.note, "note"),
        passed=passed,
        since=since,
        beside=() if passed else tuple(_beside(one) for one in taken.others),
        by=who.person,
        at=now,
        day=day,
    )


def _readings(programme: Programme, tested: TestedDevice, said: Sequence[str]) -> tuple[Reading, ...]:
    if len(said) < len(tested.places) or any(not one.strip() for one in said[: len(tested.places)]):
        raise BadInput(f"expected what was found at each of {len(tested.places)} places", resource="found")
    method, pairs = method_of(programme.method), zip(tested.places, said, strict=False)
    if method.kind == "seen" or programme.at_most is None:
        return tuple(read_seen(place, one.strip()) for place, one in pairs)
    mark = programme.at_most
    return tuple(read_value(place, one, method.unit, at_most=mark) for place, one in pairs)


def _taken(unit: Unit, who: Visitor, code: str) -> _Taken:
    """The piece with a code, the run it is on, and the last washer load of that run."""
    if not code.strip():
        return _Taken()
    copy = copy_of_code(unit, who.department, code)
    if not copy.run:
        return _Taken(copy.code)
    opened = run_by_id(unit, copy.run)
    washed = [one.load for one in opened.run.loads if one.station is Station.washer]
    known = unit.bench.loads.get(washed[-1]) if washed else None
    if known is None:
        return _Taken(copy.code, opened)
    load = load_here(unit, who, known.id)
    others = tuple(one for one in still_in(unit, load) if one.copy.id != copy.id)
    return _Taken(copy.code, opened, load.id, load.machine, str(load.fields["machine_name"]), others)


def _beside(one: InTheLoad) -> Beside:
    return Beside(code=one.copy.code, name=one.copy.name, place=one.copy.place)


def _keep_result(unit: Unit, who: Visitor, key: str, result: TestResult, *, now: datetime) -> None:
    fields: dict[str, str | int | float | bool | None] = {
        "device": result.device,
        "day": result.day.isoformat(),
        "passed": result.passed,
        "worst": result.worst,
        "code": result.code,
        "load": result.load,
        "machine": result.machine,
        "lot": result.kit_lot,
        "expires": result.kit_expires.isoformat() if result.kit_expires else "",
        "by": result.by,
    }
    line = Line(result.programme, result.device_name, None, fields)
    data = {"passed": result.passed, "places": len(result.readings), "code": result.code}
    RESULTS.keep(unit, who, key, result, line, event="verification-result", now=now, data=data)


def _hold(unit: Unit, who: Visitor, result: TestResult, taken: _Taken, step: Step, *, now: datetime) -> None:
    """Hold the tested set, and with a graver step whatever else of its washer load is still in the house."""
    if taken.opened is None:
        return
    where = ", ".join(result.failed_at)
    why = f"the cleaning test of {result.device_name} did not pass ({where})"
    _held(unit, who, taken.opened, why, now=now)
    if step.holds == "load":
        for one in taken.others:
            _held(unit, who, run_by_id(unit, one.loaded.run), f"{why}; same washer load", now=now)


def _held(unit: Unit, who: Visitor, opened: OpenRun, why: str, *, now: datetime) -> None:
    if opened.kept.closed is None and opened.run.place is not Place.issued:
        run = held(opened.run, why, at=now, by=who.person)
        keep_run(unit, opened, run, now=now, place=opened.copy.place)
