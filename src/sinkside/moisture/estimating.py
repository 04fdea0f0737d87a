"""The estimate for a set in a cycle: what condenses, what may be left, what drives it and what would help."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from sinkside.department import Department, Program, ProgramKind
from sinkside.errors import OutsideValidity
from sinkside.instruction import FigureRole, Instruction, Stage
from sinkside.limits import Profile
from sinkside.moisture.balance import SteamCycle, steam_cycle
from sinkside.moisture.bounds import Assumed, Bounds, Container, Item, Span
from sinkside.moisture.document import (
    SPREAD,
    AssumptionShown,
    CycleShown,
    FormulaShown,
    Grams,
    Help,
    MaterialShown,
    Moisture,
    Place,
    Risk,
)
from sinkside.moisture.gathering import gather
from sinkside.moisture.helps import Change, Pack, what_would_help
from sinkside.moisture.judging import driver_of, findings_of, risk_of
from sinkside.moisture.tables import assumptions, formulas
from sinkside.moisture.things import Things
from sinkside.moisture.weighing import dryness_seen, mass_seen
from sinkside.quantities import Bound, FigureQuantity
from sinkside.sets import SetDocument

#: Whether the members share none, or the department has none: what would help stands with their route.
NO_CYCLE = "No one steam cycle here serves all its members."

#: Grams are told to so many decimals: a hundredth is less than a drop.
_DECIMALS = 2


@dataclass(frozen=True)
class Chosen:
    """The program that the set is to run, and the name of its machine."""

    machine: str
    program: Program


@dataclass(frozen=True)
class Asked:
    """The question: a set with its instructions and things, in a department that works to some limits."""

    document: SetDocument
    instructions: Mapping[str, Instruction]
    department: Department
    limits: Profile
    things: Things


def estimate(asked: Asked, chosen: Chosen | None) -> Moisture:
    """The water that may be left in a set after a cycle, or why no number can be given.

    Args:
        asked: the set, in its department.
        chosen: the cycle; none where its members share none.

    Raises:
        BadInput: if a member's instruction is not given, or things and department differ on the packaging.
    """
    gathered = gather(asked.document, asked.instructions, asked.department, asked.things)
    plain = Moisture(
        set=asked.document.name,
        department=asked.department.name,
        profile=asked.limits.name,
        told=False,
        mass=mass_seen(asked.document, gathered, asked.limits),
    )
    cycle, refused = _cycle_of(chosen.program) if chosen else (None, (NO_CYCLE,))
    if chosen is None or cycle is None or gathered.container is None or gathered.missing:
        return plain.model_copy(update={"not_told": (*refused, *gathered.missing)})
    pack = Pack.of(gathered.items, gathered.container, cycle, assumed_by(asked.things))
    longer = allows_longer_drying(asked.instructions)
    return plain.model_copy(update=_answer(pack, chosen, asked.limits, longer_allowed=longer))


def assumed_by(things: Things) -> Assumed:
    """The assumptions in force: those of the table, with a department's own in their place."""
    own = {one.assumption: one for one in things.assumptions}
    return {
        key: replace(known, low=own[key].low, high=own[key].high, reason=own[key].reason)
        if key in own
        else known
        for key, known in assumptions().items()
    }


def allows_longer_drying(instructions: Mapping[str, Instruction]) -> bool:
    """Whether every text says "at least" of each drying time of its steam cycles; silence allows nothing."""
    return bool(instructions) and all(map(_says_at_least, instructions.values()))


def _says_at_least(instruction: Instruction) -> bool:
    stated = [
        figure
        for step in instruction.stage(Stage.sterilization)
        for figure in step.figures_of(FigureQuantity.time, FigureRole.drying)
    ]
    return bool(stated) and all(figure.bound is Bound.at_least for figure in stated)


def _cycle_of(program: Program) -> tuple[SteamCycle | None, tuple[str, ...]]:
    """The cycle in numbers, or why the estimate does not hold for it."""
    if not program.kind.is_steam or program.exposure is None:
        return None, (f"{program.name} is no steam cycle for a load.",)
    if program.drying is None:
        return None, (f"{program.name} does not dry: what condenses is not boiled off.",)
    if program.kind is ProgramKind.steam_gravity and "vacuum" not in program.drying.model_fields_set:
        return None, (f"{program.name} states no vacuum for drying; drying by warm air is not covered.",)
    try:
        return (
            steam_cycle(
                program.exposure.temperature.to("°C"),
                drying_pa=program.drying.vacuum.to("kPa") * 1000.0,
                drying_s=program.drying.time.to("s"),
            ),
            (),
        )
    except OutsideValidity as error:
        return None, (f"{program.name}: {error}.",)


