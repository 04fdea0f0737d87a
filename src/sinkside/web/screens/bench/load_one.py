"""One load: what lay in it and where that is now, its record, who decided, and what was found in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from pydantic import Field

from sinkside.bench.investigation import TROUBLE_WORDS, Trouble
from sinkside.bench.loads import LoadState
from sinkside.bench.run import HELD
from sinkside.department import Station
from sinkside.desk.bench import load_deciding, load_list, load_trouble
from sinkside.desk.bench.load_deciding import DECIDE, HAND_IN
from sinkside.desk.bench.load_list import READ, SeenLoad
from sinkside.desk.bench.load_trouble import IN_THEATRE, KnownTrouble
from sinkside.desk.bench.on_runs import WORK
from sinkside.desk.bench.store import EXCEPT
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.evidence_links import evidence_of_load
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option, Upload
from sinkside.web.screens.bench.load_shown import LoadLine, PieceLine, act_shown, load_line, piece_lines
from sinkside.web.screens.bench.loads import LOADS
from sinkside.web.screens.bench.place import screen
from sinkside.web.screens.bench.shown import ActShown, FrameShown, frame

ONE: Final = f"{LOADS}/{{load}}"
_LONGEST: Final = 2000


@dataclass(frozen=True)
class BesideLine:
    """Another piece of a load in which something was found: what it is, where it was, and what followed.

    `acts` say what the second look at it showed, as long as somebody has to look.
    """

    name: str
    code: str
    was: str
    then: str
    acts: tuple[ActShown, ...]


@dataclass(frozen=True)
class TroubleShown:
    """What was found in a load: what, on which piece, where, by whom; what lay beside; what it came to.

    `close` is where it is closed; empty once it is, or for whoever may not.
    """

    words: str
    on: str
    where: str
    note: str
    by: str
    beside: tuple[BesideLine, ...]
    came_to: str
    close: str


@dataclass(frozen=True)
class RecordShown:
    """The record of a load: its page, file, verdict in a word, and how it was decided."""

    address: str
    file: str
    outcome: str
    decided: str


@dataclass(frozen=True)
class LoadPage:
    """One load.

    Attributes:
        title: machine and program.
        address: of the page.
        frame: what every page of the bench needs.
        loads: where all loads are.
        machine: the machine's page; empty once the load is out of it.
        line: as in lists.
        facts: when it began and ended, from when its packs may be handled, on which rack, what was read.
        decided: who decided what, when and why; empty while nobody did.
        pieces: what lay in it, and where that is now.
        record: its record; none while there is none.
        fitting: records that may be said to be its own.
        asks_record: whether a record is still to be handed in.
        without_trace: whether it may be decided by what was read at the machine.
        lets_go: whether its dry packs may be let go on.
        wet: the form by which one of its packs is said to be wet; none before it is sterilized.
        early: the form by which an implant goes out early; none where that is not asked.
        codes: the codes of its pieces, for that form.
        troubles: what was found in it.
        evidence: where what is kept of it is; empty for whoever may not read that, and without pieces.
    """

    title: str
    address: str
    frame: FrameShown
    loads: str
    machine: str
    line: LoadLine
    facts: tuple[Option, ...]
    decided: str
    pieces: tuple[PieceLine, ...]
    record: RecordShown | None
    fitting: tuple[Option, ...]
    asks_record: bool
    without_trace: bool
    lets_go: bool
    wet: ActShown | None
    early: ActShown | None
    codes: tuple[Option, ...]
    troubles: tuple[TroubleShown, ...]
    evidence: str


class ByReading(Form):
    """A decision on a washer's load without a record: what was read there, and why that is enough."""

    decided: Literal["released", "held"]
    read: str = Field("", max_length=_LONGEST)
    reason: str = Field("", max_length=_LONGEST)


class ItsRecord(Form):
    """Which record belongs to the load."""

    cycle: str = Field(min_length=1, max_length=100)


class ItsFile(Form):
    """That the recorder's file of the load comes along."""


class Because(Form):
    """Why."""

    reason: str = Field("", max_length=_LONGEST)


class CameTo(Form):
    """What an investigation came to."""

    words: str = Field("", max_length=_LONGEST)


