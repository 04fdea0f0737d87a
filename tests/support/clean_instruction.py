"""Right instructions, made at random: every figure drawn from where it may lie, every word in its place."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from sinkside.instruction import (
    Action,
    Device,
    DeviceLimit,
    Feature,
    FeatureKind,
    Instruction,
    Origin,
    Part,
    Stage,
    Statement,
    StatementKind,
    Step,
)
from sinkside.quantities import Figure, FigureQuantity, Quantity

#: Steam that is recognised, with the shortest exposure in minutes that anybody publishes for it.
CYCLES = ((121.0, 20.0), (134.0, 3.0), (134.0, 5.0), (132.0, 4.0), (134.0, 18.0))

#: Hot water and the seconds that reach an A0 of 3000 in it.
HOT_WATER = ((90.0, 300.0), (93.0, 300.0), (95.0, 180.0))


def figure(quantity: FigureQuantity | str, value: float, unit: str, **more: Any) -> Figure:
    """One plain figure."""
    return Figure(quantity=FigureQuantity(quantity), value=value, unit=unit, **more)


def at_most(quantity: FigureQuantity | str, value: float, unit: str, **more: Any) -> Figure:
    """One upper bound."""
    return Figure(quantity=FigureQuantity(quantity), max=value, unit=unit, **more)


def step(step_id: str, stage: str, action: str, words: str, *figures: Figure, **more: Any) -> Step:
    """One step with its words; its line is set when the instruction is put together."""
    origin = Origin(text=words)
    return Step(id=step_id, stage=Stage(stage), action=Action(action), figures=figures, origin=origin, **more)


def stated(kind: str, words: str, *figures: Figure) -> Statement:
    """One sentence that asks for no step."""
    return Statement(kind=StatementKind(kind), figures=figures, origin=Origin(text=words))


def numbered(instruction: Instruction) -> Instruction:
    """The instruction with one line for each step and sentence."""
    steps = tuple(_on_line(one, line) for line, one in enumerate(instruction.steps, start=1))
    below = len(steps) + 1
    statements = tuple(_on_line(one, line) for line, one in enumerate(instruction.statements, start=below))
    return instruction.model_copy(update={"steps": steps, "statements": statements})


@st.composite
def clean_instructions(draw: st.DrawFn) -> Instruction:
    """A right text for a two-part forceps with a lumen, a ratchet and a port."""
    bore = draw(st.sampled_from([1.5, 2.4, 4.0]))
    length = draw(st.sampled_from([90.0, 180.0, 300.0]))
    return numbered(
        Instruction(
            device=_device(bore, length),
            steps=(
                *_before_cleaning(draw),
                *_by_hand(draw, bore=bore, length=length),
                *_by_machine(draw),
                *_after_cleaning(draw),
            ),
            statements=_sentences(draw),
        )
    )


def _device(bore: float, length: float) -> Device:
    said = Origin(line=90, text=f"Shaft with a lumen of {bore:g} mm and {length:g} mm, a port and a hinge.")
    features = (
        Feature(
            id="lumen-1",
            kind=FeatureKind.lumen,
            name="lumen",
            part="S",
            bore=Quantity(bore, "mm"),
            length=Quantity(length, "mm"),
            brushable=True,
            origin=said,
        ),
        Feature(id="joint-1", kind=FeatureKind.joint, name="hinge", part="H", origin=said),
        Feature(id="ratchet-1", kind=FeatureKind.ratchet, name="ratchet", part="H", origin=said),
        Feature(id="port-1", kind=FeatureKind.port, name="port", part="S", origin=said),
    )
    limits = (
        DeviceLimit(
            quantity=FigureQuantity.pressure,
            max=3.0,
            unit="bar",
            limits="pressure",
            origin=Origin(line=91, text="The port withstands 3 bar at most."),
        ),
    )
    parts = (Part(id="H", name="handle"), Part(id="S", name="shaft"))
    return Device(name="Forceps", parts=parts, features=features, limits=limits)


def _before_cleaning(draw: st.DrawFn) -> tuple[Step, ...]:
    delay = draw(st.sampled_from([0.5, 1.0, 2.0, 4.0]))
    within = at_most("time", delay, "h", role="time-since-use", as_written=f"{delay:g} h")
    return (
        step("wipe", "point-of-use", "wipe", "Wipe the outside with a damp cloth.", on=("H", "S")),
        step(
            "carry", "transport", "transport", f"Carry it in a closed box; begin within {delay:g} h.", within
        ),
        step("apart", "preparation", "take-apart", "Unscrew the shaft from the handle.", on=("S", "H")),
    )


def _by_hand(draw: st.DrawFn, *, bore: float, length: float) -> tuple[Step, ...]:
    dose = draw(st.sampled_from([0.2, 0.5, 1.0]))
    warm = draw(st.sampled_from([25.0, 35.0, 40.0]))
    soak = draw(st.sampled_from([5.0, 10.0, 15.0]))
    count, each = draw(st.sampled_from([2, 3, 5])), draw(st.sampled_from([20.0, 30.0, 50.0]))
    brush = (
        figure("length", round(1.1 * bore, 2), "mm", role="brush-diameter"),
        figure("length", length + 60.0, "mm", role="brush-length"),
    )
    doses = (
        figure("percent", dose, "%", role="dose"),
        figure("concentration", 10 * dose, "mL/L", role="dose"),
    )
    return (
        step(
            "first-rinse",
            "cleaning",
            "rinse",
            "Rinse under cold drinking water for 1 min.",
            figure("time", 1.0, "min"),
            on=("H", "S"),
        ),
        step(
            "solution",
            "cleaning",
            "prepare-solution",
            f"Mix an enzymatic cleaner at {dose:g} % ({10 * dose:g} mL/L) and {warm:g} °C.",
            *doses,
            figure("temperature", warm, "°C"),
        ),
        step(
            "soak",
            "cleaning",
            "soak",
            f"Soak both parts in the solution for {soak:g} min.",
            figure("time", soak, "min"),
            on=("H", "S"),
        ),
        step("move", "cleaning", "actuate", "Open and close the hinge ten times in the solution."),
        step("brush", "cleaning", "brush", "Brush the lumen through.", *brush, on=("lumen-1",)),
        step(
            "flush",
            "cleaning",
            "flush",
            f"Flush the lumen with {count} x {each:g} mL = {count * each:g} mL of demineralised water.",
            figure("count", float(count), "1", role="repeats"),
            figure("volume", each, "mL"),
            figure("volume", count * each, "mL", role="total"),
            on=("lumen-1",),
        ),
    )


def _by_machine(draw: st.DrawFn) -> tuple[Step, ...]:
    wash, ph = draw(st.sampled_from([45.0, 55.0, 65.0])), draw(st.sampled_from([7.5, 9.0, 10.5]))
    hot, seconds = draw(st.sampled_from(HOT_WATER))
    air = draw(st.sampled_from([80.0, 100.0, 115.0]))
    return (
        step(
            "connect",
            "cleaning",
            "connect",
            "Connect the port to the injector rail.",
            positions={"port": "connected"},
        ),
        step(
            "wash",
            "cleaning",
            "wash",
            f"Wash in the machine at {wash:g} °C for 8 min with a cleaner of pH {ph:g}.",
            figure("temperature", wash, "°C"),
            figure("time", 8.0, "min"),
            figure("ph", ph, "pH"),
        ),
        step(
            "last-rinse",
            "cleaning",
            "rinse",
            "Rinse with demineralised water for 1 min.",
            figure("time", 1, "min"),
        ),
        step(
            "disinfect",
            "disinfection",
            "disinfect",
            f"Disinfect at {hot:g} °C for {seconds / 60:g} min (A0 = 3000).",
            figure("temperature", hot, "°C"),
            figure("time", seconds / 60, "min", role="exposure"),
            figure("lethality", 3000.0, "s"),
        ),
        step(
            "dry",
            "drying",
            "dry",
            f"Dry with hot air of {air:g} °C for 20 min.",
            figure("temperature", air, "°C"),
            figure("time", 20.0, "min", role="drying"),
        ),
        step(
            "blow",
            "drying",
            "blow",
            "Blow medical air of at most 2 bar through the lumen for 30 s.",
            at_most("pressure", 2.0, "bar"),
            figure("time", 30.0, "s", role="drying"),
            on=("lumen-1",),
            positions={"port": "open"},
        ),
    )


def _after_cleaning(draw: st.DrawFn) -> tuple[Step, ...]:
    temperature, minutes = draw(st.sampled_from(CYCLES))
    months = draw(st.sampled_from([3.0, 6.0, 12.0]))
    open_jaw = {"ratchet": "released", "jaw": "open"}
    return (
        step(
            "look",
            "inspection",
            "inspect",
            "Look at the hinge under a lamp with a lens of 8 times.",
            figure("count", 8, "1", role="magnification"),
        ),
        step("oil", "maintenance", "lubricate", "Put one drop of steam-permeable oil on the hinge."),
        step("together", "inspection", "put-together", "Screw the shaft on for the function test."),
        step("test", "inspection", "test", "The jaw must close evenly and the ratchet must hold."),
        step("apart-again", "inspection", "take-apart", "Take it apart again.", on=("S", "H")),
        step(
            "pack",
            "packaging",
            "pack",
            "Pack both parts in a double pouch, ratchet released.",
            positions=open_jaw,
        ),
        step(
            "steam",
            "sterilization",
            "sterilize",
            f"Steam with fractionated vacuum: {temperature:g} °C, {minutes:g} min.",
            figure("temperature", temperature, "°C"),
            figure("time", minutes, "min", role="exposure"),
            air_removal="prevacuum",
        ),
        step(
            "steam-dry",
            "sterilization",
            "dry",
            "Dry in the chamber for 20 min.",
            figure("time", 20.0, "min", role="drying"),
        ),
        step(
            "store",
            "storage",
            "store",
            f"Store for up to {months:g} months.",
            at_most("time", months, "month"),
        ),
    )


def _sentences(draw: st.DrawFn) -> tuple[Statement, ...]:
    cycles = draw(st.sampled_from([50.0, 200.0, 500.0]))
    return (
        stated("limit", "Nothing on it may get hotter than 140 °C.", at_most("temperature", 140.0, "°C")),
        stated(
            "limit",
            "Cleaners have a pH between 6 and 11.",
            Figure(quantity=FigureQuantity.ph, min=6.0, max=11.0, unit="pH"),
        ),
        stated("prohibition", "Never immerse for longer than 20 min.", at_most("time", 20.0, "min")),
        stated(
            "life",
            f"Withdraw after {cycles:g} cycles; each is recorded on the card.",
            figure("count", cycles, "1", role="life", as_written=f"{cycles:g} cycles"),
        ),
    )


def _on_line(one: Any, line: int) -> Any:
    return one.model_copy(update={"origin": one.origin.model_copy(update={"line": line})})
