"""Small random instructions and departments, made so that about half of them fit; everything invented."""

from __future__ import annotations

import random
from collections.abc import Callable

from sinkside.department import Department, Machine, Program
from sinkside.instruction import (
    Action,
    AirRemoval,
    Feature,
    FeatureKind,
    Instruction,
    Part,
    Stage,
    Step,
)
from sinkside.quantities import Quantity
from support.routing import (
    a_cycle,
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    at_least,
    exactly,
)

_TEMPERATURES = (121, 134)
_TIMES = (3, 18)
_DRYINGS = (15, 30)
_WAYS = (AirRemoval.prevacuum, AirRemoval.gravity)
_MATERIALS = ("stainless steel", "silicone")


def a_random_instruction(chance: random.Random) -> Instruction:
    """Two to five steps of work, packing, and one to three named cycles to choose from."""
    makers = (_brush, _solution, _lubricate, _blow, _sonicate)
    steps = [
        make(chance, f"s{place}") for place, make in enumerate(chance.choices(makers, k=chance.randint(1, 3)))
    ]
    if chance.random() < 0.4:
        steps += [
            a_step(
                Action.dry,
                exactly(90, "°C", "temperature"),
                step_id="d1",
                using="drying cabinet",
                alternative="a",
            ),
            _blow(chance, "d2").model_copy(update={"alternative": "a"}),
        ]
    if chance.random() < 0.7:
        kind = chance.choice(("wrap", "pouch", "container", "container with silicone mat"))
        steps.append(a_step(Action.pack, step_id="p1", stage=Stage.packaging, using=kind))
    letters = (None,) if chance.random() < 0.5 else ("a", "b", "c")[: chance.randint(2, 3)]
    for place, letter in enumerate(letters):
        make_cycle = _cycle if chance.random() < 0.7 else _vapour
        steps.append(make_cycle(chance, f"z{place}", letter))
    parts, features = _lumens(chance)
    return an_instruction(*steps, parts=parts, features=features)


def _lumens(chance: random.Random) -> tuple[list[Part], list[Feature]]:
    """None to two lumens; what of them the text does not tell is left open now and then."""
    numbers = range(chance.randint(0, 2))
    parts = [
        Part(id=f"p{number}", name=f"shaft {number}", materials=_some_of(chance, _MATERIALS))
        for number in numbers
    ]
    features = [
        Feature(
            id=f"l{number}",
            kind=FeatureKind.lumen,
            part=f"p{number}",
            bore=Quantity(chance.choice((1.0, 2.0)), "mm") if chance.random() < 0.8 else None,
            length=Quantity(chance.choice((200.0, 400.0)), "mm") if chance.random() < 0.8 else None,
        )
        for number in numbers
    ]
    return parts, features


