"""One cell of the fit table: the route or what stops it, what changed since, and 'we have this now'."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Final, Literal

from pydantic import Field

from sinkside.department import Edit, Program, ValidatedProgram
from sinkside.desk.department_route import DepartmentStop, StationHere
from sinkside.desk.fit_answers import EarlierAnswer
from sinkside.desk.fit_fields import CYCLES, SaidField, fields_of, noun_of, program_facts, refuse_no_edit
from sinkside.desk.fit_one import OpenFit, change_id, open_fit
from sinkside.desk.fit_page import CHANGES, SEES
from sinkside.desk.fit_repairing import MadeRepair, Said, make_repair, repairs_made
from sinkside.desk.instruction_view import row_words
from sinkside.desk.people import names_of, readers_here
from sinkside.records import Making
from sinkside.route import Change, FitWord
from sinkside.web.asked import Asked
from sinkside.web.fit_words import state_of, words_of
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Screen

screen = Screen("fit-one")

_ONE: Final = f"{DEPARTMENT}/fit/{{instruction}}"
_CHANGE: Final = f"{_ONE}/changes/{{change}}"

Line = Annotated[str, Field(max_length=200)]


@dataclass(frozen=True)
class ChangeShown:
    """A change that would help: its sentence, and where it is said to be true, empty where it cannot be.

    `asks_first` says that the text itself has an open stop there.
    """

    sentence: str
    address: str
    asks_first: bool


@dataclass(frozen=True)
class EarlierShown:
    """What was said before: how it stood as a key and in words, when, and what was missing then."""

    state: str
    words: str
    at: str
    missing: tuple[str, ...]


@dataclass(frozen=True)
class SinceShown:
    """A revision since then: of what, by whom, when, why, and by whose word where it made a repair true.

    `address` is where it is shown beside the one before.
    """

    what: str
    address: str
    by: str
    at: str
    note: str
    proof: str


@dataclass(frozen=True)
class FitOnePage:
    """An instruction held against a department.

    Attributes:
        title: the device.
        about: maker, document and edition.
        department: the department.
        table: where the fit table is.
        instruction: where the instruction is.
        state: how it stands, as a key.
        words: how it stands, in words.
        stops: what stops it, in the order of the work.
        repair: the smallest repair: all of it together gives a route.
        others: what else would help, smallest first.
        concerns: what somebody must look at on the route.
        notes: what else there is to know.
        stations: the route, station by station.
        earlier: what was said before it said something else.
        since: what changed since then, oldest first.
    """

    title: str
    about: str
    department: str
    table: str
    instruction: str
    state: str
    words: str
    stops: tuple[DepartmentStop, ...]
    repair: tuple[ChangeShown, ...]
    others: tuple[ChangeShown, ...]
    concerns: tuple[str, ...]
    notes: tuple[str, ...]
    stations: tuple[StationHere, ...]
    earlier: EarlierShown | None
    since: tuple[SinceShown, ...]


@dataclass(frozen=True)
class FactShown:
    """One thing that a program does: its words, and those of the program it alters where they differ."""

    label: str
    words: str
    before: str


@dataclass(frozen=True)
class RepairPage:
    """The form by which somebody says that the department now has what was missing.

    Attributes:
        title: the heading.
        address: where it is sent.
        cell: where the cell is that it turns.
        department: the department.
        device: for whose sake.
        sentence: the change that was suggested.
        noun: what kind of thing it brings.
        is_program: whether it is a program, which somebody validates.
        machine: the machine whose program it is.
        facts: what the program does.
        fields: what is asked of the thing.
        cycles: the cycles that packaging may be made for.
        people: colleagues who may have validated it.
        day: today.
        base: the revision of the department.
    """

    title: str
    address: str
    cell: str
    department: str
    device: str
    sentence: str
    noun: str
    is_program: bool
    machine: str
    facts: tuple[FactShown, ...]
    fields: tuple[SaidField, ...]
    cycles: tuple[Option, ...]
    people: tuple[Option, ...]
    day: str
    base: int


class HaveNow(Form):
    """What somebody says of a thing or program that the department now has; fields of other kinds stay empty.

    `base` is the revision of the department that they had before them, `in_place` that it is there now, `on`
    the day it was validated or came, `person` a colleague's pseudonym, `firm` somebody from outside.
    """

    base: int = Field(ge=1, le=1_000_000)
    in_place: bool = False
    on: date
    reference: Line = ""
    person: Line = ""
    firm: Line = ""
    name: Line = ""
    diameter: Line = ""
    length: Line = ""
    steam_permeable: Literal["", "yes", "no"] = ""
    pressure_max: Line = ""
    range_min: Line = ""
    range_max: Line = ""
    mass: Line = ""
    cycles: tuple[Literal["prevacuum", "gravity", "pulse"], ...] = Field((), max_length=3)
    ph_min: Line = ""
    ph_max: Line = ""
    dose_min: Line = ""
    dose_max: Line = ""
    temperature_min: Line = ""
    temperature_max: Line = ""
    chloride: Line = ""
    hardness: Line = ""
    conductivity: Line = ""


#: What of the form is said of the thing itself.
_BESIDE_THE_THING: Final = {"base", "in_place", "on", "reference", "person", "firm", "cycles"}


@screen.page(_ONE, right=SEES, template="fit_one.html")
def fit_one(asked: Asked, instruction: str) -> FitOnePage:
    """One instruction held against this department."""
    shown = _opened(asked, instruction)
    title, about = row_words(shown.row)
    shelf = f"/at/{shown.row.department}"
    return FitOnePage(
        title=title,
        about=about,
        department=shown.site.name,
        table=f"{shelf}/fit",
        instruction=f"{shelf}/instructions/{shown.row.id}",
        state=state_of(shown.word),
        words=words_of(shown.word),
        stops=shown.stops,
        repair=tuple(_change(asked, shown, one) for one in shown.route.smallest_repair),
        others=tuple(_change(asked, shown, one) for one in shown.others),
        concerns=shown.concerns,
        notes=shown.notes,
        stations=shown.stations,
        earlier=_earlier(shown.earlier, asked.visitor.zone),
        since=_since(asked, shown),
    )


@screen.page(_CHANGE, right=CHANGES, template="fit_repair.html")
def repair(asked: Asked, instruction: str, change: str) -> RepairPage:
    """The form by which somebody says that the department now has what was missing."""
    shown = _opened(asked, instruction)
    wanted = shown.change(change)
    edit = refuse_no_edit(wanted.edit)
    is_program = isinstance(edit, ValidatedProgram)
    return RepairPage(
        title="We have this now",
        address=asked.at(f"/fit/{instruction}/changes/{change}"),
        cell=asked.at(f"/fit/{instruction}"),
        department=shown.site.name,
        device=row_words(shown.row)[0],
        sentence=wanted.sentence,
        noun=noun_of(edit),
        is_program=is_program,
        machine=_machine(shown, edit),
        facts=_facts(shown, edit),
        fields=fields_of(edit),
        cycles=tuple(Option(name, words) for name, words in CYCLES.items()),
        people=_people(asked) if is_program else (),
        day=shown_moment(asked.now, asked.visitor.zone)[:10],
        base=shown.kept.number,
    )


@screen.act(_CHANGE, right=CHANGES, form=HaveNow, page=repair)
def have_now(asked: Asked, form: HaveNow, instruction: str, change: str) -> Done:
    """Say that the department now has what was missing; a plan is refused."""
    fields: Mapping[str, str] = {
        name: value
        for name, value in form.model_dump().items()
        if name not in _BESIDE_THE_THING and isinstance(value, str)
    }
    number = make_repair(
        asked.archive,
        asked.visitor,
        instruction,
        change,
        Said(
            base=form.base,
            in_place=form.in_place,
            on=form.on,
            reference=form.reference,
            person=form.person,
            firm=form.firm,
            fields=fields,
            cycles=form.cycles,
        ),
        now=asked.now,
        shared_tablet=asked.someone.session.shared_tablet,
    )
    return Done(
        go=asked.at(f"/fit/{instruction}"), said=f"Kept as revision {number} of what this department has."
    )


def _opened(asked: Asked, instruction: str) -> OpenFit:
    tablet = asked.someone.session.shared_tablet
    return open_fit(asked.archive, asked.visitor, instruction, now=asked.now, shared_tablet=tablet)


def _change(asked: Asked, shown: OpenFit, change: Change) -> ChangeShown:
    address = f"/fit/{shown.row.id}/changes/{change_id(change)}"
    asks_first = shown.asks_first(change)
    is_open = change.edit is not None and not asks_first
    return ChangeShown(change.sentence, asked.at(address) if is_open else "", asks_first)


def _earlier(earlier: EarlierAnswer | None, zone: str) -> EarlierShown | None:
    if earlier is None:
        return None
    word = FitWord(earlier.word)
    return EarlierShown(state_of(word), words_of(word), shown_moment(earlier.at, zone), earlier.missing)


def _since(asked: Asked, shown: OpenFit) -> tuple[SinceShown, ...]:
    """What changed since the answer before, oldest first."""
    makings = [("Text", one) for one in shown.texts_since]
    makings += [("Department", one) for one in shown.departments_since]
    if not makings:
        return ()
    with asked.archive.unit(writes=False) as unit:
        repairs = repairs_made(unit, shown.site.id) if shown.departments_since else {}
    people = {one.by for _, one in makings} | {one.person for one in repairs.values() if one.person}
    names = names_of(asked.archive, people)
    places = {
        "Text": f"/at/{shown.row.department}/instructions/{shown.row.id}/compare",
        "Department": asked.at("/department/changes"),
    }

    def told(kind: str, one: Making) -> SinceShown:
        made = repairs.get(one.number) if kind == "Department" else None
        return SinceShown(
            what=f"{kind}, revision {one.number}",
            address=f"{places[kind]}?before={one.number - 1}&after={one.number}" if one.number > 1 else "",
            by=names[one.by],
            at=shown_moment(one.at, asked.visitor.zone),
            note=one.note,
            proof=_proof(made, names) if made else "",
        )

    return tuple(told(kind, one) for kind, one in sorted(makings, key=lambda entry: entry[1].at))


def _proof(made: MadeRepair, names: Mapping[str, str]) -> str:
    vouched = names.get(made.person, "") or made.firm
    validated = isinstance(made.edit, ValidatedProgram)
    parts = (
        f"{'validated' if validated else 'here since'} {made.on.isoformat()}",
        f"by {vouched}" if vouched else "",
        f"({made.reference})" if made.reference else "",
    )
    return " ".join(filter(None, parts))


def _machine(shown: OpenFit, edit: Edit) -> str:
    if not isinstance(edit, ValidatedProgram):
        return ""
    return next((one.name for one in shown.department.machines if one.id == edit.machine), edit.machine)


def _facts(shown: OpenFit, edit: Edit) -> tuple[FactShown, ...]:
    """What a program does, beside the one it is made from."""
    if not isinstance(edit, ValidatedProgram):
        return ()
    like = _made_from(shown, edit)
    before = dict(program_facts(like)) if like else {}
    return tuple(
        FactShown(label, words, before.get(label, "") if before.get(label) != words else "")
        for label, words in program_facts(edit.program)
    )


def _made_from(shown: OpenFit, edit: ValidatedProgram) -> Program | None:
    """The machine's own program that a proposal alters; its name begins the proposal's."""
    own = edit.program.name.partition(": ")[0]
    for machine in shown.department.machines:
        if machine.id == edit.machine:
            return next((program for program in machine.programs if program.name == own), None)
    return None


def _people(asked: Asked) -> tuple[Option, ...]:
    known = (Option(*one) for one in readers_here(asked.archive, asked.visitor, asked.now))
    return (Option("", "Somebody from outside"), *known)
