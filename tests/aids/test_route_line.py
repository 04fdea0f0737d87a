"""The route line: stations in order, the figure that matters, the mark where it bites."""

from __future__ import annotations

from sinkside.aids.route_line import route_line
from sinkside.findings import Finding, Level, Place
from sinkside.instruction import Instruction
from sinkside.route import Route, Station


def test_stops_follow_the_work_with_their_figures(forceps: Instruction, route: Route) -> None:
    """Nine stations from point of use to store, each with the figure that a person looks for."""
    line = route_line(forceps, route)
    shown = {stop.label: stop.figure.replace("\u00a0", " ") for stop in line.stops}
    assert shown == {
        "Point of use": "≤ 10 min",
        "Transport": "≤ 2 h",
        "Sink": "30 °C",
        "Ultrasonic": "10 min",
        "Washer": "A0 ≥ 3,000",
        "Bench": "≥ 30 s",
        "Pack": "jaw open",
        "Sterilizer": "134 °C · 3 min",
        "Store": "",
    }
    assert [stop.letters for stop in line.stops][2] == ("C", "D", "E", "F")


def test_worst_finding_marks_the_stop(
    forceps: Instruction, route: Route, stop_finding: Finding, concern_finding: Finding
) -> None:
    """A stop at the sterilizer and a concern at the sink mark those two; a note beside one adds nothing."""
    note = concern_finding.model_copy(update={"level": Level.note})
    line = route_line(forceps, route, [concern_finding, note, stop_finding])
    marks = {stop.station: stop.mark for stop in line.stops if stop.mark}
    assert marks == {Station.sink: Level.concern, Station.sterilizer: Level.stop}
    assert "Sterilizer: 134\u00a0°C · 3\u00a0min (Stop)" in line.sentence


def test_finding_without_a_place_marks_no_stop(forceps: Instruction, stop_finding: Finding) -> None:
    """What concerns the whole text is not pinned on a station by guess."""
    nowhere = stop_finding.model_copy(update={"place": Place()})
    assert not [stop for stop in route_line(forceps, None, [nowhere]).stops if stop.mark]


def test_unresolved_text_has_a_line_too(forceps: Instruction) -> None:
    """Without a route the stations come from the steps' stages and actions."""
    line = route_line(forceps)
    assert [stop.station for stop in line.stops] == list(Station)


def test_no_stated_time_means_start_now(forceps: Instruction) -> None:
    """A text that gives no time after use gets the strictest reading at the point of use."""
    silent = tuple(step.model_copy(update={"figures": ()}) for step in forceps.steps)
    line = route_line(forceps.model_copy(update={"steps": silent}))
    assert line.stops[0].figure == "start now"


def test_drying_time_is_not_shown_as_exposure(forceps: Instruction, route: Route) -> None:
    """With drying named first, the exposure time is still what stands under the sterilizer."""
    operations = tuple(
        one.model_copy(update={"figures": tuple(reversed(one.figures))}) for one in route.operations
    )
    line = route_line(forceps, route.model_copy(update={"operations": operations}))
    assert "3\u00a0min" in next(stop for stop in line.stops if stop.station is Station.sterilizer).figures


def test_stops_keep_the_order_of_the_work(forceps: Instruction) -> None:
    """A text that tells of sterilization first still gets a line from point of use to store."""
    turned = forceps.model_copy(update={"steps": tuple(reversed(forceps.steps))})
    assert [stop.station for stop in route_line(turned).stops] == list(Station)