def _some_of(chance: random.Random, words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(chance.sample(words, chance.choice((0, 1, 1, 1, 2))))


def _brush(chance: random.Random, step_id: str) -> Step:
    sizes = (exactly(chance.choice((2, 3)), "mm", "length", "brush-diameter"),)
    return a_step(Action.brush, *sizes, step_id=step_id)


def _solution(chance: random.Random, step_id: str) -> Step:
    kind = chance.choice(("enzymatic detergent", "neutral detergent"))
    return a_step(
        Action.soak, exactly(chance.choice((5, 10)), "mL/L", "concentration"), step_id=step_id, using=kind
    )


def _lubricate(chance: random.Random, step_id: str) -> Step:
    using = chance.choice(("water-soluble lubricant", "white oil, steam-permeable"))
    return a_step(Action.lubricate, step_id=step_id, stage=Stage.maintenance, using=using)


def _blow(chance: random.Random, step_id: str) -> Step:
    using = chance.choice(("medical air", "instrument air"))
    return a_step(
        Action.blow, exactly(chance.choice((1, 2)), "bar", "pressure"), step_id=step_id, using=using
    )


def _sonicate(chance: random.Random, step_id: str) -> Step:
    figures = (exactly(chance.choice((35, 40)), "kHz", "frequency"), exactly(5, "min", "time"))
    return a_step(Action.sonicate, *figures, step_id=step_id, using="ultrasonic bath")


def _cycle(chance: random.Random, step_id: str, letter: str | None) -> Step:
    bound = chance.choice((exactly, at_least))
    return a_cycle(
        exactly(chance.choice(_TEMPERATURES), "°C", "temperature"),
        bound(chance.choice(_TIMES), "min", "time"),
        bound(chance.choice(_DRYINGS), "min", "time", "drying"),
        step_id=step_id,
        way=chance.choice(_WAYS),
        alternative=letter,
    )


def _vapour(chance: random.Random, step_id: str, letter: str | None) -> Step:
    return a_step(
        Action.sterilize,
        exactly(50, "°C", "temperature"),
        exactly(chance.choice((30, 40)), "min", "time"),
        step_id=step_id,
        stage=Stage.sterilization,
        using="hydrogen peroxide",
        alternative=letter,
    )


def a_random_department(chance: random.Random) -> Department:
    """None to twelve things of each kind, with figures from the same few as the instructions'."""
    sterilizers = [
        a_sterilizer(*(_program(chance) for _ in range(chance.randint(2, 6))), number=number)
        for number in range(1, chance.randint(1, 2) + 1)
    ]
    baths = [
        Machine.model_validate(
            {
                "id": f"bath-{number}",
                "name": f"Bath {number}",
                "kind": "ultrasonic-bath",
                "programs": [
                    {
                        "kind": "ultrasonic",
                        "name": f"instruments {number}",
                        "ultrasonic": {"frequency": f"{chance.choice((35, 40))} kHz"},
                    }
                ],
            }
        )
        for number in range(chance.randint(0, 3))
    ]
    return a_department(
        *sterilizers,
        *baths,
        *(_vapour_sterilizer(chance, number) for number in range(chance.randint(0, 2))),
        *(_cabinet(number) for number in range(chance.choice((0, 1, 1)))),
        **_people(chance),
        brushes=_some(
            chance, "brush", lambda: {"diameter": f"{chance.choice((2, 3))} mm", "length": "400 mm"}
        ),
        chemicals=_some(
            chance,
            "chemical",
            lambda: {
                "kinds": [chance.choice(("enzymatic-detergent", "neutral-detergent"))],
                "dose": _dose(chance),
            },
        ),
        lubricants=_some(
            chance,
            "lubricant",
            lambda: {
                "base": chance.choice(("water-soluble", "white-oil")),
                "steam_permeable": chance.random() < 0.8,
            },
        ),
        air=_some(
            chance,
            "air",
            lambda: {
                "grade": chance.choice(("medical", "medical", "instrument")),
                "pressure": {"max": "2 bar"},
            },
        ),
        packaging=_some(
            chance,
            "pack",
            lambda: {
                "kind": chance.choice(("wrap", "pouch", "container", "mat")),
                "air_removal": chance.choice((["prevacuum"], ["prevacuum", "gravity"])),
                "methods": chance.choice((["steam"], ["steam", "hydrogen-peroxide"], ["hydrogen-peroxide"])),
                "temperature": chance.choice((None, None, {"max": "121 °C"}, {"max": "134 °C"})),
                "narrowest_lumen": chance.choice((None, None, "2 mm")),
                "longest_lumen": chance.choice((None, None, "300 mm")),
            },
            most=12,
        ),
    )


def _cabinet(number: int) -> Machine:
    program = {
        "kind": "drying-cabinet",
        "name": "90 °C",
        "exposure": {"temperature": "90 °C", "time": "30 min"},
    }
    return Machine.model_validate(
        {"id": f"cabinet-{number}", "name": "Cabinet", "kind": "drying-cabinet", "programs": [program]}
    )


def _vapour_sterilizer(chance: random.Random, number: int) -> Machine:
    programs = [
        {
            "kind": "exposure",
            "name": f"Hydrogen peroxide {turn}",
            "exposure": {"temperature": "50 °C", "time": f"{chance.choice((30, 40))} min"},
            "lumen_claims": [
                {
                    "material": chance.choice(_MATERIALS),
                    "bore": f"{chance.choice((1, 2))} mm",
                    "length": f"{chance.choice((200, 400))} mm",
                    "lumens": chance.randint(0, 4),
                }
                for _ in range(chance.randint(0, 3))
            ],
        }
        for turn in range(chance.randint(1, 2))
    ]
    name = f"Low-temperature sterilizer {number}"
    return Machine.model_validate(
        {"id": f"gas-{number}", "name": name, "kind": "gas-sterilizer", "programs": programs}
    )


def _people(chance: random.Random) -> dict[str, object]:
    """None to two shifts with people who can do some of the work with some devices."""
    shifts = [f"shift-{number}" for number in range(chance.randint(0, 2))]
    stations = ("sink", "ultrasonic", "washer", "bench", "packing", "sterilizer")
    return {
        "shifts": [{"id": one, "name": one, "begins": "06:00", "ends": "14:00"} for one in shifts],
        "families": [{"id": "tubular", "name": "tubular", "features": ["lumen"]}],
        "staff": [
            {
                "id": f"on-{one}",
                "shift": one,
                "role": "technician",
                "count": chance.randint(0, 2),
                "stations": chance.sample(stations, chance.randint(2, 6)),
                "families": chance.choice(([], ["tubular"])),
            }
            for one in shifts
        ],
    }


def _dose(chance: random.Random) -> dict[str, str]:
    return chance.choice(({"min": "5 mL/L", "max": "10 mL/L"}, {"min": "10 mL/L", "max": "20 mL/L"}))


def _some(
    chance: random.Random, kind: str, make: Callable[[], dict[str, object]], *, most: int = 3
) -> list[dict[str, object]]:
    return [
        {"id": f"{kind}-{number}", "name": f"{kind} {number}", **make()}
        for number in range(chance.randint(1, most) if chance.random() < 0.9 else 0)
    ]


def _program(chance: random.Random) -> Program:
    return a_program(
        f"{chance.choice(_TEMPERATURES)} °C",
        f"{chance.choice(_TIMES)} min",
        f"{chance.choice(_DRYINGS)} min",
        kind=chance.choice(("steam-prevacuum", "steam-gravity")),
    )


def a_random_case_of_fitting(
    *, rows: int, columns: int
) -> tuple[dict[str, Instruction], dict[str, Department]]:
    """So many instructions and departments by name, the same for the same numbers."""
    chance = random.Random(rows * 1_000 + columns)  # noqa: S311 - a drawn case, no secret
    instructions = {f"instruction {number}": a_random_instruction(chance) for number in range(rows)}
    return instructions, {f"department {number}": a_random_department(chance) for number in range(columns)}
