"""Making a solution up: what goes in, worked out large, or refused in a sentence; then logged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Final
from zoneinfo import ZoneInfo

from fastapi import Query
from pydantic import Field

from sinkside.department import Chemical
from sinkside.desk import departments, solution_log, solution_making
from sinkside.desk.machine_checks import read_number
from sinkside.desk.solution_log import MadeUp
from sinkside.desk.solution_making import Said, WorkedOut
from sinkside.errors import BadInput, NotThere, SinksideError
from sinkside.science.dosing import HARDNESS_UNITS
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.solutions.shelf import (
    MAKE,
    PLACE,
    ChemicalLine,
    RemarkShown,
    chemical_line,
    clock_words,
    screen,
)

Typed = Annotated[str, Query(max_length=100)]

_UNIT_WORDS: Final = {"mg/L": "mg/L of calcium carbonate"}
_FIELDS: Final = ("chemical", "litres", "dose", "temperature", "point", "hardness", "hardness_unit")


@dataclass(frozen=True)
class WorkedShown:
    """What goes in: figure and unit, large; by which dose; what speaks against it; until when it may be used.

    `discard_by` is empty where a person must say how long.
    """

    figure: str
    unit: str
    water: str
    dose: str
    remarks: tuple[RemarkShown, ...]
    discard_by: str
    use_within: str


@dataclass(frozen=True)
class MakePage:
    """A solution to be made up.

    Attributes:
        title: the heading.
        address: of the page, where figures are worked out and the solution is logged.
        solutions: where the list is.
        chemicals: those to choose from, while none is chosen.
        line: the chosen one with its dose and temperatures; none before.
        said: what was typed so far.
        points: the water points, each with its last hardness.
        units: units of hardness.
        worked: what goes in; none before, or where it is refused.
        refused: why it is not worked out; empty where it is.
        made: this moment, as the form takes it.
    """

    title: str
    address: str
    solutions: str
    chemicals: tuple[ChemicalLine, ...]
    line: ChemicalLine | None
    said: Said
    points: tuple[Option, ...]
    units: tuple[Option, ...]
    worked: WorkedShown | None
    refused: str
    made: str


class LogSolution(Form):
    """A solution as it was made up: what went in, of which lot, and when.

    `lot_until` is the last day of the lot, `hours` how long the solution may be used where it is shorter than
    its maker says or he says nothing, `made` when it was made up on the department's clocks; now unless said.
    """

    chemical: str = Field(max_length=100)
    litres: str = Field("", max_length=100)
    dose: str = Field("", max_length=100)
    temperature: str = Field("", max_length=100)
    point: str = Field("", max_length=100)
    hardness: str = Field("", max_length=100)
    hardness_unit: str = Field("mg/L", max_length=100)
    lot: str = Field("", max_length=200)
    lot_until: str = Field("", max_length=10)
    hours: str = Field("", max_length=20)
    made: str = Field("", max_length=16)

    @property
    def said(self) -> Said:
        """What the dose is worked out from."""
        return Said(**{name: getattr(self, name) for name in _FIELDS})


@screen.page(f"{PLACE}/new", right=MAKE, template="solution_make.html")
def make(
    asked: Asked,
    *,
    chemical: Typed = "",
    litres: Typed = "",
    dose: Typed = "",
    temperature: Typed = "",
    point: Typed = "",
    hardness: Typed = "",
    hardness_unit: Typed = "mg/L",
) -> MakePage:
    """What goes into a sink: worked out as soon as the litres are said, or refused in a sentence."""
    given = Said(chemical, litres, dose, temperature, point, hardness, hardness_unit)
    typed = {name: texts[0] for name, texts in asked.problem.typed.items() if texts and name in _FIELDS}
    said = Said(**{name: typed.get(name, getattr(given, name)) for name in _FIELDS})
    site = departments.open_latest(asked.archive, asked.visitor).department
    known = next((one for one in site.chemicals if one.id == said.chemical), None)
    if said.chemical and known is None:
        raise NotThere("there is no such chemical here", resource=said.chemical)
    worked, refused = _worked(asked, said) if said.litres.strip() else (None, "")
    return MakePage(
        title=f"Make up {known.name}" if known else "Make up a solution",
        address=asked.at("/solutions/new"),
        solutions=asked.at("/solutions"),
        chemicals=() if known else tuple(chemical_line(asked, one) for one in site.chemicals),
        line=chemical_line(asked, known) if known else None,
        said=_as_last_time(asked, said, known) if known and not said.litres.strip() else said,
        points=tuple(
            Option(one.id, f"{one.name}, {one.hardness} hard" if one.hardness else one.name)
            for one in site.water
        ),
        units=tuple(Option(unit, _UNIT_WORDS.get(unit, unit)) for unit in HARDNESS_UNITS),
        worked=worked,
        refused=refused,
        made=asked.now.astimezone(ZoneInfo(asked.visitor.zone)).strftime("%Y-%m-%dT%H:%M"),
    )


@screen.act(f"{PLACE}/new", right=MAKE, form=LogSolution, page=make)
def log(asked: Asked, form: LogSolution) -> Done:
    """Log a solution that is made up; it is worked out again, and refused where it does not fit."""
    made_up = MadeUp(
        lot=form.lot,
        made=_moment(asked, form.made) if form.made.strip() else asked.now,
        lot_until=_day(form.lot_until) if form.lot_until.strip() else None,
        hours=read_number(form.hours, "h", field="hours") if form.hours.strip() else None,
    )
    key = solution_log.log_solution(asked.archive, asked.visitor, form.said, made_up, now=asked.now)
    kept = solution_log.open_solution(asked.archive, asked.visitor, key)
    until = clock_words(kept.discard_by, asked.now, asked.visitor.zone)
    said = f"Logged: {kept.amount} of {kept.name} in {kept.water}. Discard by {until}."
    return Done(go=asked.at("/solutions"), said=said)


def _worked(asked: Asked, said: Said) -> tuple[WorkedShown | None, str]:
    try:
        found = solution_making.work_out(asked.archive, asked.visitor, said)
    except BadInput as error:
        return None, _sentence(error)
    return _shown(asked, found), ""


def _shown(asked: Asked, found: WorkedOut) -> WorkedShown:
    amount = found.solution.amount
    until = asked.now + found.use_within if found.use_within else None
    return WorkedShown(
        figure=f"{amount.value:g}",
        unit=amount.unit,
        water=str(found.solution.water),
        dose=str(found.solution.dose),
        remarks=tuple(
            RemarkShown(one.level.value, f"{one.message} {one.remedy or ''}".strip())
            for one in found.solution.findings
        ),
        discard_by=clock_words(until, asked.now, asked.visitor.zone) if until else "",
        use_within=str(found.chemical.use_within or ""),
    )


def _as_last_time(asked: Asked, said: Said, chemical: Chemical) -> Said:
    """What stays the same from one solution of a chemical to the next: the sink, the water, the dose."""
    last = solution_log.last_made(asked.archive, asked.visitor, chemical.id)
    dose = solution_making.lowest_dose(chemical)
    if last is None:
        return Said(said.chemical, "", dose, hardness_unit=said.hardness_unit)
    litres = f"{last.water.value:g}"
    return Said(said.chemical, litres, dose, point=last.point, hardness_unit=said.hardness_unit)


def _moment(asked: Asked, text: str) -> datetime:
    try:
        return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(asked.visitor.zone))
    except ValueError as error:
        raise BadInput("expected when it was made up, such as 2026-05-31T07:20", resource="made") from error


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise BadInput("expected the last day, such as 2027-05-31", resource="lot_until") from error


def _sentence(error: SinksideError) -> str:
    text = error.message.strip()
    return text[:1].upper() + text[1:] + ("" if text[-1:] in ".!?" else ".")
