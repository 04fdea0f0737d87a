"""Small random instructions and departments, made so that about half of them fit; everything invented."""

from __future__ import annotations

import random
from collections.abc import Callable

from sinkside.department import Department, Machine, Program
from sinkside.instruction import Action, AirRemoval, Instruction, Stage, Step
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

_TEMPERATURES = (121, 132, 134)
_TIMES = (3, 4, 18)
_DRYINGS = (15, 20, 30)
_WAYS = (AirRemoval.prevacuum, AirRemoval.gravity)


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
            _blow(chance, "d2").model_copy(update={"alternative": "b"}),
        ]
    if chance.random() < 0.7:
        kind = chance.choice(("wrap", "pouch", "container"))
        steps.append(a_step(Action.pack, step_id="p1", stage=Stage.packaging, using=kind))
    letters = (None,) if chance.random() < 0.5 else ("a", "b", "c")[: chance.randint(2, 3)]
    steps += [_cycle(chance, f"z{place}", letter) for place, letter in enumerate(letters)]
    return an_instruction(*steps)


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


def a_random_department(chance: random.Random) -> Department:
    """None to two things of each kind, with figures from the same few as the instructions'."""
    sterilizers = [
        a_sterilizer(*(_program(chance) for _ in range(chance.randint(1, 3))), number=number)
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
        for number in range(chance.randint(0, 2))
    ]
    return a_department(
        *sterilizers,
        *baths,
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
                "steam_permeable": chance.random() < 0.5,
            },
        ),
        air=_some(
            chance,
            "air",
            lambda: {"grade": chance.choice(("medical", "instrument")), "pressure": {"max": "2 bar"}},
        ),
        packaging=_some(
            chance,
            "pack",
            lambda: {
                "kind": chance.choice(("wrap", "pouch", "container")),
                "air_removal": chance.choice((["prevacuum"], ["prevacuum", "gravity"])),
            },
        ),
    )


def _dose(chance: random.Random) -> dict[str, str]:
    return chance.choice(({"min": "5 mL/L", "max": "10 mL/L"}, {"min": "10 mL/L", "max": "20 mL/L"}))


def _some(chance: random.Random, kind: str, make: Callable[[], dict[str, object]]) -> list[dict[str, object]]:
    return [
        {"id": f"{kind}-{number}", "name": f"{kind} {number}", **make()}
        for number in range(chance.randint(0, 2))
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
