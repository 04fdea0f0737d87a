"""Invented devices and departments for the tests of paper and reports."""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np
import pytest

from sinkside.cycles import (
    Channel,
    ChannelKind,
    Criterion,
    MeasuredValue,
    PhaseSpan,
    RecorderFacts,
    Role,
    Trace,
    Verdict,
)
from sinkside.department import Program
from sinkside.findings import Cited, Finding, Level, Measure, Place
from sinkside.instruction import (
    Action,
    AirRemoval,
    Device,
    Feature,
    FeatureKind,
    Instruction,
    MakerDocument,
    Origin,
    Stage,
    Step,
)
from sinkside.quantities import Figure, Quantity
from sinkside.route import Binding, ChosenFigure, Operation, ResourceKind, Route, RoutedDevice, Station

DIGEST = "5f1c0de7a4b29e63"


def no_less(number: float, *, unit: str = "min", role: str | None = None) -> Figure:
    return Figure(quantity="time", min=number, unit=unit, role=role)


FEATURES = (
    Feature(id="port", kind=FeatureKind.port, name="flush port"),
    Feature(id="lumen", kind=FeatureKind.lumen, name="lumen"),
    Feature(id="jaw", kind=FeatureKind.jaw, name="jaw"),
    Feature(id="hinge", kind=FeatureKind.joint, name="hinge"),
    Feature(id="ratchet", kind=FeatureKind.ratchet, name="ratchet"),
)


