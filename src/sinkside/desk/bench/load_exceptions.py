"""What goes past the ordinary way of a load, by a loud form: an early implant, immediate use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench import in_loads, storing
from sinkside.bench.exception_acts import EarlyImplant, ImmediateUse
from sinkside.bench.exception_form import ExceptionForm, ExceptionKind, review_until
from sinkside.bench.gates import in_the_way
from sinkside.bench.load_fit import not_for_immediate_use
from sinkside.bench.loads import LoadState
from sinkside.bench.run import InLoad, Place, Run
from sinkside.department import Station
from sinkside.desk.access import require
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.exceptions import keep_exception
from sinkside.desk.bench.exceptions import subject_of as exception_subject
from sinkside.desk.bench.load_deciding import load_here
from sinkside.desk.bench.load_following import cooling_min, ended_at
from sinkside.desk.bench.load_pieces import LoadsHere, contents_of_copy, loads_here
from sinkside.desk.bench.loads import keep_new_load, members_kept, refuse_out_of_use, standing_at, with_fields
from sinkside.desk.bench.loads import subject_of as load_subject
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_of
from sinkside.desk.bench.store import EXCEPT
from sinkside.desk.bench.store_cases import given_to
from sinkside.desk.cycle_records import cycle_row, opened_cycle
from sinkside.desk.indicators import load_held
from sinkside.desk.indicators_before_release import NeededThing, before_release, still_missing
from sinkside.desk.programmes.water_gate import pass_water
from sinkside.errors import BadInput, Conflict
from sinkside.records import KeptLoad, LoadedCopy

_BIOLOGICAL: Final = "biological"
_BEFORE_PACKING: Final = (Place.clean_side, Place.packing)


def early_implant(doing: Doing, act: EarlyImplant) -> Said:
    """Let a set with an implant out while its biological indicator incubates; all else must be right.

    Raises:
        NotThere: if nothing here has the code.
        BadInput: if it is not that: what it waits for, or what else is wrong.
    """
    require(doing.who, EXCEPT)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    at = in_order(opened, doing)
    load = _its_load(doing, opened)
    waits = _waits_for_biological(doing, load)
    ended = ended_at(load) or at
    _refuse_other_obstacles(opened, load, at=at)
    cooling = ended + timedelta(minutes=cooling_min(doing.unit, load)) > at
    form = _form(
        doing,
        opened,
        act,
        ExceptionKind.early_implant,
        (
            f"{waits.name}: {waits.sentence}",
            "nobody released its load",
            *(["it is still cooling"] if cooling else []),
        ),
        at=at,
    )
    exception = keep_exception(doing.unit, doing.who, form, now=doing.now)
    known = f"{load.fields.get('exceptions') or ''} {exception}".strip()
    doing.unit.bench.loads.put(with_fields(load, exceptions=known))
    run = in_loads.decided(opened.run, load.id, "open", at=ended)
    given_to(doing.unit, doing.who, opened.copy, act.case, at=at)
    told = replace(opened.copy, fields={**opened.copy.fields, "case": act.case, "exception": exception})
    after = storing.under_exception(run, exception)
    kept = keep_run(doing.unit, replace(opened, copy=told), after, now=doing.now, at=at)
    return Said(
        f"{opened.plan.name} goes out before its biological result, to case {act.case}; the result will be "
        "added to the form, and somebody else reviews it tomorrow.",
        kept.copy.id,
        kept.copy.state,
        (load_subject(load.id), exception_subject(exception)),
    )


def immediate_use(doing: Doing, act: ImmediateUse) -> Said:
    """Put an open, clean set into a cycle for immediate use that its texts name, by the form.

    Raises:
        NotThere: if nothing here has the code.
        BadInput: if it is not clean and inspected, or its texts name no such cycle.
        Conflict: if the machine is out of use, stands still for its water, or has a load.
    """
    require(doing.who, EXCEPT)
    unit, who = doing.unit, doing.who
    opened = run_of(unit, copy_of_code(unit, who.department, act.code))
    at = in_order(opened, doing)
    here = loads_here(unit, who, act.machine, act.program)
    members = _members_for_immediate_use(doing, opened, here)
    _refuse_unclean(opened, at=at)
    missing = in_the_way(opened.plan, opened.run, Place.in_sterilizer, now=at)
    form = _form(doing, opened, act, ExceptionKind.immediate_use, missing, at=at)
    exception = keep_exception(unit, who, form, now=doing.now)
    load = keep_new_load(unit, who, here, at=at, exception=exception, case=act.case)
    pass_water(unit, who, load, at=at, now=doing.now)
    unit.bench.loads.put(with_fields(load, pieces=1, **members_kept(opened.copy.id, members)))
    unit.bench.loads.keep_in(LoadedCopy(load.id, opened.copy.id, opened.run.id, at))
    run = _alone_in(opened.run, load, members, exception, at=at)
    kept = keep_run(unit, opened, run, now=doing.now, at=at)
    words = (
        f"{opened.plan.name} alone in {here.chosen.words}, for case {act.case}. Start the machine; it is "
        "decided on its record, and somebody else reviews the form tomorrow."
    )
    beside = (load_subject(load.id), exception_subject(exception))
    return Said(words, kept.copy.id, kept.copy.state, beside)


#: What each act does, by its name.
HANDLERS: Final[Mapping[str, Handler]] = {"early-implant": early_implant, "immediate-use": immediate_use}


def _members_for_immediate_use(doing: Doing, opened: OpenRun, here: LoadsHere) -> tuple[str, ...]:
    """The members of a set that may be processed for immediate use as a whole, in a machine that is free."""
    if here.chosen.program.use != "immediate-use":
        raise BadInput(f"{here.chosen.program.name} is no program for immediate use", resource="program")
    refuse_out_of_use(doing.unit, doing.who, here)
    machine = here.chosen.machine
    if standing_at(doing.unit, doing.who, machine.id, LoadState.building, LoadState.running):
        raise Conflict(f"{machine.name} has a load", resource="machine")
    document, texts = contents_of_copy(doing.unit, doing.who, opened.copy)
    known = {called: text for called, one in texts.items() if (text := one.instruction)}
    faults = not_for_immediate_use(document, known, here.site, here.chosen)
    if faults:
        raise BadInput(" ".join(f"{one.member}: {one.why}." for one in faults), resource="program")
    return tuple(one.called for one in document.members)


def _alone_in(run: Run, load: KeptLoad, members: tuple[str, ...], exception: str, *, at: datetime) -> Run:
    """A run that is the only one in its load, by an exception."""
    inside = InLoad(
        load=load.id,
        station=Station.sterilizer,
        machine=load.machine,
        program=load.program,
        members=members,
        at=at,
    )
    change = {
        "place": Place.in_sterilizer,
        "loads": (*run.loads, inside),
        "exceptions": (*run.exceptions, exception),
    }
    return run.model_copy(update=change)


def _its_load(doing: Doing, opened: OpenRun) -> KeptLoad:
    """The sterilizer load that a set came out of and that nobody decided on."""
    inside = storing.sterilizer_load(opened.run)
    if inside is None:
        raise BadInput(f"{opened.plan.name} did not come out of a sterilizer", resource="code")
    load = load_here(doing.unit, doing.who, inside.load)
    if load.state != LoadState.over:
        raise BadInput(
            f"its load is '{load.state}'; this form is for a load that waits for its biological result",
            resource="code",
        )
    if not load.cycle:
        raise BadInput("hand in the record of its load first", resource="code")
    return load


def _waits_for_biological(doing: Doing, load: KeptLoad) -> NeededThing:
    """The biological indicator that a load with an implant still waits for, where nothing else is wrong."""
    known = opened_cycle(doing.unit, cycle_row(doing.unit, doing.who, load.cycle))
    held = load_held(doing.unit, load.cycle)
    if held is None or not held.implant:
        raise BadInput("nobody said that an implant lies in this load", resource="code")
    if known.judged is None or known.judged.outcome != "meets":
        outcome = known.judged.outcome if known.judged else "not judged yet"
        raise BadInput(
            f"its record does not meet its program ({outcome}); nothing goes out early", resource="code"
        )
    needed = before_release(doing.unit, doing.who, known, now=doing.now)
    waits = next((one for one in needed if one.id.startswith(_BIOLOGICAL)), None)
    if waits is None or waits.state not in {"waiting", "late"}:
        said = waits.sentence if waits else "None is asked for."
        raise BadInput(f"no biological indicator of it incubates: {said}", resource="code")
    wrong = [one for one in still_missing(needed, "refuse", "reason") if not one.id.startswith(_BIOLOGICAL)]
    if wrong:
        names = ", ".join(one.name.lower() for one in wrong)
        raise BadInput(f"more is missing than the biological result: {names}", resource="code")
    return waits


def _refuse_other_obstacles(opened: OpenRun, load: KeptLoad, *, at: datetime) -> None:
    """Only the result may be missing: as if it were there, nothing else may stand in the way."""
    as_if = in_loads.decided(opened.run, load.id, "released", at=at, cooled=at)
    obstacles = in_the_way(opened.plan, as_if, Place.issued, now=at)
    if obstacles:
        raise BadInput(f"{opened.plan.name} stops here: {'; '.join(obstacles)}", resource="code")


def _refuse_unclean(opened: OpenRun, *, at: datetime) -> None:
    if opened.run.place not in _BEFORE_PACKING:
        raise BadInput(f"{opened.plan.name} is not open on the clean side", resource="code")
    obstacles = in_the_way(opened.plan, opened.run, Place.packing, now=at)
    if obstacles:
        raise BadInput(f"{opened.plan.name} stops here: {'; '.join(obstacles)}", resource="code")


def _form(
    doing: Doing,
    opened: OpenRun,
    act: EarlyImplant | ImmediateUse,
    kind: ExceptionKind,
    obstacles: tuple[str, ...],
    *,
    at: datetime,
) -> ExceptionForm:
    return ExceptionForm(
        kind=kind,
        copy_code=opened.copy.code,
        run=opened.run.id,
        case=act.case,
        authority=act.authority,
        reason=act.reason,
        in_the_way=obstacles,
        by=doing.who.person,
        at=at,
        review_by=review_until(doing.now, doing.who.zone),
    )
