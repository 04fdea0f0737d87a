"""An instruction in this department: with what each step is done, or what stops it and what would do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.aids.figures import shown_figures
from sinkside.aids.report.finding_view import finding_views
from sinkside.aids.words import plain_words
from sinkside.department import Department
from sinkside.desk import departments
from sinkside.desk.access import Visitor
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.shelf import OpenInstruction
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.plain.operations import by_station, shown_operations, station_label
from sinkside.records import Revision
from sinkside.route import Operation, Route, resolve


@dataclass(frozen=True)
class DepartmentStop:
    """Why a step cannot be done here as the text asks: the sentence, what is nearest, what would do, where.

    `step` and `letter` name the step, empty where it concerns none; `nearest` is what comes closest here.
    """

    step: str
    letter: str
    message: str
    nearest: str
    remedy: str
    where: str


@dataclass(frozen=True)
class DoneHere:
    """One thing done on the route: letter, sentence, figures, what of the department does it, and why."""

    letter: str
    sentence: str
    figures: str
    bound: str
    why: str


@dataclass(frozen=True)
class StationHere:
    """What is done at one station before the device moves on."""

    station: str
    done: tuple[DoneHere, ...]


@dataclass(frozen=True)
class InDepartment:
    """How an instruction goes in this department.

    Attributes:
        name: the department; empty where nobody said yet what it has.
        resolved: whether everything that the text asks for can be done here.
        stops: what stops it here, in the order of the work.
        changes: what would remove them, the smallest first.
        remarks: what else there is to know, one sentence each.
        stations: the route, station by station, where there is one.
    """

    name: str = ""
    resolved: bool = False
    stops: tuple[DepartmentStop, ...] = ()
    changes: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    stations: tuple[StationHere, ...] = ()


#: By the digests of text and department; as many as instructions are kept weighed.
_ROUTES: Final = Remembered[tuple[str, str], Route](most=100)
_SHOWN: Final = Remembered[tuple[str, str], InDepartment](most=100)


def route_of(text: Revision, kept: Revision) -> Route:
    """The route of a revision of an instruction in a revision of a department, or why there is none.

    A step that is accepted makes a revision of the same text, which goes the same way.
    """
    return _ROUTES.get(
        (text.digest, kept.digest),
        lambda: resolve(from_revision(text, Instruction), from_revision(kept, Department)),
    )


def in_department(unit: Unit, who: Visitor, shown: OpenInstruction) -> InDepartment:
    """How a revision goes in the department where somebody works; nothing for who may not see what it has."""
    kept = unit.documents.get(departments.KIND, who.department)
    if kept is None or not who.may("department-read"):
        return InDepartment()
    return _SHOWN.get((shown.revision.digest, kept.digest), lambda: _shown(shown, kept))


def _shown(opened: OpenInstruction, kept: Revision) -> InDepartment:
    instruction, route = opened.instruction, route_of(opened.revision, kept)
    return InDepartment(
        name=from_revision(kept, Department).name,
        resolved=route.resolved,
        stops=tuple(stop_shown(one, instruction) for one in route.stops),
        changes=tuple(change.sentence for change in route.changes),
        remarks=tuple(one.message for one in route.findings if one.level is not Level.stop),
        stations=stations_shown(route, instruction) if route.resolved else (),
    )


def stop_shown(finding: Finding, instruction: Instruction) -> DepartmentStop:
    """What stops a step here, with what is nearest."""
    view = finding_views([finding])[0]
    letters = {one.steps[0]: one.letter for one in shown_operations(None, instruction)}
    step = finding.place.step or ""
    return DepartmentStop(
        step=step if step in letters else "",
        letter=letters.get(step, ""),
        message=view.message,
        nearest=next((value for name, value, _ in view.evidence if name == "Nearest"), ""),
        remedy=view.remedy,
        where=view.quotes[0][1] if view.quotes else "",
    )


def stations_shown(route: Route, instruction: Instruction) -> tuple[StationHere, ...]:
    """A route, station by station."""
    return tuple(
        StationHere(
            station_label(group.station),
            tuple(_done(operation, instruction) for operation in group.operations),
        )
        for group in by_station(route.operations)
    )


def _done(operation: Operation, instruction: Instruction) -> DoneHere:
    return DoneHere(
        letter=operation.letter,
        sentence=plain_words(operation, instruction).headline,
        figures=", ".join(figure.text for figure in shown_figures(operation)),
        bound=", ".join(
            f"{one.name}, “{one.program}”" if one.program and one.program != one.name else one.name
            for one in operation.bindings
        ),
        why=operation.why,
    )
