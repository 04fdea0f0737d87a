"""Instructions of every sort to ask about: the demo's, and random ones with odd figures; all invented."""

from __future__ import annotations

import functools
import random
from importlib import resources
from pathlib import Path

from sinkside import documents
from sinkside.draft import draft
from sinkside.instruction import (
    POSITIONS,
    Action,
    AirRemoval,
    Device,
    Instruction,
    Origin,
    PartUse,
    Stage,
    Statement,
    StatementKind,
    Step,
)
from sinkside.quantities import Figure, FigureQuantity
from support.drawn_devices import DEVICES

DEMO = Path(str(resources.files("sinkside.demo")))

#: Quantities with units and the numbers that a text could have; and the roles they could play.
_FIGURES: dict[str, tuple[tuple[str, ...], tuple[float, ...], tuple[str | None, ...]]] = {
    "time": (
        ("s", "min", "h"),
        (1, 2, 5, 10, 30, 60, 90),
        (None, None, "exposure", "drying", "time-since-use"),
    ),
    "temperature": (("°C", "°F"), (20, 35, 40, 55, 90, 132, 134), (None,)),
    "volume": (("mL", "L"), (1, 20, 50, 60, 100), (None, "total")),
    "pressure": (("bar", "kPa", "psi"), (1, 2, 3.5, 20), (None,)),
    "concentration": (("mL/L",), (2, 5, 10), ("dose",)),
    "percent": (("%",), (0.2, 0.5, 1, 5, 50), ("dose", None)),
    "count": (("1",), (1, 2, 3, 5, 10), ("repeats", "strokes", "drops", "actuations", "magnification")),
    "frequency": (("kHz",), (35, 40, 45), (None,)),
    "ph": (("pH",), (7, 8, 10.5, 11), (None,)),
    "lethality": (("s",), (600, 3000), (None,)),
    "mass": (("kg", "g"), (5, 8, 10), ("set-mass",)),
    "length": (("mm", "cm"), (2.4, 3.5, 10, 40), ("brush-diameter", "brush-length")),
}
_WITH = (None, "tap water", "demineralised water", "neutral cleaner", "medical air")
_UNTIL = (
    None,
    None,
    None,
    "the water runs clear",
    "no soil is seen",
    "it is dry",
    "the brush comes out clean",
)
_CAUTIONS = (
    "Nothing may lie on the tips.",
    "Keep the parts together.",
    "No oil on the sleeve.",
    "Wear a visor.",
)
_CONDITIONS = (
    None,
    None,
    None,
    None,
    "if soil is seen, repeat from the first rinse",
    "if it is stiff, oil it",
)
_NEVER = ("Do not use metal brushes.", "Never lay it in saline.", "Ultrasound is not allowed.")


@functools.cache
def demo_texts() -> dict[str, Instruction]:
    """Every instruction of the demo: documents drafted, and what the department had on file."""
    texts = {
        path.stem: draft(path)
        for path in sorted((DEMO / "documents").iterdir())
        if path.suffix in {".txt", ".pdf"}
    }
    on_file = sorted((DEMO / "data" / "instructions").glob("*.yaml"))
    return texts | {path.stem: documents.load(Instruction, path) for path in on_file}


def random_text(seed: int) -> Instruction:
    """A text that fits the format and little else; the same for the same seed."""
    chance = random.Random(seed)  # noqa: S311 # repeatable, nothing secret
    device = DEVICES[chance.choice(sorted(DEVICES))]
    if chance.random() < 0.2:
        device = _with_single_use(device, chance)
    steps = tuple(_step(number, device, chance) for number in range(1, chance.randint(8, 30)))
    said = tuple(
        Statement(kind=StatementKind.prohibition, origin=Origin(line=200 + at, text=words))
        for at, words in enumerate(chance.sample(_NEVER, chance.randint(0, 3)))
    )
    return Instruction(device=device, steps=steps, statements=said)


def _with_single_use(device: Device, chance: random.Random) -> Device:
    use = chance.choice(list(PartUse))
    parts = (*device.parts[:-1], device.parts[-1].model_copy(update={"use": use})) if device.parts else ()
    return device.model_copy(update={"parts": parts})


def _step(number: int, device: Device, chance: random.Random) -> Step:
    action = chance.choice(list(Action))
    stage = chance.choice(list(Stage))
    things = [part.id for part in device.parts] + [feature.id for feature in device.features]
    figures = [_figure(chance) for _ in range(chance.choice([0, 0, 1, 1, 2, 3]))]
    removal = None
    if action is Action.sterilize:
        stage, removal = Stage.sterilization, chance.choice([None, *AirRemoval])
        figures += _steam(chance)
    movers = chance.sample(sorted(POSITIONS), chance.choice([0, 0, 1, 2]))
    return Step(
        id=f"s{number}",
        stage=stage,
        action=action,
        on=tuple(chance.sample(things, min(len(things), chance.choice([0, 1, 1, 2])))),
        with_=chance.choice(_WITH),
        figures=tuple(figures),
        positions={mover: chance.choice(POSITIONS[mover]) for mover in movers},
        air_removal=removal,
        until=chance.choice(_UNTIL),
        condition=chance.choice(_CONDITIONS),
        cautions=tuple(chance.sample(_CAUTIONS, chance.choice([0, 0, 0, 1]))),
        alternative=chance.choice([None, None, None, None, "a", "b"]),
        origin=Origin(line=number - (chance.random() < 0.1), text=f"Sentence {number}."),
    )


def _steam(chance: random.Random) -> list[Figure]:
    low = chance.choice([121.0, 134.0])
    band = {"min": low, "max": low + 3} if chance.random() < 0.5 else {"value": low}
    exposure = chance.choice([{"min": 3.0}, {"value": 4.0}])
    dried = [Figure(quantity=FigureQuantity.time, unit="min", role="drying", min=chance.choice([10.0, 20.0]))]
    return [
        Figure(quantity=FigureQuantity.temperature, unit="°C", **band),
        Figure(quantity=FigureQuantity.time, unit="min", role="exposure", **exposure),
        *(dried if chance.random() < 0.7 else []),
    ]


def _figure(chance: random.Random) -> Figure:
    quantity = chance.choice(sorted(_FIGURES))
    units, numbers, roles = _FIGURES[quantity]
    one, other = sorted(chance.sample(numbers, 2))
    ends = chance.choice([{"value": one}, {"min": one}, {"max": other}, {"min": one, "max": other}])
    strict = True if chance.random() < 0.15 and "value" not in ends else None
    return Figure(
        quantity=FigureQuantity(quantity),
        unit=chance.choice(units),
        role=chance.choice(roles),
        strict=strict,
        **ends,
    )
