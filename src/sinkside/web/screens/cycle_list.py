"""Cycles: what waits for a decision, and handing in what recorders wrote.

Its addresses are matched before those of `cycle_one`, as screens are added by name: `new` is no cycle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from fastapi import Query
from pydantic import Field

from sinkside.cycles import Reading
from sinkside.department import Department, ProgramKind
from sinkside.desk import cycle_records, departments
from sinkside.desk import uploads as handed
from sinkside.desk.cycle_judging import LARGEST_RECORD_BYTES
from sinkside.desk.people import names_of
from sinkside.desk.recorder_heads import Remembered
from sinkside.errors import BadInput
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen, Upload

screen = Screen("cycles")

READ: Final = "cycle-read"
HAND_IN: Final = "cycle-upload"

#: Which cycles a list shows.
Shown = Literal["waiting", "decided", "all"]
_STATES: Final[Mapping[Shown, tuple[str, ...]]] = {
    "waiting": ("judging", "undecided"),
    "decided": ("held", "released"),
    "all": cycle_records.STATES,
}
_MOST_ROWS: Final = 200

#: What needs somebody's head first stands first.
_WORST_FIRST: Final = ("fails", "unread", "unclear", "meets", "")

#: A machine's id and a program's name in one value of a form.
_PARTED: Final = "|"

_JUDGED: Final = frozenset(
    {
        ProgramKind.steam_prevacuum,
        ProgramKind.steam_gravity,
        ProgramKind.steam_pulse,
        ProgramKind.washer_disinfector,
    }
)


@dataclass(frozen=True)
class CycleLine:
    """One cycle of the list: where it is, file, machine, program, when; its verdict; how it was decided.

    `outcome` is meets, unclear, fails or unread; empty while it is judged, and `job` shows how far that is.
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
    job: str


@dataclass(frozen=True)
class CyclesPage:
    """The cycles here, worst first; which are shown, how many wait, where files are handed in."""

    title: str
    address: str
    shown: str
    text: str
    waiting: int
    cycles: tuple[CycleLine, ...]
    hand_in: str
    is_cut: bool


@dataclass(frozen=True)
class HandInPage:
    """The form for recorder files: the machines' programs that can be judged, each as value and words."""

    title: str
    address: str
    cycles: str
    programs: tuple[Option, ...]


class Said(Form):
    """What a person says of a recorder's file where it is silent."""

    pressure: Literal["absolute", "gauge"] | None = None
    temperature_unit: Literal["°C", "°F"] | None = None
    pressure_unit: Literal["kPa", "mbar", "bar", "psi"] | None = None
    time_unit: Literal["s", "min", "h"] | None = None

    @property
    def reading(self) -> Reading:
        """The same for the reader."""
        return Reading(
            pressure=self.pressure,
            temperature_unit=self.temperature_unit,
            pressure_unit=self.pressure_unit,
            time_unit=self.time_unit,
        )


class HandIn(Said):
    """The machine's program that ran (`machine|program`); empty where the house remembers it."""

    program: str = Field("", max_length=300)


@screen.page(f"{DEPARTMENT}/cycles", right=READ, template="cycles.html", nav=Nav("Cycles", 30))
def cycles(
    asked: Asked, *, shown: Shown = "waiting", text: Annotated[str, Query(max_length=200)] = ""
) -> CyclesPage:
    """What needs a decision, the worst first."""
    rows = _rows(asked, shown, text)
    waiting = rows if shown == "waiting" and not text else _rows(asked, "waiting", "")
    names = names_of(asked.archive, (str(row.fields.get("decided_by") or "system") for row in rows))
    lines = [_line(asked, row, names) for row in rows]
    return CyclesPage(
        title="Cycles",
        address=asked.at("/cycles"),
        shown=shown,
        text=text,
        waiting=len(waiting),
        cycles=tuple(sorted(lines, key=_weight)),
        hand_in=asked.at("/cycles/new"),
        is_cut=len(rows) == _MOST_ROWS,
    )


@screen.page(f"{DEPARTMENT}/cycles/new", right=HAND_IN, template="cycles_new.html")
def new_cycles(asked: Asked) -> HandInPage:
    """The form for recorder files."""
    site = departments.open_department(asked.archive, asked.visitor)
    return HandInPage(
        title="Hand in recorder files",
        address=asked.at("/cycles/new"),
        cycles=asked.at("/cycles"),
        programs=tuple(_programs(site)) if site else (),
    )


@screen.act(f"{DEPARTMENT}/cycles/new", right=HAND_IN, form=HandIn, page=new_cycles, uploads="files")
def hand_in(asked: Asked, form: HandIn, files: tuple[Upload, ...]) -> Done:
    """Hand in recorder files and have them judged."""
    sent = [file.handed_in() for file in files]
    for upload in sent:
        handed.check_upload(upload, most_bytes=LARGEST_RECORD_BYTES)
    made: list[str] = []
    jobs: list[str] = []
    for chosen, group in _by_program(asked, form, sent).items():
        kept = cycle_records.hand_in_cycles(
            asked.archive,
            asked.visitor,
            group,
            machine=chosen.machine,
            program=chosen.program,
            reading=form.reading,
            now=asked.now,
        )
        made += kept.cycles
        jobs += [kept.job] if kept.job else []
    if jobs:
        return Done(go=asked.at(f"/jobs/{jobs[0]}"), said=f"{len(made)} files are kept and being judged.")
    if len(made) == 1:
        return Done(go=asked.at(f"/cycles/{made[0]}"), said="The file is kept and judged.")
    return Done(go=asked.at("/cycles"), said=f"{len(made)} files are kept and judged.")


def _by_program(
    asked: Asked, form: HandIn, sent: Iterable[handed.Upload]
) -> dict[Remembered, list[handed.Upload]]:
    """The files by the program that ran: the one chosen, or the one remembered for each recorder.

    Raises:
        BadInput: if nothing was chosen and a recorder is new here.
    """
    machine, parted, program = form.program.partition(_PARTED)
    grouped: dict[Remembered, list[handed.Upload]] = {}
    for upload in sent:
        chosen: Remembered | None = Remembered(machine, program)
        if not parted:
            chosen = cycle_records.machine_and_program(asked.archive, asked.visitor, upload)
        if chosen is None:
            raise BadInput(
                f"no file with a head like that of {upload.plain_name} was handed in here before; choose the "
                "machine and its program, and it will be remembered",
                resource="program",
            )
        grouped.setdefault(chosen, []).append(upload)
    return grouped


def _programs(site: Department) -> Iterable[Option]:
    for machine in site.machines:
        for program in machine.programs:
            if program.kind in _JUDGED:
                yield Option(f"{machine.id}{_PARTED}{program.name}", f"{machine.name}: {program.name}")


def _rows(asked: Asked, shown: Shown, text: str) -> list[Row]:
    return cycle_records.cycles_here(
        asked.archive, asked.visitor, states=_STATES[shown], text=text.strip() or None, limit=_MOST_ROWS
    )


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
        decided=row.state if row.state in _STATES["decided"] else "",
        decided_by=names.get(by, by),
        against=bool(fields.get("against", False)),
        job=asked.at(f"/jobs/{job}") if job else "",
    )


def _weight(line: CycleLine) -> tuple[bool, int]:
    """Undecided before decided, then the worst first; the order of the list stays within."""
    return bool(line.decided), _WORST_FIRST.index(line.outcome)
