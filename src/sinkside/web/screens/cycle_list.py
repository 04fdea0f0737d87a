"""Cycles: what waits for a decision, and handing in what recorders wrote.

Its addresses are matched before those of `cycle_one`, as screens are added by name: `new` is no cycle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Final, Literal
from urllib.parse import urlencode

from fastapi import Query
from pydantic import Field

from sinkside.cycles import Reading
from sinkside.department import Machine
from sinkside.desk import cycle_handing_in, departments
from sinkside.desk import uploads as handed
from sinkside.desk.cycle_handing_in import Ran
from sinkside.desk.cycle_judging import LARGEST_RECORD_BYTES
from sinkside.desk.cycle_list import CyclesFound, CyclesWanted, Shown, find_cycles
from sinkside.desk.people import names_of
from sinkside.desk.recorders import reader_like
from sinkside.desk.unpacking import unpacked
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.days import midnight
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen, Upload

screen = Screen("cycles")

READ: Final = "cycle-read"
HAND_IN: Final = "cycle-upload"

_ON_A_PAGE: Final = 50
DECIDED: Final = ("held", "released")
_SHOWN_WORDS: Final[Mapping[Shown, str]] = {
    "waiting": "Waiting for a decision",
    "decided": "Decided",
    "held": "Held",
    "released": "Released",
    "all": "All",
}
_ANY: Final = Option("", "Any")
_VERDICTS: Final = (
    _ANY,
    Option("fails", "Fails"),
    Option("unread", "Could not be read"),
    Option("unclear", "Unclear"),
    Option("meets", "Meets"),
)

Words = Annotated[str, Query(max_length=200)]

#: A machine's id and a program's name in one value of a form.
_PARTED: Final = "|"


@dataclass(frozen=True)
class CycleLine:
    """One cycle of the list: where it is, file, machine, program, when; its verdict; how it was decided.

    `outcome` is meets, unclear, fails or unread; empty while it is judged, and `job` shows how far that is.
    `other_program` says that the same file was judged by another program too.
    `out_of_use` says that its machine was out of use.
    """

    address: str
    file: str
    machine: str
    program: str
    at: str
    outcome: str
    summary: str
    decided: str
    decided_by: str
    against: bool
    other_program: bool
    job: str
    out_of_use: bool


@dataclass(frozen=True)
class CyclesPage:
    """One page of the cycles that were asked for, worst first, and what may be asked for.

    Attributes:
        title: the heading.
        address: of this list.
        waiting: how many wait for a decision in all.
        total: how many were found.
        first: which of them is the first on this page, from 1.
        cycles: those on this page.
        before: the address of the page before this one.
        more: the address of the page after it.
        hand_in: where files are handed in.
        asked_for: what was asked for, by the name of its field.
        choices: what each field of choice may say.
    """

    title: str
    address: str
    waiting: int
    total: int
    first: int
    cycles: tuple[CycleLine, ...]
    before: str
    more: str
    hand_in: str
    asked_for: dict[str, str]
    choices: dict[str, tuple[Option, ...]]


@dataclass(frozen=True)
class HandInPage:
    """The form for recorder files: the machines' programs that can be judged, each as value and words.

    `as_last_time` says whether the head of a file is enough to tell the program; else one must be chosen.
    `like` is the cycle whose recorder's files these are; empty where nobody came from one.
    """

    title: str
    address: str
    cycles: str
    programs: tuple[Option, ...]
    as_last_time: bool
    like: str


class Said(Form):
    """What a person says of a recorder's file where it is silent."""

    pressure: Literal["absolute", "gauge"] | None = None
    temperature_unit: Literal["°C", "°F"] | None = None
    pressure_unit: Literal["kPa", "mbar", "bar", "MPa", "psi", "inHg", "mmHg"] | None = None
    vacuum_unit: Literal["inHg", "mmHg", "cmHg"] | None = None
    time_unit: Literal["s", "min", "h", "mm:ss", "hh:mm"] | None = None
    date_order: Literal["day-month-year", "month-day-year", "year-month-day"] | None = None
    cycle: int | None = Field(None, ge=1, le=10_000)

    @property
    def reading(self) -> Reading:
        """The same for the reader."""
        return Reading(
            pressure=self.pressure,
            temperature_unit=self.temperature_unit,
            pressure_unit=self.pressure_unit,
            vacuum_unit=self.vacuum_unit,
            time_unit=self.time_unit,
            date_order=self.date_order,
            cycle=self.cycle,
        )


class HandIn(Said):
    """The machine's program that ran (`machine|program`); empty where the house remembers it.

    `reason` is why a file that was judged by another program is judged by this one too.
    `like` is a cycle whose file was read: these are read the same way.
    """

    program: str = Field("", max_length=300)
    like: str = Field("", max_length=200)
    reason: str = Field("", max_length=2000)


