"""Wet packs and soil found at assembly: the set goes back, the others of the load are found and held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.doing import held, sent_back
from sinkside.bench.investigation import Beside, Investigation, Trouble, beside
from sinkside.bench.load_acts import LookedAgain, SoilFound, WetPack
from sinkside.bench.run import Place, Run
from sinkside.department import Station
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.load_deciding import DECIDE, load_here, plain_words
from sinkside.desk.bench.load_following import follow
from sinkside.desk.bench.loads import InTheLoad, still_in, subject_of
from sinkside.desk.bench.on_runs import WORK
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_by_id, run_of
from sinkside.desk.cycle_records import KIND as CYCLE
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import KeptLoad, Row, WantedRows

KIND: Final = "load-investigation"
OPEN: Final = "open"
CLOSED: Final = "closed"
_MOST: Final = 200

#: Whoever opens packs in theatre may say that one is wet.
IN_THEATRE: Final = "theatre-report"

#: By these words a hold tells that it asks for another look.
_SOIL: Final = "soil was found on"
_AT_ASSEMBLY: Final = (Place.clean_side, Place.packing)


def wet_pack(doing: Doing, act: WetPack) -> Said:
    """Hold the whole load in which a pack was wet, whoever decided what on it before, and begin to ask why.

    Raises:
        NotThere: if nothing here has the code.
        BadInput: if it comes out of no sterilizer's load.
    """
    require(doing.who, WORK if doing.who.may(WORK) else IN_THEATRE)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    inside = [one for one in opened.run.loads if one.station is Station.sterilizer]
    if not inside:
        raise BadInput(f"{opened.copy.name} comes out of no sterilizer's load", resource="code")
    load = load_here(doing.unit, doing.who, inside[-1].load)
    others = [one for one in still_in(doing.unit, load) if one.copy.id != opened.copy.id]
    found = _found(doing, act, load, opened, others, at=in_order(opened, doing))
    follow(doing.unit, doing.who, load, "held", reason="wet pack", now=doing.now, wet=True)
    _keep_new(doing.unit, doing.who, found, now=doing.now)
    return Said(found.told, opened.copy.id, run_of(doing.unit, opened.copy).copy.state)


def soil_found(doing: Doing, act: SoilFound) -> Said:
    """Send the whole set back, and find and hold what else lay in the same washer load.

    Raises:
        NotThere: if nothing here has the code.
        BadInput: if it is not being inspected or packed.
    """
    require(doing.who, WORK)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    if opened.run.place not in _AT_ASSEMBLY:
        raise BadInput(f"{opened.copy.name} is not being inspected or packed", resource="code")
    at = in_order(opened, doing)
    washed = [one.load for one in opened.run.loads if one.station is Station.washer]
    told = [_asked_after(doing, load, opened, act, at=at) for load in washed]
    kept = _back(doing, opened, at=at)
    words = " ".join(one.told for one in told) or f"Soil on {opened.copy.name}, {act.where}."
    return Said(f"The whole set goes back to the sink. {words}", kept.copy.id, kept.copy.state)


def looked_again(doing: Doing, act: LookedAgain) -> Said:
    """Say what the second look at a set showed that lay in a load in which soil was found.

    Raises:
        NotThere: if nothing here has the code.
        BadInput: if nobody asked for another look, or it is packed and said to be clean.
    """
    require(doing.who, WORK)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    asked = [one for one in opened.run.open_holds() if _SOIL in one.why]
    if not asked:
        raise BadInput(f"nobody asked for another look at {opened.copy.name}", resource="code")
    if act.clean and opened.run.place not in _AT_ASSEMBLY:
        raise BadInput(
            f"{opened.copy.name} is packed: nobody sees whether it is clean. Send it back, or have whoever "
            "decides lift the hold",
            resource="clean",
        )
    at = in_order(opened, doing)
    lifted = _lifted(opened.run, f"{doing.who.person}: looked again, {'clean' if act.clean else 'soiled'}")
    if not act.clean:
        kept = _back(doing, OpenRun(opened.copy, opened.kept, lifted, opened.plan), at=at)
        return Said(f"{opened.copy.name} goes back to the sink.", kept.copy.id, kept.copy.state)
    kept = keep_run(doing.unit, opened, lifted, now=doing.now, at=at)
    return Said(f"{opened.copy.name} was looked at again and may go on.", kept.copy.id, kept.copy.state)


#: What each act does, by its name.
HANDLERS: Final[Mapping[str, Handler]] = {
    "wet-pack": wet_pack,
    "soil-found": soil_found,
    "looked-again": looked_again,
}


@dataclass(frozen=True)
class KnownTrouble:
    """An investigation with its id."""

    id: str
    found: Investigation


def let_go(archive: Archive, who: Visitor, load: str, *, reason: str, now: datetime) -> None:
    """Let the dry packs of a load go on in which one was wet, as the person who decides.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load here.
        BadInput: without a reason.
        Conflict: if the load is not held for a wet pack, or nobody released it on its record.
    """
    require(who, DECIDE)
    with archive.unit() as unit:
        known = load_here(unit, who, load)
        why = plain_words(reason, "reason")
        if known.state != "held" or not known.fields.get("wet"):
            raise Conflict("this load is not held for a wet pack", resource=load)
        record_row = unit.rows.get(CYCLE, known.cycle) if known.cycle else None
        if record_row is None or record_row.state != "released":
            raise Conflict("nobody released it on its record; decide on that first", resource=load)
        wet = {one.found.code for one in of_load(unit, who, load) if one.found.kind is Trouble.wet}
        but = [one.copy.id for one in still_in(unit, known) if one.copy.code in wet]
        follow(unit, who, known, "released", reason=why, now=now, but=but, let_go=True)


def close_investigation(
    archive: Archive, who: Visitor, investigation: str, *, words: str, now: datetime
) -> None:
    """Close an investigation with what it came to.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if it is not said what it came to.
        Conflict: if it is closed already.
    """
    require(who, DECIDE)
    with archive.unit() as unit:
        known = investigation_in(unit, who, investigation)
        came_to = plain_words(words, "words")
        if known.found.closed_by:
            raise Conflict("it is closed already", resource=investigation)
        closed = known.found.model_copy(update={"closed_by": who.person, "closed_at": now, "found": came_to})
        kept = keep_next(unit, KIND, investigation, closed, by=who.person, now=now)
        unit.rows.put(_row(who, investigation, closed, now))
        data = {"kind": closed.kind.value, "digest": kept.digest}
        record(unit, who, "load-investigated", subject_of(closed.load), now=now, data=data)


def investigations(unit: Unit, who: Visitor, *, states: Sequence[str] = (OPEN,)) -> tuple[KnownTrouble, ...]:
    """The investigations of this department, the latest first."""
    rows = unit.rows.found(KIND, [who.department], WantedRows(states=states, limit=_MOST))
    return tuple(investigation_in(unit, who, row.id) for row in rows)


def of_load(unit: Unit, who: Visitor, load: str) -> tuple[KnownTrouble, ...]:
    """What was found in a load, open or closed."""
    wanted = WantedRows(states=(OPEN, CLOSED), fields={"load": load}, limit=_MOST)
    rows = unit.rows.found(KIND, [who.department], wanted)
    return tuple(investigation_in(unit, who, row.id) for row in rows)


def investigation_in(unit: Unit, who: Visitor, investigation: str) -> KnownTrouble:
    """An investigation of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, investigation)
    kept = read_kept(unit, KIND, investigation, Investigation)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such investigation here", resource=investigation)
    return KnownTrouble(investigation, kept)


