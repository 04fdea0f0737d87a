"""A sheet of the paper pack as a form asks for it, and as it was typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from pydantic import Field, create_model

from sinkside.bench.outage import LOADS, SHEET_WORDS, PaperLine, PaperLoad, PaperTime, SheetKind
from sinkside.bench.sheets import SheetLine
from sinkside.department import Department, MachineKind
from sinkside.desk import departments
from sinkside.errors import BadInput, NotThere
from sinkside.web.asked import Asked
from sinkside.web.screen import Form, Option
from sinkside.web.typed_moments import read_moment

#: As many lines as a sheet of the paper pack has.
LINES: Final = 12
_LINES_OF_A_LOAD: Final = 8

_BETWEEN: Final = "::"
_EXPECTED: Final = "expected the time that stands on paper, such as 02:15"
_WASHER: Final = MachineKind.washer_disinfector


@dataclass(frozen=True)
class RowAsked:
    """One line of a sheet as the form asks for it; what was copied before stands in it."""

    line: str
    number: int
    at: str
    code: str
    case: str
    is_entered: bool


@dataclass(frozen=True)
class SheetAsked:
    """A sheet to be copied: its number, form and rows; of a load, its machine and program, start and end."""

    number: str
    kind: str
    words: str
    asks_time: bool
    asks_case: bool
    rows: tuple[RowAsked, ...]
    programs: tuple[Option, ...]
    program: str
    started: str
    ended: str


_ROWS: Final[Mapping[str, Any]] = {
    f"{name}_{number}": (str, Field("", max_length=longest))
    for name, longest in (("at", 5), ("code", 120), ("case", 40))
    for number in range(1, LINES + 1)
}


class SheetHead(Form):
    """The head of a sheet: number, form; of a load, machine and program, start and end."""

    sheet: str = Field("", max_length=6)
    kind: str = Field("", max_length=20)
    program: str = Field("", max_length=260)
    started: str = Field("", max_length=16)
    ended: str = Field("", max_length=16)


#: A sheet as it is sent: its head, and of each line the time, the code and the case.
CopiedSheet: type[SheetHead] = create_model("CopiedSheet", __base__=SheetHead, **_ROWS)


class Reading:
    """Reads the lines of one sheet as they were typed."""

    def __init__(self, asked: Asked, paper: PaperTime, form: SheetHead) -> None:
        self._asked, self._paper, self._form = asked, paper, form
        if form.kind not in set(SheetKind):
            raise BadInput(f"expected a form: {', '.join(SheetKind)}", resource="kind")
        self.kind = SheetKind(form.kind)
        self.number = SheetLine.read(f"{form.sheet}-1").written.split("-", 1)[0]

    def load(self) -> PaperLoad | None:
        """The head of the sheet, where it is one load."""
        form = self._form
        if self.kind not in LOADS:
            return None
        machine, _, program = form.program.partition(_BETWEEN)
        return PaperLoad(
            sheet=self.number,
            kind=self.kind,
            machine=machine,
            program=program,
            at=self._at(form.started, "started"),
            ended=self._at(form.ended, "ended"),
        )

    def lines(self, load: PaperLoad | None) -> Iterator[PaperLine]:
        """Every line that has a code."""
        typed = self._form.model_dump()
        for number in range(1, LINES + 1):
            code, at = typed[f"code_{number}"].strip(), typed[f"at_{number}"]
            if not code:
                continue
            timed = load is None or load.kind is SheetKind.wash_load
            yield PaperLine(
                line=f"{self.number}-{number}",
                kind=self.kind,
                at=self._at(at, f"at_{number}") if timed or load is None else load.at,
                code=code,
                case=typed[f"case_{number}"],
            )

    def _at(self, typed: str, field: str) -> datetime:
        """The moment of a time on paper: on the first day of the outage that has it."""
        day = self._paper.began.astimezone(ZoneInfo(self._asked.visitor.zone)).date()
        first = self._on(day, typed, field)
        if first >= self._paper.began - timedelta(minutes=5):
            return first
        return self._on(day + timedelta(days=1), typed, field)

    def _on(self, day: date, typed: str, field: str) -> datetime:
        return read_moment(self._asked, f"{day}T{typed.strip()}", field=field, expected=_EXPECTED)


def asked_sheet(asked: Asked, paper: PaperTime, number: str, kind: str) -> SheetAsked:
    """A sheet to be copied, with what was copied of it before."""
    form = SheetKind(kind)
    plain = SheetLine.read(f"{number}-1").written.split("-", 1)[0]
    load = paper.load_of(plain)
    known = {one.place.line: one for one in paper.of_sheet(plain)}
    rows = _LINES_OF_A_LOAD if form in LOADS else LINES
    return SheetAsked(
        number=plain,
        kind=form.value,
        words=SHEET_WORDS[form],
        asks_time=form is not SheetKind.sterilizer_load,
        asks_case=form is SheetKind.issue,
        rows=tuple(_row(asked, plain, turn, known.get(turn)) for turn in range(1, rows + 1)),
        programs=tuple(_programs(asked, form)),
        program=f"{load.machine}{_BETWEEN}{load.program}" if load else "",
        started=clock(asked, load.at) if load else "",
        ended=clock(asked, load.ended) if load else "",
    )


def _row(asked: Asked, sheet: str, number: int, known: PaperLine | None) -> RowAsked:
    typed = asked.problem.typed
    return RowAsked(
        line=f"{sheet}-{number}",
        number=number,
        at=said(typed, f"at_{number}", clock(asked, known.at) if known else ""),
        code=said(typed, f"code_{number}", known.code if known else ""),
        case=said(typed, f"case_{number}", known.case if known else ""),
        is_entered=known is not None and known.outcome == "done",
    )


def _programs(asked: Asked, form: SheetKind) -> Iterator[Option]:
    """The machines that a form is of, each with its programs."""
    if form not in LOADS:
        return
    for machine in site_of(asked).machines:
        is_washer = machine.kind is _WASHER
        if is_washer is (form is SheetKind.wash_load) and (is_washer or "sterilizer" in machine.kind.value):
            for program in machine.programs:
                yield Option(f"{machine.id}{_BETWEEN}{program.name}", f"{machine.name}, {program.name}")


def site_of(asked: Asked) -> Department:
    """What the department has; nothing where nobody said it."""
    try:
        return departments.open_latest(asked.archive, asked.visitor).department
    except NotThere:
        return Department(name=asked.visitor.department)


def said(typed: Mapping[str, tuple[str, ...]], name: str, else_: str) -> str:
    """What was typed in a field that is shown again, else what stands there anyway."""
    return typed[name][0] if typed.get(name) else else_


def clock(asked: Asked, moment: datetime) -> str:
    """The time of day in the department."""
    return moment.astimezone(ZoneInfo(asked.visitor.zone)).strftime("%H:%M")
