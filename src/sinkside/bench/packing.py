"""Inspection, count and pack: what the look, the count and the closing of the pack make of a run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from sinkside.bench.acts import Count, CountAll, Look, LookAll, Pack
from sinkside.bench.doing import Doer, Outcome, moved_to, sent_back
from sinkside.bench.plan import Plan
from sinkside.bench.run import Counted, Done, Looked, Packed, Place, Run
from sinkside.department import Station
from sinkside.errors import BadInput
from sinkside.instruction import Action

#: A pack on the scale may differ from its list by so much (common practice, no source).
_MASS_TOLERANCE: Final = 0.1

_CLOSING: Final = frozenset({Action.pack, Action.weigh})


def look(plan: Plan, run: Run, act: Look, doer: Doer) -> Outcome:
    """Keep what the look at one line showed; soil sends the whole set back."""
    line = plan.line(act.line)
    _at_the_bench(plan, run)
    if not act.passed and not (act.fault and act.then):
        raise BadInput(f"{line.words}: say what is wrong, and what follows", resource="fault")
    seen = Looked(passed=act.passed, fault=act.fault, then=act.then, at=doer.at, by=doer.by)
    looked = run.model_copy(update={"looked": {**run.looked, line.id: seen}})
    if act.then == "reprocess-set":
        return Outcome(sent_back(looked, at=doer.at), f"{line.words}: {act.fault}. The whole set goes back.")
    if act.then == "replace" and line.expected == 1:
        looked = looked.model_copy(update={"uses": {**looked.uses, line.id: 0}})
    said = "passed" if act.passed else f"{act.fault}; {act.then.replace('-', ' ')}"
    return Outcome(looked, f"{line.words}: {said}.")


def look_all(plan: Plan, run: Run, act: LookAll, doer: Doer) -> Outcome:
    """Keep that everything passed."""
    del act
    _at_the_bench(plan, run)
    if Station.bench not in doer.alone:
        raise BadInput("all at once is for whoever inspects this set alone; go line by line", resource="code")
    for line, words in run.reported.items():
        if line not in run.looked:
            raise BadInput(
                f"theatre reported of {plan.line(line).words}: {words}; look at it on its own",
                resource="line",
            )
    seen = Looked(passed=True, at=doer.at, by=doer.by)
    looked = {line.id: seen for line in plan.lines if line.id not in run.looked}
    return Outcome(
        run.model_copy(update={"looked": run.looked | looked}), f"All {len(plan.lines)} lines passed."
    )


def count(plan: Plan, run: Run, act: Count, doer: Doer) -> Outcome:
    """Keep how many of each line there are, and what stands in for a missing one."""
    for name in (*act.found, *act.substitutes):
        plan.line(name)
    here = _counting_at(plan, run, act.station, doer)
    counted = {
        line: Counted(
            found=number,
            at_station=act.station,
            substitute=act.substitutes.get(line, ""),
            at=doer.at,
            by=doer.by,
        )
        for line, number in act.found.items()
    }
    for line, kept in counted.items():
        if kept.found > plan.line(line).expected:
            raise BadInput(
                f"{plan.line(line).words}: {kept.found} counted, {plan.line(line).expected} on the list",
                resource="found",
            )
    kept_run = here.model_copy(update={"counted": {**here.counted, **counted}})
    return Outcome(kept_run, _counted_words(plan, kept_run, act.station))


def count_all(plan: Plan, run: Run, act: CountAll, doer: Doer) -> Outcome:
    """Keep that everything is there; a line that was counted short at this station stays short."""
    short = {
        line.id
        for line in plan.lines
        if (known := run.counted.get(line.id)) is not None and known.at_station is act.station
    }
    found = {line.id: line.expected for line in plan.lines if line.id not in short}
    return count(plan, run, Count(code=act.code, station=act.station, found=found), doer)


def pack(plan: Plan, run: Run, act: Pack, doer: Doer) -> Outcome:
    """Close the pack, if everything before it is done and every critical part is in it."""
    if run.place is not Place.packing:
        raise BadInput(f"{plan.name} is not at packing", resource="code")
    _refuse_other_mass(plan, run, act.mass_kg)
    alone = Station.packing in doer.alone
    closing = {
        one.id: Done(at=doer.at, by=doer.by, times=one.times, seen=bool(one.until))
        for one in plan.at(Station.packing)
        if not run.is_done(one) and (alone or one.action in _CLOSING)
    }
    packed = Packed(
        packaging=act.packaging or plan.packaging,
        mass_kg=act.mass_kg,
        label=act.label,
        at=doer.at,
        by=doer.by,
    )
    closed = run.model_copy(update={"done": {**run.done, **closing}, "packed": packed})
    moved = moved_to(plan, closed, Place.packed, now=doer.at, came_from=(Place.packing,))
    return Outcome(moved, f"{plan.name} is packed.")


#: What each act makes of a run, by its name.
ACTS: Final[dict[str, Callable[[Plan, Run, Any, Doer], Outcome]]] = {
    "look": look,
    "look-all": look_all,
    "count": count,
    "count-all": count_all,
    "pack": pack,
}


def _at_the_bench(plan: Plan, run: Run) -> None:
    if run.place not in {Place.clean_side, Place.packing}:
        raise BadInput(f"{plan.name} is not on the clean side; it is inspected there", resource="code")


def _counting_at(plan: Plan, run: Run, station: Station, doer: Doer) -> Run:
    """The run where it is counted: at the sink, or at packing, to which an inspected set goes by itself."""
    if station is Station.packing and run.place is Place.clean_side:
        return moved_to(plan, run, Place.packing, now=doer.at, came_from=(Place.clean_side,))
    where = {Place.soiled: Station.sink, Place.at_sink: Station.sink, Place.packing: Station.packing}
    if where.get(run.place) is not station:
        raise BadInput(
            f"{plan.name} is not at the {station}; it is counted where it lies", resource="station"
        )
    return run


def _counted_words(plan: Plan, run: Run, station: Station) -> str:
    here = [
        line
        for line in plan.lines
        if (known := run.counted.get(line.id)) is not None and known.at_station is station
    ]
    found = sum(run.counted[line.id].found for line in here)
    expected = sum(line.expected for line in here)
    missing = "; ".join(f"{number} × {words} missing" for words, number, _ in run.missing(plan))
    return f"{found} of {expected} counted{': ' + missing if missing else ''}."


def _refuse_other_mass(plan: Plan, run: Run, mass_kg: float | None) -> None:
    if mass_kg is None or plan.mass_kg is None or run.missing(plan):
        return
    if abs(mass_kg - plan.mass_kg) > _MASS_TOLERANCE * plan.mass_kg:
        raise BadInput(
            f"it weighs {mass_kg:g} kg and the list says {plan.mass_kg:g} kg: count it again",
            resource="mass_kg",
        )
