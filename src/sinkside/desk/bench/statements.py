"""The statement that travels with a thing that goes out: what was done with it, as far as that is shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.proof import ProofRequest, ProofTable, proof_pdf
from sinkside.bench.loans import Way
from sinkside.bench.run import InLoad
from sinkside.department import Department, Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.loans import READ, open_loan
from sinkside.desk.bench.runs import OpenRun, run_by_id
from sinkside.desk.departments import department_in
from sinkside.desk.people import name_of
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import NotThere
from sinkside.plain.operations import station_label

KIND: Final = "Statement of cleaning, disinfection and sterilization"

_SOILED: Final = "Nothing here shows that it was cleaned and disinfected: treat it as soiled."
_CLEAN: Final = "Cleaned and disinfected by machine; a named person released that load."
_NOT_STERILE: Final = "It is not sterile as it travels: process it before it is used."
_STERILE: Final = (
    "Sterilized; a named person released that load. Whoever receives it looks whether the pack is whole."
)


@dataclass(frozen=True)
class Shown:
    """What is shown of a thing: sentences for whoever receives it, and the loads behind them."""

    said: tuple[str, ...]
    loads: tuple[tuple[str, ...], ...]
    by_hand: tuple[tuple[str, ...], ...]


def shown_of(archive: Archive, who: Visitor, code: str) -> Shown:
    """What was done with a thing on its last run, as far as it is shown here.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _shown(unit, who, code)


def statement(archive: Archive, who: Visitor, loan: str, *, size: SheetSize, now: datetime) -> bytes:
    """The statement that travels with a loan's thing, as PDF.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such loan here, or it has no code yet.
        NotForTheFloor: if a sign cannot be shown.
    """
    known = open_loan(archive, who, loan, now=now).loan
    if not known.copy_code:
        raise NotThere("it has no code here yet; receive it first", resource=loan)
    with archive.unit(writes=False) as unit:
        shown = _shown(unit, who, known.copy_code)
        site = department_in(unit, who.department)
    faults = (f"To be repaired: {known.fault}",) if known.way is Way.repair else ()
    sent = known.went[-1].statement if known.went else ""
    return proof_pdf(
        ProofRequest(
            kind=KIND,
            title=known.what,
            about=(f"Code here {known.copy_code}", f"To {known.other}", *faults),
            said=(*shown.said, *([f"Said when it was sent: {sent}"] if sent else [])),
            tables=(
                ProofTable(
                    "Loads",
                    ("Machine", "Program", "Put in", "Decision"),
                    shown.loads,
                    "No load of its last run.",
                ),
                ProofTable(
                    "By hand", ("Where", "Done", "Last done", "By"), shown.by_hand, "Nothing is kept."
                ),
            ),
            printed=now.astimezone(ZoneInfo(who.zone)).date().isoformat(),
            department=_department(site, who),
            signatures=("Sent by: name, day, time", "Received by: name, day, time"),
            size=size,
        )
    )


def _shown(unit: Unit, who: Visitor, code: str) -> Shown:
    opened = _last_run(unit, who, code)
    if opened is None:
        return Shown((_SOILED, _NOT_STERILE), (), ())
    ends = {one.station for one in opened.run.loads if one.end == "released"}
    said = (
        _CLEAN if Station.washer in ends else _SOILED,
        _STERILE if {Station.washer, Station.sterilizer} <= ends else _NOT_STERILE,
    )
    site = department_in(unit, who.department)
    loads = tuple(_load_row(site, who, one) for one in opened.run.loads)
    return Shown(said, loads, tuple(_by_hand(unit, who, opened)))


def _last_run(unit: Unit, who: Visitor, code: str) -> OpenRun | None:
    copy = unit.bench.copies.by_code(who.department, code)
    runs = unit.bench.runs.of_copy(who.department, copy.id) if copy else []
    return run_by_id(unit, runs[0].id) if runs else None


def _load_row(site: Department | None, who: Visitor, one: InLoad) -> tuple[str, ...]:
    names = {machine.id: machine.name for machine in site.machines} if site else {}
    words = {"open": "not decided", "released": "released", "held": "held"}[one.end]
    ended = f", {_when(one.ended, who)}" if one.ended else ""
    return names.get(one.machine, one.machine), one.program, _when(one.at, who), f"{words}{ended}"


def _by_hand(unit: Unit, who: Visitor, opened: OpenRun) -> Iterator[tuple[str, ...]]:
    """Station by station: how much of what people do there is done, when last, and by whom."""
    for station in Station:
        tasks = [one for one in opened.plan.at(station) if one.required and one.whose == "hand"]
        done = [opened.run.done[one.id] for one in tasks if one.id in opened.run.done]
        if done:
            last = max(done, key=lambda one: one.at)
            names = sorted({name_of(unit, one.by) for one in done})
            many = f"{len(done)} of {len(tasks)}"
            yield station_label(station).capitalize(), many, _when(last.at, who), ", ".join(names)


def _department(site: Department | None, who: Visitor) -> str:
    return ", ".join(filter(None, (site.hospital, site.name))) if site else who.department


def _when(moment: datetime, who: Visitor) -> str:
    return moment.astimezone(ZoneInfo(who.zone)).strftime("%Y-%m-%d %H:%M")
