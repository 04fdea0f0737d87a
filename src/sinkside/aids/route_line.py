"""The route line: stations as stops from point of use to storage, drawn alike on poster, report and screen.

Under each stop stand the figures that matter there; what is wrong is marked at the stop where it bites.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.aids.figures import shown_figure
from sinkside.aids.words import position_words
from sinkside.findings import LEVELS, Finding, Level
from sinkside.instruction import Action, Instruction
from sinkside.language import render
from sinkside.plain import Voice, plain_figures
from sinkside.plain.operations import STATION_LABELS, shown_operations, stations_of
from sinkside.plain.voice import left_to_right
from sinkside.plain.wording import position_words as said_position
from sinkside.quantities import FigureQuantity
from sinkside.route import ChosenFigure, Operation, Route, Station

#: Level by mark and word, never by colour alone.
MARKS: Mapping[Level, tuple[str, str]] = {
    Level.stop: ("■", "Stop"),
    Level.concern: ("▲", "Concern"),
    Level.note: ("●", "Note"),
}

_Wanted = tuple[Action | None, FigureQuantity]

#: Which figures matter at a station, by action where that decides: the first row that has any is shown.
_WANTED: Mapping[Station, tuple[tuple[_Wanted, ...], ...]] = {
    Station.theatre: (((None, FigureQuantity.time),),),
    Station.transport: (((Action.start_cleaning, FigureQuantity.time),), ((None, FigureQuantity.time),)),
    Station.sink: (
        ((Action.rinse, FigureQuantity.temperature),),
        ((Action.soak, FigureQuantity.time),),
        ((Action.flush, FigureQuantity.volume),),
        ((None, FigureQuantity.temperature),),
        ((None, FigureQuantity.time),),
    ),
    Station.ultrasonic: (((Action.sonicate, FigureQuantity.time),), ((None, FigureQuantity.time),)),
    Station.washer: (
        ((None, FigureQuantity.lethality),),
        ((Action.disinfect, FigureQuantity.temperature), (Action.disinfect, FigureQuantity.time)),
        ((Action.wash, FigureQuantity.temperature), (Action.wash, FigureQuantity.time)),
        ((None, FigureQuantity.temperature), (None, FigureQuantity.time)),
    ),
    Station.bench: (
        ((Action.blow, FigureQuantity.time),),
        ((Action.dry, FigureQuantity.time),),
        ((Action.inspect, FigureQuantity.counted),),
    ),
    Station.packing: (),
    Station.sterilizer: (
        ((Action.sterilize, FigureQuantity.temperature), (Action.sterilize, FigureQuantity.time)),
    ),
    Station.store: (((Action.cool, FigureQuantity.time),), ((None, FigureQuantity.time),)),
}


@dataclass(frozen=True)
class Stop:
    """One stop of the line: a station, its figures that matter, the letters of its operations, a mark."""

    station: Station
    label: str
    figures: tuple[str, ...] = ()
    letters: tuple[str, ...] = ()
    mark: Level | None = None

    @property
    def figure(self) -> str:
        """The figures on one line."""
        return " · ".join(self.figures)


@dataclass(frozen=True)
class RouteLine:
    """The stops in the order of the work."""

    stops: tuple[Stop, ...]

    @property
    def sentence(self) -> str:
        """The line in words, for those who hear it."""
        return "; ".join(
            f"{stop.label}{': ' + stop.figure if stop.figure else ''}"
            f"{' (' + MARKS[stop.mark][1] + ')' if stop.mark else ''}"
            for stop in self.stops
        )


def route_line(
    instruction: Instruction,
    route: Route | None = None,
    findings: Iterable[Finding] = (),
    *,
    language: str = "en",
    voice: Voice | None = None,
) -> RouteLine:
    """The route line of an instruction, resolved or not.

    A station that is visited twice is one stop, and stops stand in the order in which a device passes,
    whatever the order of the text. The worst finding at a station marks it; a route's own conflicts and
    findings count too.

    A voice says it in its own language, units and names, and refuses what has no translation.

    Raises:
        BadInput: if the language is unknown.
        NotForTheFloor: if a word has no translation in the voice's language.
    """
    teller = _Teller(language, voice)
    operations = shown_operations(route, instruction)
    marks = _marks(operations, instruction, [*findings, *_own_findings(route)])
    reached = {operation.station for operation in operations}
    return RouteLine(
        tuple(
            _stop(
                station,
                [operation for operation in operations if operation.station is station],
                mark=marks.get(station),
                teller=teller,
            )
            for station in Station
            if station in reached
        )
    )


def _own_findings(route: Route | None) -> tuple[Finding, ...]:
    return (*route.conflicts, *route.findings) if route else ()


@dataclass(frozen=True)
class _Teller:
    """Says stops: in a reader's voice, or by the catalogue of a language."""

    language: str
    voice: Voice | None

    def say(self, english: str) -> str:
        return self.voice.say(english) if self.voice else render(english, {}, self.language)

    def station(self, station: Station) -> str:
        return self.say(STATION_LABELS[station])

    def figure(self, chosen: ChosenFigure) -> str:
        if self.voice is None:
            return shown_figure(chosen, self.language).text
        figure = plain_figures([chosen], self.voice)[0]
        return left_to_right(figure.text) if self.voice.habits.direction == "rtl" else figure.short

    def positions(self, held: Mapping[str, str]) -> tuple[str, ...]:
        if self.voice is None:
            return position_words(held, self.language)
        return tuple(said_position(*one, self.voice) for one in sorted(held.items()))