def _steps() -> tuple[Step, ...]:
    rows: list[tuple[Stage, Action, dict[str, object]]] = [
        (Stage.point_of_use, Action.wipe, {"with_": "wet lint-free cloth", "figures": (
            Figure(quantity="time", max=10, unit="min", role="time-since-use"),)}),
        (Stage.transport, Action.start_cleaning, {"figures": (
            Figure(quantity="time", max=2, unit="h", role="time-since-use"),)}),
        (Stage.preparation, Action.set_position, {"positions": {"jaw": "open", "ratchet": "released"}}),
        (Stage.cleaning, Action.rinse, {"with_": "running water", "figures": (
            Figure(quantity="temperature", max=35, unit="°C"), no_less(1)),
            "cautions": ("hotter water makes blood stick",)}),
        (Stage.cleaning, Action.soak, {"with_": "neutral detergent", "figures": (no_less(10),)}),
        (Stage.cleaning, Action.flush, {"on": ("port",), "positions": {"jaw": "open"}, "figures": (
            Figure(quantity="count", value=3, unit="1", role="repeats"),
            Figure(quantity="volume", value=20, unit="mL"),
            Figure(quantity="volume", value=60, unit="mL", role="total")), "until": "the water is clear"}),
        (Stage.cleaning, Action.sonicate, {"positions": {"jaw": "open"}, "figures": (
            Figure(quantity="time", value=10, unit="min"),
            Figure(quantity="frequency", min=38, max=42, unit="kHz"))}),
        (Stage.cleaning, Action.connect, {"on": ("port",), "cautions": ("not connected: do not start",)}),
        (Stage.cleaning, Action.wash, {"figures": (
            Figure(quantity="temperature", min=55, unit="°C"), no_less(5))}),
        (Stage.disinfection, Action.disinfect, {"figures": (
            Figure(quantity="lethality", min=3000, unit="s", as_written="A0 3000"),)}),
        (Stage.drying, Action.blow, {"on": ("lumen",), "figures": (
            no_less(30, unit="s"), Figure(quantity="pressure", max=2, unit="bar", reference="gauge"))}),
        (Stage.inspection, Action.inspect, {"on": ("hinge", "jaw"), "figures": (
            Figure(quantity="count", min=8, unit="1", role="magnification"),),
            "cautions": ("bent, cracked, stiff: set aside",)}),
        (Stage.maintenance, Action.lubricate, {"on": ("hinge",), "figures": (
            Figure(quantity="count", value=1, unit="1", role="drops"),)}),
        (Stage.packaging, Action.pack, {"positions": {"jaw": "open", "ratchet": "released"}}),
        (Stage.sterilization, Action.sterilize, {"air_removal": AirRemoval.prevacuum, "figures": (
            Figure(quantity="temperature", value=134, unit="°C"),
            Figure(quantity="time", value=3, unit="min", role="exposure"), no_less(20, role="drying"))}),
        (Stage.storage, Action.store, {"until": "cool and dry"}),
    ]  # fmt: skip
    return tuple(
        Step.model_validate({
            "id": f"s{n}", "stage": stage, "action": action,
            "origin": Origin(page=1 + n // 6, line=n, text=f"Line {n} of the text."), **given,
        })
        for n, (stage, action, given) in enumerate(rows, 1)
    )  # fmt: skip


def make_forceps() -> Instruction:
    """A lumened, jointed forceps of an invented maker."""
    return Instruction(
        device=Device(
            name="Tern 2.7 mm sinus forceps",
            maker="Fennel & Wray Instruments",
            document=MakerDocument(title="TF-27 processing", revision="4"),
            features=FEATURES,
        ),
        steps=_steps(),
    )


_STATIONS = [
    *["theatre", "transport", *["sink"] * 4, "ultrasonic", *["washer"] * 3, *["bench"] * 3],
    *["packing", "sterilizer", "store"],
]
_BOUND: dict[str, tuple[Binding, ...]] = {
    "s5": (
        Binding(kind=ResourceKind.chemical, id="c1", name="Mildwash N"),
        Binding(kind=ResourceKind.water, id="w1", name="sink 2"),
    ),
    "s9": (Binding(kind=ResourceKind.program, id="wd1", name="Washer 1", program="Instruments 2"),),
    "s10": (Binding(kind=ResourceKind.program, id="wd1", name="Washer 1", program="Instruments 2"),),
    "s15": (Binding(kind=ResourceKind.program, id="st1", name="Sterilizer 1", program="134 °C, 3 min"),),
}
_USED = {"s9": Quantity(60.0, "°C"), "s4": Quantity(30.0, "°C")}


def make_route() -> Route:
    """The forceps in an invented department."""
    text = make_forceps()
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    operations = tuple(
        Operation(
            letter=letter,
            stage=step.stage,
            station=Station(station),
            steps=(step.id,),
            action=step.action,
            on=step.on,
            bindings=_BOUND.get(step.id, ()),
            figures=tuple(
                ChosenFigure(required=figure, use=_USED.get(step.id) if n == 0 else None)
                for n, figure in enumerate(step.figures)
            ),
            positions=step.positions,
            until=step.until,
            cautions=step.cautions,
            origin=step.origin,
        )
        for letter, step, station in zip(letters, text.steps, _STATIONS, strict=False)
    )
    device = RoutedDevice(
        name=text.device.name, maker=text.device.maker, title="TF-27 processing", revision="4", digest=DIGEST
    )
    return Route(
        device=device, department="Sable Bay Hospital, lower floor", resolved=True, operations=operations
    )


@pytest.fixture
def stop_finding() -> Finding:
    """A stop at the sterilizer."""
    return Finding(
        rule="steam-temperature-implausible",
        level=Level.stop,
        message="No recognised steam cycle runs at 143 °C.",
        place=Place(step="s15", page=5, line=14, text="Temperature 143 °C, holding time 3 minutes"),
        evidence={
            "saturation_pressure": Measure(value=3.93, unit="bar"),
            "nearest": Measure(value=134, unit="°C"),
        },
        source=Cited(key="x", title="A steam standard", clause="4.2", how_read="second-hand"),
        remedy="Ask the maker which temperature is meant.",
    )


@pytest.fixture
def concern_finding() -> Finding:
    """A concern at the sink."""
    return Finding(
        rule="flush-short-of-volume",
        level=Level.concern,
        message="Three flushes of 20 mL exchange the lumen 12 times.",
        place=Place(step="s6", page=2, line=6, text="Flush the port 3 times with 20 mL"),
        evidence={"exchanges": Measure(value=12.4, unit="1"), "lumen_volume": Measure(value=4.8, unit="mL")},
    )


@pytest.fixture
def forceps() -> Instruction:
    """A lumened, jointed forceps of an invented maker."""
    return make_forceps()


@pytest.fixture
def route() -> Route:
    """The forceps in an invented department."""
    return make_route()


_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_CAUTIONS = (
    "never lift it by the tip",
    "gloves and visor on; the solution is spent after one use and goes down the drain at once",
)


def make_long_route(count: int, seed: int) -> Route:
    """A route of many operations in the order of the work, some with much to say."""
    draw = random.Random(seed)  # noqa: S311 # nothing here is secret
    base = make_route()
    chosen = sorted(draw.choices(range(len(base.operations)), k=count))
    letters = [*_LETTERS, *(a + b for a in _LETTERS for b in _LETTERS)]
    operations = []
    for letter, index in zip(letters, chosen, strict=False):
        operation = base.operations[index]
        said = tuple(draw.sample(_CAUTIONS, draw.choice((0, 0, 1, 2))))
        operations.append(
            operation.model_copy(update={"letter": letter, "cautions": (*operation.cautions, *said)})
        )
    return base.model_copy(update={"operations": tuple(operations)})


@pytest.fixture
def long_route() -> Callable[[int, int], Route]:
    """A maker of routes with many operations, by their count and a seed."""
    return make_long_route


@pytest.fixture
def program() -> Program:
    """An invented program of an invented sterilizer."""
    return Program.model_validate(
        {
            "kind": "steam-prevacuum",
            "name": "134 °C, 3 min",
            "exposure": {"temperature": "134 °C", "time": "3 min"},
            "air_removal": {"pulses": 3, "vacuum": "12 kPa"},
            "drying": {"time": "20 min"},
        }
    )


@pytest.fixture
def trace() -> Trace:
    """A made-up record: three falls, heating, exposure, drying; one sample a second."""
    times = np.arange(0.0, 2000.0)
    marks = [0, 90, 180, 270, 360, 450, 540, 700, 890, 960, 1900, 1999]
    kelvin = np.interp(times, marks, [40, 45, 100, 45, 100, 45, 100, 134.6, 134.6, 90, 70, 60])
    pascal = np.interp(times, marks, [101, 8, 101, 8, 101, 8, 101, 310, 310, 9, 9, 101]) * 1000
    return Trace(
        "sterilizer 1, load 7.csv",
        times,
        (
            Channel("Chamber (°C)", ChannelKind.temperature, Role.chamber, "°C", kelvin),
            Channel("Drain (°C)", ChannelKind.temperature, Role.chamber, "°C", kelvin - 0.2),
            Channel("Pressure (mbar)", ChannelKind.pressure, Role.chamber, "mbar", pascal),
        ),
    )


@pytest.fixture
def verdict(trace: Trace, concern_finding: Finding) -> Verdict:
    """What the judge might say of the record."""
    return Verdict(
        trace=trace.name,
        program="134 °C, 3 min",
        profile="eu",
        verdict="fails",
        evidence={"air_removal": "met", "exposure": "met", "drying": "missed"},
        summary="Exposure met, drying missed: hold, look for moisture, a person decides.",
        recorder=RecorderFacts(probes=2, interval_s=1.0, inferred=("pressure absolute: agrees with steam",)),
        phases=(
            PhaseSpan(name="air-removal", start_s=0, end_s=540),
            PhaseSpan(name="heating", start_s=540, end_s=700),
            PhaseSpan(name="exposure", start_s=700, end_s=890),
            PhaseSpan(name="drying", start_s=960, end_s=1900),
        ),
        criteria=(
            Criterion(id="exposure-time", required=180, measured=190, unit="s", margin=10, met=True),
            Criterion(id="drying-time", required=1200, measured=1199.96, unit="s", margin=-0.04, met=False),
            Criterion(id="probe-spread", required=2, unit="K"),
        ),
        values={"f0": MeasuredValue(value=62.34, low=55.5, high=69.9, unit="min", reference_c=121.1, z_k=10)},
        findings=(concern_finding.model_copy(update={"message": "Drying ended early."}),),
    )