@screen.page(f"{DEPARTMENT}/cycles", right=READ, template="cycles.html", nav=Nav("Cycles", 30, "machines"))
def cycles(
    asked: Asked,
    *,
    shown: Shown = "waiting",
    machine: Words = "",
    verdict: Literal["", "fails", "unread", "unclear", "meets"] = "",
    text: Words = "",
    since: Annotated[str, Query(max_length=10)] = "",
    until: Annotated[str, Query(max_length=10)] = "",
    page: Annotated[int, Query(ge=1, le=100_000)] = 1,
) -> CyclesPage:
    """What needs a decision, the worst first; or whichever cycles are asked for, page by page."""
    told = {
        "shown": shown,
        "machine": machine,
        "verdict": verdict,
        "text": text,
        "since": since,
        "until": until,
    }
    zone = asked.visitor.zone
    machine_id, _, program = machine.partition(_PARTED)
    wanted = CyclesWanted(
        shown=shown,
        machine=machine_id,
        program=program,
        verdict=verdict,
        text=text,
        since=midnight(since, zone),
        until=midnight(until, zone, days=1),
    )
    passed = (page - 1) * _ON_A_PAGE
    found = find_cycles(asked.archive, asked.visitor, wanted, limit=_ON_A_PAGE, offset=passed)
    names = names_of(asked.archive, (str(row.fields.get("decided_by") or "system") for row in found.rows))
    return CyclesPage(
        title="Cycles",
        address=asked.at("/cycles"),
        waiting=found.waiting,
        total=found.total,
        first=passed + 1,
        cycles=tuple(_line(asked, row, names) for row in found.rows),
        before=_page_address(asked, told, page - 1) if page > 1 else "",
        more=_page_address(asked, told, page + 1) if found.total > passed + _ON_A_PAGE else "",
        hand_in=asked.at("/cycles/new"),
        asked_for=told,
        choices=_choices(found, machine),
    )


def _page_address(asked: Asked, told: Mapping[str, str], page: int) -> str:
    query = {name: value for name, value in told.items() if value}
    return f"{asked.at('/cycles')}?{urlencode({**query, 'page': page})}"


def _choices(found: CyclesFound, asked_for: str) -> dict[str, tuple[Option, ...]]:
    """What each field may say; what was asked for stays one of them, though the department has it no more."""
    machines = [
        option
        for machine in found.machines
        for option in (Option(machine.id, machine.name), *_programs_of([machine]))
    ]
    if asked_for and asked_for not in {option.id for option in machines}:
        machines.append(Option(asked_for, asked_for.replace(_PARTED, ": ")))
    return {
        "shown": tuple(Option(*one) for one in _SHOWN_WORDS.items()),
        "machine": (_ANY, *machines),
        "verdict": _VERDICTS,
    }


def _programs_of(machines: Iterable[Machine]) -> Iterable[Option]:
    for machine, program in cycle_handing_in.programs_of(machines):
        yield Option(f"{machine.id}{_PARTED}{program.name}", f"{machine.name}: {program.name}")


@screen.page(f"{DEPARTMENT}/cycles/new", right=HAND_IN, template="cycles_new.html")
def new_cycles(asked: Asked, *, like: Words = "") -> HandInPage:
    """The form for recorder files; `like` is a cycle whose file was read."""
    site = departments.open_department(asked.archive, asked.visitor)
    return HandInPage(
        title="Hand in recorder files",
        address=asked.at("/cycles/new"),
        cycles=asked.at("/cycles"),
        programs=tuple(_programs_of(site.machines)) if site else (),
        as_last_time=site is not None and cycle_handing_in.heads_tell_the_program(site),
        like=like,
    )


@screen.act(f"{DEPARTMENT}/cycles/new", right=HAND_IN, form=HandIn, page=new_cycles, uploads="files")
def hand_in(asked: Asked, form: HandIn, files: tuple[Upload, ...]) -> Done:
    """Hand in recorder files and have them judged."""
    sent = unpacked([file.handed_in() for file in files], most_bytes=LARGEST_RECORD_BYTES)
    for upload in sent:
        handed.check_upload(upload, most_bytes=LARGEST_RECORD_BYTES)
    reading, made, jobs = form.reading, list[str](), list[str]()
    if form.like:
        cycle = form.like.strip().rstrip("/").rpartition("/")[2]
        reading = replace(reading, reader=reader_like(asked.archive, asked.visitor, cycle))
    for ran, group in _by_program(asked, form, sent).items():
        kept = cycle_handing_in.hand_in_cycles(
            asked.archive, asked.visitor, group, ran=ran, reading=reading, now=asked.now
        )
        made += kept.cycles
        jobs += [kept.job] if kept.job else []
    if jobs:
        return Done(go=asked.at(f"/jobs/{jobs[0]}"), said=f"{len(made)} files are kept and being judged.")
    if len(made) == 1:
        return Done(go=asked.at(f"/cycles/{made[0]}"), said="The file is kept and judged.")
    return Done(go=asked.at("/cycles"), said=f"{len(made)} files are kept and judged.")


def _by_program(asked: Asked, form: HandIn, sent: Iterable[handed.Upload]) -> dict[Ran, list[handed.Upload]]:
    """The files by the program that ran: the one chosen, or the one remembered for each recorder.

    Raises:
        BadInput: if nothing was chosen, and a recorder is new here or its files fit several programs.
    """
    machine, parted, program = form.program.partition(_PARTED)
    grouped: dict[Ran, list[handed.Upload]] = {}
    for upload in sent:
        ran = Ran(machine, program)
        if not parted:
            ran = cycle_handing_in.ran_as_last_time(asked.archive, asked.visitor, upload)
        grouped.setdefault(replace(ran, reason=form.reason), []).append(upload)
    return grouped


def _line(asked: Asked, row: Row, names: Mapping[str, str]) -> CycleLine:
    fields = row.fields
    by, job = str(fields.get("decided_by") or ""), fields.get("job")
    return CycleLine(
        address=asked.at(f"/cycles/{row.id}"),
        file=str(fields["file_name"]),
        machine=str(fields["machine_name"]),
        program=str(fields["program"]),
        at=shown_moment(row.updated, asked.visitor.zone),
        outcome="" if row.state == "judging" else str(fields.get("verdict", "")),
        summary=str(fields.get("summary", "")),
        decided=row.state if row.state in DECIDED else "",
        decided_by=names.get(by, by),
        against=bool(fields.get("against", False)),
        other_program=bool(fields.get("other_program", False)),
        job=asked.at(f"/jobs/{job}") if job else "",
        out_of_use=bool(fields.get("out_of_use")),
    )
