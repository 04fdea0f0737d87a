"""Loads: every machine with what is built for it and runs in it, and one machine where loads are built."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Final

from pydantic import Field

from sinkside.bench.loads import LoadState
from sinkside.desk.bench import load_list
from sinkside.desk.bench.load_list import READ, MachineHere
from sinkside.desk.bench.load_trouble import KnownTrouble
from sinkside.desk.bench.photographed import code_on_photo
from sinkside.records import KeptLoad
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option, Upload
from sinkside.web.screens.bench.load_shown import (
    LoadLine,
    PieceLine,
    act_shown,
    load_line,
    piece_lines,
)
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.place_codes import gone_to, is_place
from sinkside.web.screens.bench.shown import COMMAND, ActShown, FrameShown, frame, new_key
from sinkside.web.screens.bench.taps import pressed

LOADS: Final = f"{PLACE}/loads"
MACHINE: Final = f"{PLACE}/machines/{{machine}}"
_WORK: Final = "bench-work"

#: What the codes of the sheet of codes do at a machine, by the state of its load.
_COMMANDS: Final = {"START": "start-load", "OUT": "end-load"}


@dataclass(frozen=True)
class MachineTile:
    """A machine: its page, and how it stands in a line or two."""

    address: str
    name: str
    says: tuple[str, ...]
    out_of_use: bool


@dataclass(frozen=True)
class TroubleLine:
    """Something that was found in a load: its page, in a sentence, when."""

    address: str
    words: str
    at: str


@dataclass(frozen=True)
class LoadsPage:
    """Every machine that takes loads; what waits, is held, was released lately, is asked after."""

    title: str
    frame: FrameShown
    bench: str
    machines: tuple[MachineTile, ...]
    waiting: tuple[LoadLine, ...]
    troubles: tuple[TroubleLine, ...]
    held: tuple[LoadLine, ...]
    released: tuple[LoadLine, ...]


@dataclass(frozen=True)
class LoadHere:
    """The load at a machine: as in lists, what lies in it, what it comes to, and what may be done with it.

    Attributes:
        line: as in lists.
        rack: the rack's name; empty where none was chosen.
        sums: what it comes to, one thing a line.
        pieces: what lies in it.
        start: starts the machine; none unless it is being built.
        ends: say that the machine is done, or broke off; nothing unless it runs.
        implant: marks an implant; none unless it is a sterilizer's.
    """

    line: LoadLine
    rack: str
    sums: tuple[str, ...]
    pieces: tuple[PieceLine, ...]
    start: ActShown | None
    ends: tuple[ActShown, ...]
    implant: ActShown | None


@dataclass(frozen=True)
class MachinePage:
    """One machine: its load, and where the next one is begun.

    Attributes:
        title: the machine's name.
        address: of the page.
        frame: what every page of the bench needs; scanning here puts a set into the load that is built.
        loads: where all loads are.
        out_of_use: why it is out of use; empty where it is in use.
        water: why it stands still for its water; empty where it does not.
        building: the load that is built for it.
        running: the load that is in it.
        begin: begins the next one; none while one is built, or the machine is out of use.
        programs: what may be chosen; those for immediate use are not among them.
        racks: its racks, with how many lumens each connects.
    """

    title: str
    address: str
    frame: FrameShown
    loads: str
    out_of_use: str
    water: str
    building: LoadHere | None
    running: LoadHere | None
    begin: ActShown | None
    programs: tuple[Option, ...]
    racks: tuple[Option, ...]


class ScannedHere(Form):
    """What a scanner typed at a machine."""

    code: str = Field(max_length=200)
    key: str = Field(min_length=8, max_length=70, pattern=r"^[A-Za-z0-9._:-]+$")
    station: str = Field("", max_length=40)
    copy_id: str = Field("", max_length=100)


class PhotoHere(Form):
    """That a photo of a code was taken at a machine."""

    station: str = Field("", max_length=40)


@screen.page(LOADS, right=READ, template="bench_loads.html")
def loads_page(asked: Asked) -> LoadsPage:
    """What machines hold, what waits for somebody who decides, and what is held."""
    found = load_list.find_loads(asked.archive, asked.visitor, now=asked.now)
    here = asked.at("/bench/loads")
    return LoadsPage(
        title="Loads",
        frame=frame(asked, here=here),
        bench=asked.at("/bench"),
        machines=tuple(_tile(asked, one) for one in found.machines),
        waiting=tuple(load_line(asked, one) for one in found.waiting),
        troubles=tuple(_trouble(asked, one) for one in found.troubles),
        held=tuple(load_line(asked, one) for one in found.held),
        released=tuple(load_line(asked, one) for one in found.released),
    )


@screen.page(MACHINE, right=READ, template="bench_machine.html")
def machine_page(asked: Asked, machine: str) -> MachinePage:
    """One machine, at which loads are built by scanning."""
    seen = load_list.see_machine(asked.archive, asked.visitor, machine)
    known = seen.here
    address = asked.at(f"/bench/machines/{machine}")
    building, running = known.building, known.running
    programs = [one for one in known.machine.programs if one.use != "immediate-use"]
    stands = bool(known.out_of_use or known.water)
    begins = building is None and not stands and bool(programs) and asked.visitor.may(_WORK)
    return MachinePage(
        title=known.machine.name,
        address=address,
        frame=_frame(asked, address, building),
        loads=asked.at("/bench/loads"),
        out_of_use=known.out_of_use,
        water=known.water,
        building=_load_here(
            asked, building, piece_lines(seen.in_building, load=building, under_way=asked.visitor.may(_WORK))
        )
        if building
        else None,
        running=_load_here(asked, running, piece_lines(seen.in_running, load=running, under_way=False))
        if running
        else None,
        begin=act_shown("begin-load", "Begin a load", {"act": "open-load", "machine": machine})
        if begins
        else None,
        programs=tuple(Option(one.name, one.name) for one in programs),
        racks=tuple(
            Option(one.id, f"{one.name}, {one.lumen_connections} connections") for one in known.machine.racks
        ),
    )


@screen.act(f"{MACHINE}/scan", right=_WORK, form=ScannedHere, page=machine_page)
def scan_at_machine(asked: Asked, form: ScannedHere, machine: str) -> Done:
    """Put what was scanned into the load that is built here, or press the button of a code."""
    load_list.see_machine(asked.archive, asked.visitor, machine)
    if is_place(form.code.strip()):
        return gone_to(asked, form.code.strip())
    return _scanned(asked, form.code.strip(), form.key, machine)


@screen.act(f"{MACHINE}/photo", right=_WORK, form=PhotoHere, page=machine_page, uploads="photo")
def photograph_at_machine(asked: Asked, form: PhotoHere, photos: tuple[Upload, ...], machine: str) -> Done:
    """Put what the camera took into the load that is built here."""
    del form
    load_list.see_machine(asked.archive, asked.visitor, machine)
    return _scanned(asked, code_on_photo(photos[0].handed_in()), new_key(), machine)


def _scanned(asked: Asked, code: str, key: str, machine: str) -> Done:
    address = asked.at(f"/bench/machines/{machine}")
    command = code.upper().removeprefix(COMMAND).strip() if code.upper().startswith(COMMAND) else ""
    if command in _COMMANDS:
        more = {"complete": True} if command == "OUT" else {}
        act = {"act": _COMMANDS[command], "machine": machine, **more}
    else:
        act = {"act": "add-to-load", "machine": machine, "code": code}
    return Done(go=address, said=pressed(asked, key, [act]))


def _frame(asked: Asked, address: str, building: KeptLoad | None) -> FrameShown:
    """Scanning at a machine puts a set into its load; without the network the code waits for that."""
    plain = frame(asked, here=address)
    if building is None:
        return plain
    waits = json.dumps({"act": "add-to-load", "machine": building.machine})
    return replace(plain, scan=f"{address}/scan", photo=f"{address}/photo", arrive=waits)


def _load_here(asked: Asked, load: KeptLoad, pieces: tuple[PieceLine, ...]) -> LoadHere:
    works = asked.visitor.may(_WORK)
    machine = {"machine": load.machine}
    is_built, runs = load.state == LoadState.building, load.state == LoadState.running
    implant = {"act": "mark-implant", **machine}
    return LoadHere(
        line=load_line(asked, load),
        rack=str(load.fields.get("rack_name") or ""),
        sums=_sums(load),
        pieces=pieces,
        start=act_shown(
            "start-load", "Start the machine", {"act": "start-load", **machine}, style="main", command="START"
        )
        if works and is_built and pieces
        else None,
        ends=(
            act_shown(
                "end-load",
                "It ran to its end",
                {"act": "end-load", **machine, "complete": True},
                style="main",
                command="OUT",
            ),
            act_shown(
                "broke-off",
                "It broke off",
                {"act": "end-load", **machine, "complete": False},
                style="second",
            ),
        )
        if works and runs
        else (),
        implant=act_shown("mark-implant", "Mark it", implant, style="second")
        if works and load.station == "sterilizer" and not load.fields.get("implant")
        else None,
    )


def _sums(load: KeptLoad) -> tuple[str, ...]:
    told = load.fields
    lines = []
    if told.get("connections"):
        lines.append(f"{told['connections']} lumens connected")
    if told.get("mass_kg") and load.station == "sterilizer":
        lines.append(f"{told['mass_kg']:g} kg, as far as it is known")
    return tuple(lines)


def _tile(asked: Asked, known: MachineHere) -> MachineTile:
    says = [
        *([f"being built: {load_line(asked, known.building).pieces}"] if known.building else []),
        *([f"in it: {load_line(asked, known.running).pieces}"] if known.running else []),
    ]
    return MachineTile(
        address=asked.at(f"/bench/machines/{known.machine.id}"),
        name=known.machine.name,
        says=_stands(known) or tuple(says or ["empty"]),
        out_of_use=bool(known.out_of_use or known.water),
    )


def _stands(known: MachineHere) -> tuple[str, ...]:
    """Why a machine takes no load now; nothing where it does."""
    if known.out_of_use:
        return (f"out of use: {known.out_of_use}",)
    return (f"stands still: {known.water}",) if known.water else ()


def _trouble(asked: Asked, known: KnownTrouble) -> TroubleLine:
    return TroubleLine(
        address=asked.at(f"/bench/loads/{known.found.load}"),
        words=known.found.told,
        at=shown_moment(known.found.at, asked.visitor.zone),
    )