@screen.page(ONE, right=READ, template="bench_load.html")
def load_page(asked: Asked, load: str) -> LoadPage:
    """One load, with where everything in it is now."""
    seen = load_list.see_load(asked.archive, asked.visitor, load)
    known, address = seen.load, asked.at(f"/bench/loads/{load}")
    names = _names(asked, seen)
    is_over, may = known.state == LoadState.over, asked.visitor.may
    under_way = known.state in {LoadState.building, LoadState.running}
    is_early = is_over and bool(known.fields.get("implant")) and bool(known.cycle)
    return LoadPage(
        title=f"{known.fields['machine_name']}: {known.program}",
        address=address,
        frame=frame(asked, here=address),
        loads=asked.at("/bench/loads"),
        machine=asked.at(f"/bench/machines/{known.machine}") if under_way and seen.machine else "",
        line=load_line(asked, known),
        facts=_facts(asked, seen),
        decided=_decided(asked, seen, names),
        pieces=piece_lines(seen.pieces, load=known, under_way=False),
        record=_record(asked, seen),
        fitting=tuple(Option(row.id, row.title) for row in seen.fitting) if may(HAND_IN) else (),
        asks_record=not known.cycle and known.state in {LoadState.running, LoadState.over} and may(HAND_IN),
        without_trace=is_over and not known.cycle and known.station == Station.washer.value and may(DECIDE),
        lets_go=known.state == LoadState.held and bool(known.fields.get("wet")) and may(DECIDE),
        wet=act_shown("wet-pack", "Hold the load", {"act": "wet-pack"})
        if _may_be_wet(seen) and (may(WORK) or may(IN_THEATRE))
        else None,
        early=act_shown("early-implant", "Let it out early", {"act": "early-implant"})
        if is_early and may(EXCEPT)
        else None,
        codes=tuple(
            Option(one.inside.copy.code, f"{one.inside.copy.name} ({one.inside.copy.code})")
            for one in seen.pieces
            if one.is_here
        ),
        troubles=tuple(_trouble(asked, seen, one, names) for one in seen.troubles),
        evidence=evidence_of_load(asked, known.id) if seen.pieces else "",
    )


@screen.act(f"{ONE}/decision", right=DECIDE, form=ByReading, page=load_page)
def decide_by_reading(asked: Asked, form: ByReading, load: str) -> Done:
    """Decide on a washer's load that has no record, as the person who is signed in."""
    load_deciding.decide_without_trace(
        asked.archive,
        asked.visitor,
        load,
        form.decided,
        read=form.read,
        reason=form.reason,
        now=asked.now,
    )
    word = "Released" if form.decided == "released" else "Held"
    return Done(go=asked.at(f"/bench/loads/{load}"), said=f"{word} by {asked.someone.name}, without a trace.")


@screen.act(f"{ONE}/link", right=HAND_IN, form=ItsRecord, page=load_page)
def link_record(asked: Asked, form: ItsRecord, load: str) -> Done:
    """Say which record belongs to the load."""
    load_deciding.link_cycle(asked.archive, asked.visitor, load, form.cycle, now=asked.now)
    return Done(go=asked.at(f"/bench/loads/{load}"), said="The record belongs to this load now.")


@screen.act(f"{ONE}/record", right=HAND_IN, form=ItsFile, page=load_page, uploads="files")
def hand_in_record(asked: Asked, form: ItsFile, files: tuple[Upload, ...], load: str) -> Done:
    """Hand in the recorder's file of the load and have it judged."""
    del form
    cycle = load_deciding.hand_in_for(
        asked.archive, asked.visitor, load, [one.handed_in() for one in files], now=asked.now
    )
    return Done(go=asked.at(f"/cycles/{cycle}"), said="The record is kept and belongs to its load.")


@screen.act(f"{ONE}/let-go", right=DECIDE, form=Because, page=load_page)
def let_dry_packs_go(asked: Asked, form: Because, load: str) -> Done:
    """Let the dry packs of a load go on in which one was wet."""
    load_trouble.let_go(asked.archive, asked.visitor, load, reason=form.reason, now=asked.now)
    return Done(go=asked.at(f"/bench/loads/{load}"), said="The dry packs may go on; the wet one may not.")