def _stop(station: Station, operations: list[Operation], *, mark: Level | None, teller: _Teller) -> Stop:
    figures = _figures(station, operations, teller) or _words(station, operations, teller)
    return Stop(
        station=station,
        label=teller.station(station),
        figures=figures,
        letters=tuple(operation.letter for operation in operations),
        mark=mark,
    )


def _figures(station: Station, operations: list[Operation], teller: _Teller) -> tuple[str, ...]:
    """The figures that matter at a station: one row of those wanted."""
    for row in _WANTED[station]:
        texts = [_first(operations, action, quantity, teller) for action, quantity in row]
        if any(texts):
            return tuple(text for text in texts if text)
    return ()


def _first(
    operations: list[Operation], action: Action | None, quantity: FigureQuantity, teller: _Teller
) -> str:
    texts = (
        _first_of(operation, quantity, teller)
        for operation in operations
        if action in {None, operation.action}
    )
    return next((text for text in texts if text), "")


def _first_of(operation: Operation, quantity: FigureQuantity, teller: _Teller) -> str:
    """The first figure of a quantity that an operation has; a drying time is not the exposure."""
    is_exposure = operation.action is Action.sterilize
    chosen = [
        figure
        for figure in operation.figures
        if figure.required.quantity is quantity and not (is_exposure and figure.required.role == "drying")
    ]
    if not chosen:
        return ""
    return teller.figure(chosen[0])


def _words(station: Station, operations: list[Operation], teller: _Teller) -> tuple[str, ...]:
    """What a stop says without a figure: the position that must be held, or how soon to begin."""
    if station is Station.theatre:
        # No stated time means that the soil clock runs from the first minute.
        return (teller.say("start now"),)
    if station is Station.packing:
        held = {name: place for operation in operations for name, place in operation.positions.items()}
        return teller.positions(held)[:1]
    return ()


def _marks(
    operations: Iterable[Operation], instruction: Instruction, findings: Iterable[Finding]
) -> dict[Station, Level]:
    """The worst level at each station; a finding without a place marks none."""
    stations = stations_of(instruction.steps)
    stations.update({step: operation.station for operation in operations for step in operation.steps})
    marks: dict[Station, Level] = {}
    for finding in findings:
        station = stations.get(finding.place.step or "")
        if station is not None:
            marks[station] = min(finding.level, marks.get(station, finding.level), key=LEVELS.index)
    return marks
