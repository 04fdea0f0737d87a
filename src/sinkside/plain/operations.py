"""What a paper lists: the route's operations, or, where there is no route, the steps as the text has them."""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.instruction import Action, Instruction, Stage, Step
from sinkside.language import render
from sinkside.plain.placing import placed
from sinkside.route import ChosenFigure, Operation, Route, Station

#: I and O are left out, because on a wall they read as 1 and 0.
_LETTERS = tuple(letter for letter in string.ascii_uppercase if letter not in "IO")

_STATIONS: Mapping[Stage, Station] = {
    Stage.point_of_use: Station.theatre,
    Stage.transport: Station.transport,
    Stage.preparation: Station.sink,
    Stage.cleaning: Station.sink,
    Stage.disinfection: Station.washer,
    Stage.drying: Station.bench,
    Stage.inspection: Station.bench,
    Stage.maintenance: Station.bench,
    Stage.packaging: Station.packing,
    Stage.sterilization: Station.sterilizer,
    Stage.storage: Station.store,
}

_STATIONS_OF_ACTIONS: Mapping[Action, Station] = {
    Action.sonicate: Station.ultrasonic,
    Action.pre_rinse: Station.washer,
    Action.wash: Station.washer,
    Action.disinfect: Station.washer,
}

_IN_A_SOLUTION = frozenset({Action.soak, Action.sonicate, Action.brush, Action.wipe})

_MACHINE_GOES_ON = frozenset({Action.rinse, Action.disinfect, Action.dry, Action.other})
_MACHINE_STAGES = frozenset({Stage.cleaning, Stage.disinfection, Stage.drying})

#: Where work is done, as people call it.
STATION_LABELS: Mapping[Station, str] = {
    Station.theatre: "Point of use",
    Station.transport: "Transport",
    Station.sink: "Sink",
    Station.ultrasonic: "Ultrasonic",
    Station.washer: "Washer",
    Station.bench: "Bench",
    Station.packing: "Pack",
    Station.sterilizer: "Sterilizer",
    Station.store: "Store",
}


@dataclass(frozen=True)
class Row:
    """An operation, and what else the same sentence asks for without figures of its own."""

    operation: Operation
    attached: tuple[Operation, ...] = ()


@dataclass(frozen=True)
class StationGroup:
    """Operations that follow each other at one station."""

    station: Station
    operations: tuple[Operation, ...]


def shown_operations(route: Route | None, instruction: Instruction) -> tuple[Operation, ...]:
    """The operations of a route; without one, the steps of the text, bound to nothing."""
    if route is not None and route.operations:
        return placed(route.operations)
    stations = stations_of(instruction.steps)
    return placed(
        _unbound(letter, step, stations[step.id])
        for letter, step in zip(_letters(), instruction.steps, strict=False)
    )


def by_station(operations: Iterable[Operation]) -> tuple[StationGroup, ...]:
    """Operations in their order, in groups at one station."""
    return tuple(
        StationGroup(station, tuple(group))
        for station, group in itertools.groupby(operations, key=lambda operation: operation.station)
    )


def rows_of(operations: Iterable[Operation]) -> tuple[Row, ...]:
    """Operations in their order, those that only complete the one before attached to it."""
    rows: list[Row] = []
    for operation in operations:
        if rows and _mixes(operation, rows[-1]):
            rows[-1] = _with_its_solution(rows[-1].operation, operation)
        elif rows and _completes(operation, rows[-1]):
            rows[-1] = Row(rows[-1].operation, (*rows[-1].attached, operation))
        else:
            rows.append(Row(operation))
    return tuple(rows)


def _mixes(operation: Operation, row: Row) -> bool:
    """Whether an operation mixes what the row before it soaks in: "Immerse in 5 mL/L for 10 minutes"."""
    last = row.operation
    return (
        operation.action is Action.prepare_solution
        and last.action in _IN_A_SOLUTION
        and not row.attached
        and bool(operation.origin.text)
        and operation.origin == last.origin
        and operation.station is last.station
    )


def _with_its_solution(bath: Operation, mixed: Operation) -> Row:
    """A bath with all figures of its sentence, so that none of them stands with the mixing alone."""
    return Row(
        bath.model_copy(update={"figures": (*bath.figures, *mixed.figures)}),
        (mixed.model_copy(update={"figures": ()}),),
    )


def _completes(operation: Operation, row: Row) -> bool:
    """Whether an operation comes from a row's own sentence, or is a check said on the same line."""
    if operation.figures or operation.station is not row.operation.station:
        return False
    of_row = (row.operation, *row.attached)
    if any(operation.steps == one.steps for one in of_row) or operation.station is Station.washer:
        return False
    origin, last = operation.origin, of_row[-1].origin
    if not origin.text or (origin.page, origin.line) != (last.page, last.line):
        return False
    return origin.text == last.text or is_only_said(operation)


def is_only_said(operation: Operation) -> bool:
    """Whether an operation has no structure beyond the maker's sentence."""
    if operation.action is Action.actuate:
        return not operation.on and not operation.figures
    return operation.action in {Action.other, Action.count_use}


def station_label(station: Station, language: str = "en") -> str:
    """What people call a station.

    >>> station_label(Station.theatre)
    'Point of use'
    """
    return render(STATION_LABELS[station], {}, language)


def stations_of(steps: Iterable[Step]) -> dict[str, Station]:
    """Where each step is done, as far as stage, action and the step before tell.

    A rinse that follows a machine's wash is the machine's own, and so is what comes until a person acts.
    """
    stations: dict[str, Station] = {}
    before = None
    for step in steps:
        station = _STATIONS_OF_ACTIONS.get(step.action, _STATIONS[step.stage])
        if before is Station.washer and step.action in _MACHINE_GOES_ON and step.stage in _MACHINE_STAGES:
            station = Station.washer
        stations[step.id] = before = station
    return stations


def _letters() -> Iterable[str]:
    """A to Z, then AA, AB, and on."""
    for length in itertools.count(1):
        yield from ("".join(letters) for letters in itertools.product(_LETTERS, repeat=length))


def _unbound(letter: str, step: Step, station: Station) -> Operation:
    return Operation(
        letter=letter,
        stage=step.stage,
        station=station,
        steps=(step.id,),
        action=step.action,
        on=step.on,
        figures=tuple(ChosenFigure(required=figure) for figure in step.figures),
        positions=step.positions,
        until=step.until,
        condition=step.condition,
        cautions=step.cautions,
        origin=step.origin,
    )