def _found(
    doing: Doing,
    act: WetPack | SoilFound,
    load: KeptLoad,
    opened: OpenRun,
    others: Sequence[InTheLoad],
    *,
    at: datetime,
) -> Investigation:
    """What was found on a set of a load, and where what lay beside it is now."""
    return Investigation(
        kind=Trouble.wet if isinstance(act, WetPack) else Trouble.soil,
        load=load.id,
        machine=str(load.fields["machine_name"]),
        code=opened.copy.code,
        name=opened.copy.name,
        where=act.where,
        note=act.note.strip(),
        beside=_beside(doing.unit, others),
        by=doing.who.person,
        at=at,
    )


def _asked_after(
    doing: Doing, load_id: str, opened: OpenRun, act: SoilFound, *, at: datetime
) -> Investigation:
    """Hold every other run of one washer load that is still under way, and keep which."""
    load = load_here(doing.unit, doing.who, load_id)
    others = [one for one in still_in(doing.unit, load) if one.copy.id != opened.copy.id]
    found = _found(doing, act, load, opened, others, at=at)
    why = f"{_SOIL} {opened.copy.name} ({opened.copy.code}) of the same load of {found.machine}"
    for one in others:
        _hold(doing, one, why, at=at)
    _keep_new(doing.unit, doing.who, found, now=doing.now)
    return found


def _hold(doing: Doing, one: InTheLoad, why: str, *, at: datetime) -> None:
    opened = run_by_id(doing.unit, one.loaded.run)
    if opened.run.place is not Place.issued:
        run = held(opened.run, why, at=at, by=doing.who.person)
        keep_run(doing.unit, opened, run, now=doing.now, place=one.copy.place)


def _beside(unit: Unit, others: Sequence[InTheLoad]) -> tuple[Beside, ...]:
    return tuple(
        beside(one.copy.id, one.copy.code, one.copy.name, run_by_id(unit, one.loaded.run).run.place)
        for one in others
    )


def _back(doing: Doing, opened: OpenRun, *, at: datetime) -> OpenRun:
    return keep_run(doing.unit, opened, sent_back(opened.run, at=at), now=doing.now, at=at)


def _lifted(run: Run, words: str) -> Run:
    holds = tuple(
        one.model_copy(update={"lifted": words}) if not one.lifted and _SOIL in one.why else one
        for one in run.holds
    )
    return run.model_copy(update={"holds": holds})


def _keep_new(unit: Unit, who: Visitor, found: Investigation, *, now: datetime) -> None:
    key = new_id("v")
    kept = keep_next(unit, KIND, key, found, by=who.person, now=now)
    unit.rows.put(_row(who, key, found, now))
    data = {
        "kind": found.kind.value,
        "code": found.code,
        "others": len(found.beside),
        "digest": kept.digest,
    }
    record(unit, who, "load-trouble", subject_of(found.load), now=now, data=data)


def _row(who: Visitor, key: str, found: Investigation, now: datetime) -> Row:
    state = CLOSED if found.closed_by else OPEN
    title = f"{found.name} ({found.code})"
    fields = {"load": found.load, "kind": found.kind.value, "machine": found.machine}
    due = None if found.closed_by else found.at
    return Row(KIND, key, who.department, state, title, now, due=due, fields=fields)