@screen.act(f"{ONE}/investigations/{{investigation}}", right=DECIDE, form=CameTo, page=load_page)
def close_trouble(asked: Asked, form: CameTo, load: str, investigation: str) -> Done:
    """Close an investigation with what it came to."""
    load_trouble.close_investigation(
        asked.archive, asked.visitor, investigation, words=form.words, now=asked.now
    )
    return Done(go=asked.at(f"/bench/loads/{load}"), said="Closed, with what it came to.")


def _names(asked: Asked, seen: SeenLoad) -> dict[str, str]:
    people = {str(seen.load.fields.get("decided_by") or ""), *(one.found.by for one in seen.troubles)}
    return names_of(asked.archive, filter(None, people))


def _facts(asked: Asked, seen: SeenLoad) -> tuple[Option, ...]:
    """What is known of a load, each with what it is called."""
    told, zone = seen.load.fields, asked.visitor.zone
    started = shown_moment(seen.load.started, zone) if seen.load.started else ""
    facts = [
        ("Begun", shown_moment(seen.load.opened, zone)),
        ("Started", started),
        ("Out of the machine", _moment(asked, told.get("ended"))),
        ("May be handled from", _moment(asked, told.get("cooled"))),
        ("Rack", str(told.get("rack_name") or "")),
        ("Implant", str(told.get("implant") or "")),
        ("Said at the end", str(told.get("end_note") or "")),
        ("Read at the machine", str(told.get("read") or "")),
    ]
    return tuple(Option(name, words) for name, words in facts if words)


def _moment(asked: Asked, told: object) -> str:
    return shown_moment(datetime.fromisoformat(str(told)), asked.visitor.zone) if told else ""


def _decided(asked: Asked, seen: SeenLoad, names: dict[str, str]) -> str:
    told = seen.load.fields
    if seen.load.state not in {LoadState.released, LoadState.held}:
        return ""
    by = names.get(str(told.get("decided_by") or ""), "")
    at = _moment(asked, told.get("decided_at"))
    why = f": {told['reason']}" if told.get("reason") else ""
    trace = ", without a trace" if told.get("no_trace") else ""
    return f"{seen.load.state.capitalize()} by {by}, {at}{trace}{why}"


def _record(asked: Asked, seen: SeenLoad) -> RecordShown | None:
    if seen.cycle is None:
        return None
    state = seen.cycle.state
    return RecordShown(
        address=asked.at(f"/cycles/{seen.cycle.id}"),
        file=seen.cycle.title,
        outcome=str(seen.cycle.fields.get("verdict") or "is judged"),
        decided=state if state in {"released", "held"} else "",
    )


def _may_be_wet(seen: SeenLoad) -> bool:
    """Whether packs of it are out of a sterilizer, and nobody said yet that one is wet."""
    is_out = seen.load.state in {LoadState.over, LoadState.released}
    return (
        seen.load.station == Station.sterilizer.value and is_out and any(one.is_here for one in seen.pieces)
    )


def _looks_again(asked: Asked, code: str) -> tuple[ActShown, ...]:
    """What a second look at a set can show."""
    if not asked.visitor.may(WORK):
        return ()
    act = {"act": "looked-again", "code": code}
    return (
        act_shown(f"clean-{code}", "Looked again: clean", {**act, "clean": True}, style="second"),
        act_shown(f"soiled-{code}", "Back to the sink", {**act, "clean": False}, style="second"),
    )


def _trouble(asked: Asked, seen: SeenLoad, known: KnownTrouble, names: dict[str, str]) -> TroubleShown:
    found, address = known.found, asked.at(f"/bench/loads/{seen.load.id}")
    held = {one.inside.copy.code for one in seen.pieces if one.inside.copy.state == HELD and one.is_here}
    to_look = held if found.kind is Trouble.soil else set()
    may_close = not found.closed_by and asked.visitor.may(DECIDE)
    return TroubleShown(
        words=TROUBLE_WORDS[found.kind].capitalize(),
        on=f"{found.name} ({found.code})",
        where=found.where,
        note=found.note,
        by=f"{names.get(found.by, found.by)}, {shown_moment(found.at, asked.visitor.zone)}",
        beside=tuple(
            BesideLine(
                one.name,
                one.code,
                one.place.value.replace("-", " "),
                one.then,
                _looks_again(asked, one.code) if one.code in to_look else (),
            )
            for one in found.beside
        ),
        came_to=found.found,
        close=f"{address}/investigations/{known.id}" if may_close else "",
    )
