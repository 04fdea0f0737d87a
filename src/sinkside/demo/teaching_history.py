"""A shift of the demo house that learns a new device, from roster to sign-off; all of it invented."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from importlib import resources
from pathlib import Path
from typing import Any, Final

from sinkside.desk import (
    accounts,
    approving,
    drafting,
    editing,
    instructions,
    lessons,
    observing,
    observing_kept,
    observing_signing,
    roll_outs,
    roster,
    shelf,
    sign_offs,
)
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.accounts import NewPerson
from sinkside.desk.jobs import work_once
from sinkside.desk.ports import Archive
from sinkside.desk.roll_outs import Planned
from sinkside.desk.uploads import Upload
from sinkside.documents import to_values
from sinkside.route import Station
from sinkside.teach.lesson import lesson_of
from sinkside.teach.observing import Mark
from sinkside.teach.observing_policy import CriterionKind, Manner
from sinkside.teach.sign_offs import Level, Occasion

_FILE: Final = "suction-tube.txt"

#: The rest of the early shift; nobody of the demo signs in as one of them.
SHIFT: Final = {
    "ayla": "Ayla Demir",
    "bruno": "Bruno Costa",
    "danuta": "Danuta Wolska",
    "femi": "Femi Adeyemi",
    "hanh": "Hanh Nguyen",
    "ivo": "Ivo Marek",
    "petra": "Petra Lang",
}


@dataclass(frozen=True)
class AtOnce(drafting.DraftDocument):
    """Drafting of the demo's own document in this process: nobody from outside wrote it."""

    limits: Any = field(default=None)

    def read(self, name: str, data: bytes, *, language: str | None, go_on: Callable[[], bool]) -> Any:
        """The document as a drafted instruction in plain values."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / name
            path.write_bytes(data)
            return to_values(instructions.draft(path, language=language)) if go_on() else {}


def fill_taught_text(archive: Archive, educator: Visitor, lead: Visitor, *, now: datetime) -> str:
    """Hand in, draft and approve the text that the shift learns, before any other work waits; its id."""
    data = (resources.files("sinkside.demo") / "data" / "teaching" / _FILE).read_bytes()
    upload = Upload(_FILE, "text/plain", data)
    instruction = shelf.hand_in(archive, educator, upload, now=now).instruction
    work_once(archive, {shelf.DRAFT_JOB: AtOnce()}, worker="demo", clock=lambda: now)
    drafted = shelf.open_instruction(archive, educator, instruction)
    number, change = drafted.revision.number, editing.Accept(drafted.to_do.steps)
    number = editing.edit(archive, educator, instruction, change, base=number, now=now)
    confirm_by = (now + timedelta(days=365)).date()
    approving.approve(archive, lead, instruction, revision=number, confirm_by=confirm_by, now=now)
    return instruction


def add_shift(archive: Archive, administrator: Visitor, *, now: datetime) -> tuple[str, ...]:
    """The technicians of the early shift beside the one whom the demo lets sign in."""
    return tuple(
        accounts.add_person(
            archive, administrator, NewPerson(name, sign_in), roles=["technician"], now=now
        ).person
        for sign_in, name in SHIFT.items()
    )


@dataclass(frozen=True)
class Watched:
    """One observation of the demo: whom, where, how, how the missed point begins, and what it led to."""

    trainee: str
    station: Station
    level: Level
    manner: Manner = Manner.at_work
    missed: str = ""
    note: str = ""


_WATCHED: Final = (
    Watched("ayla", Station.sink, Level.independent),
    Watched("ayla", Station.packing, Level.independent),
    Watched("danuta", Station.sink, Level.independent),
    Watched("danuta", Station.packing, Level.independent),
    Watched("bruno", Station.sink, Level.supervised, missed="Soak", note="Lifted it out after six minutes."),
    Watched("femi", Station.sink, Level.supervised, Manner.return_demonstration),
)

#: Who took the lesson, and whose sign-offs of last year end soon.
_TAUGHT: Final = ("ayla", "bruno", "danuta", "femi", "hanh", "ivo")
_LAST_YEAR: Final = (("danuta", Station.packing, 21), ("hanh", Station.sink, 9), ("ivo", Station.packing, 33))


def fill_teaching(
    archive: Archive, educator: Visitor, lead: Visitor, *, instruction: str, now: datetime
) -> None:
    """The shift on its roster, the roll-out of the new device, and how far everybody has come with it."""
    started = now - timedelta(days=12)
    people = _people(archive)
    for person in people.values():
        roster.post(archive, lead, person, "early", now=started)
    _sign_off_last_year(archive, educator, people, now=now)
    planned = Planned(
        stations=(Station.sink, Station.packing),
        shifts=("early",),
        first_use=(now + timedelta(days=6)).date(),
        questions=0,
    )
    roll_outs.plan(archive, lead, instruction, planned, now=started)
    _teach(archive, educator, instruction, [people[one] for one in _TAUGHT], now=now - timedelta(days=9))
    for turn, watched in enumerate(_WATCHED):
        at = now - timedelta(days=6, hours=turn)
        _watch(archive, educator, instruction, watched, people[watched.trainee], now=at)


def _people(archive: Archive) -> dict[str, str]:
    """The shift by what they sign in with; the technician who signs in is on it too."""
    found = {}
    with archive.unit(writes=False) as unit:
        for sign_in in (*SHIFT, "technician"):
            person = unit.people.by_sign_in(sign_in)
            if person is not None:
                found[sign_in] = person.id
    return found


def _sign_off_last_year(
    archive: Archive, educator: Visitor, people: dict[str, str], *, now: datetime
) -> None:
    """Sign-offs of last year, some of which end soon: everybody knew the micro instruments already."""
    shown = {
        "lesson": "paper record",
        "questions": "paper record, 9 of 10 right",
        "observation": "paper record",
    }
    signing = sign_offs.Signing(Level.independent, shown, occasion=Occasion.yearly)
    with archive.unit() as unit:
        for sign_in, station, left in _LAST_YEAR:
            given = now - timedelta(days=365 - left)
            sign_offs.sign_off(unit, educator, people[sign_in], "micro", station, signing, now=given)


def _teach(
    archive: Archive, educator: Visitor, instruction: str, people: list[str], *, now: datetime
) -> None:
    with archive.unit() as unit:
        ground = lessons.approved_ground(unit, educator, instruction)
        number = ground.shown.revision.number
        parts = lesson_of(ground.shown.instruction, ground.route, revision=number).parts
        for turn, person in enumerate(people):
            learner = visitor_in(unit, person, educator.department, now)
            for part in parts:
                at = now + timedelta(minutes=turn)
                lessons.take(unit, learner, instruction, number, part.id, now=at)


def _watch(
    archive: Archive, educator: Visitor, instruction: str, watched: Watched, trainee: str, *, now: datetime
) -> None:
    """One observation from its first point to the second signature."""
    known = observing.begin(
        archive, educator, instruction, watched.station, trainee, manner=watched.manner, now=now
    )
    for point in observing_kept.open_observation(archive, educator, known).seen:
        is_missed = bool(watched.missed) and point.words.startswith(watched.missed)
        seen = Mark.missed if is_missed else Mark.done
        note = watched.note if is_missed else ""
        if point.kind is not CriterionKind.pictures:
            observing.mark(archive, educator, known, point.id, seen=seen, note=note, now=now)
    observing_signing.judge(archive, educator, known, watched.level, now=now)
    with archive.unit() as unit:
        observing_signing.signed_by_trainee(unit, educator, known, how="badge", now=now)