def _answer(pack: Pack, chosen: Chosen, limits: Profile, *, longer_allowed: bool) -> dict[str, Any]:
    """What an estimate adds to an answer."""
    now = pack.bounds()
    risk = risk_of(now, pack.assumed["visible-water"])
    driver = driver_of(now)
    changes = what_would_help(pack, now, longer_allowed=longer_allowed)
    kg = sum(item.kg for item in pack.items) + pack.container.kg
    used = {one.key: one for item in pack.items for one in item.materials}
    used[pack.container.material.key] = pack.container.material
    return {
        "told": True,
        "cycle": _cycle_shown(pack.cycle, chosen),
        "risk": risk,
        "pack": _grams(now.pack.left, "residue"),
        "condensed": _grams(now.pack.condensed, "condensate"),
        "places": (
            *(_thing(item, one) for item, one in zip(pack.items, now.items, strict=True)),
            _floor(pack.container, now.floor),
        ),
        "driver": driver,
        "helps": () if risk is Risk.unlikely else _helps(changes),
        "dryness": dryness_seen(kg, now.pack.left, limits),
        "findings": findings_of(now, risk, driver),
        "assumptions": tuple(AssumptionShown.of(pack.assumed[key]) for key in _leaned_on(pack)),
        "materials": tuple(MaterialShown.of(one) for one in used.values()),
        "formulas": tuple(FormulaShown.of(one) for one in formulas().values()),
    }


def _helps(changes: Iterable[Change]) -> tuple[Help, ...]:
    """What was reckoned, the best first, then what helps without a figure."""
    reckoned = (Help(sentence=one.sentence, left=_grams(one.left, "residue")) for one in changes)
    return (*reckoned, Help(sentence=SPREAD))


def _cycle_shown(cycle: SteamCycle, chosen: Chosen) -> CycleShown:
    drying = chosen.program.drying
    return CycleShown(
        machine=chosen.machine,
        program=chosen.program.name,
        exposure_c=cycle.exposure_c,
        drying_min=cycle.drying_s / 60.0,
        drying_kpa=drying.vacuum.to("kPa") if drying else 0.0,
        drying_c=round(cycle.drying_c, 1),
    )


def _grams(span: Span, formula: str) -> Grams:
    return Grams(
        low=round(1000.0 * span.low, _DECIMALS), high=round(1000.0 * span.high, _DECIMALS), formula=formula
    )


def _thing(item: Item, water: Bounds) -> Place:
    return Place(
        name=item.name,
        kg=item.kg,
        materials=tuple(one.title for one in item.materials),
        shape=item.shape,
        lies=item.lies,
        condensed=_grams(water.condensed, "condensate"),
        passed=_grams(water.passed, "drainage"),
        left=_grams(water.left, "residue"),
    )


def _floor(container: Container, water: Bounds) -> Place:
    return Place(
        name=water.name,
        kg=container.kg,
        materials=(container.material.title,),
        condensed=_grams(water.condensed, "condensate"),
        passed=_grams(water.passed, "drainage"),
        left=_grams(water.left, "residue"),
    )


def _leaned_on(pack: Pack) -> list[str]:
    """The keys of the assumptions that this answer hangs on, in the order of the table."""
    kind = pack.container.kind
    keys = {"start-temperature", "depth-packaging", "wall-exchange", "visible-water"}
    keys |= {f"{what}-{kind}" for what in ("inside", "out", "floor")}
    keys.add("reach-floor-liner" if pack.container.liner else "reach-floor-bare")
    for item in pack.items:
        keys.add(f"stays-{item.shape.value}-{item.lies.value}")
        keys |= {
            f"reach-{item.shape.value}" if one.conducts else "reach-poor-conductor" for one in item.materials
        }
        if item.depth_m is None:
            keys.add(f"depth-{item.shape.value}")
    return [key for key in pack.assumed if key in keys]
