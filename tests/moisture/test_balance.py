"""Heat and water of a set: what must hold for every set, whatever it is made of."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.errors import OutsideValidity
from sinkside.moisture.balance import (
    FloorState,
    ItemState,
    ItemWater,
    SteamCycle,
    floor_water,
    item_water,
    steam_cycle,
)
from sinkside.moisture.bounds import Bounds, Container, Item, PackBounds, bound
from sinkside.moisture.tables import Assumption, assumptions, materials
from sinkside.moisture.things import Lie, Shape

CYCLES = [
    steam_cycle(exposure_c, drying_pa=drying_pa, drying_s=drying_s)
    for exposure_c in (121.0, 132.0, 134.0)
    for drying_pa in (2_000.0, 10_000.0, 20_000.0)
    for drying_s in (120.0, 900.0, 2700.0)
]
MATERIALS = list(materials().values())
PRACTICE = assumptions()

cycles = st.sampled_from(CYCLES)
seeds = st.integers(0, 2**32 - 1)
kinds = st.sampled_from(["container", "wrap", "pouch"])


@st.composite
def items(draw: st.DrawFn) -> Item:
    made_of = draw(st.lists(st.sampled_from(MATERIALS), min_size=1, max_size=3, unique=True))
    return Item(
        name=draw(st.text("abcdef", min_size=1, max_size=4)),
        kg=draw(st.floats(0.001, 6.0)),
        materials=tuple(made_of),
        shape=draw(st.sampled_from(Shape)),
        lies=draw(st.sampled_from(Lie)),
        depth_m=draw(st.none() | st.floats(0.0002, 0.02)),
    )


@st.composite
def containers(draw: st.DrawFn) -> Container:
    return Container(
        name="packaging",
        kind=draw(kinds),
        kg=draw(st.floats(0.01, 5.0)),
        material=draw(st.sampled_from(MATERIALS)),
        liner=draw(st.booleans()),
    )


sets = st.lists(items(), min_size=1, max_size=8)


@settings(max_examples=1000, deadline=None)
@given(sets, containers(), cycles, seeds)
def test_heat_and_water_are_kept(
    things: list[Item], container: Container, cycle: SteamCycle, seed: int
) -> None:
    """Over 1,000 random sets no water and no heat comes from nowhere or goes missing.

    Steam gives up what things take up; what condenses is left, boils off or runs out; what boils off is paid
    by heat of things, water and wall, and no thing pays more than it has.
    """
    random = np.random.default_rng(seed)
    waters = []
    for thing in things:
        material = thing.materials[0]
        stays, reach = random.random(2)
        state = ItemState(material, random.uniform(5.0, 60.0), stays, reach, thing.depth_m or 0.002)
        water = item_water(thing.kg, state, cycle)
        taken_up = material.mass(thing.kg).sensible_heat(state.start_c, cycle.exposure_c)
        held = material.mass(thing.kg).sensible_heat(cycle.drying_c, cycle.exposure_c)
        assert water.condensed_kg * cycle.condensing_j_kg == pytest.approx(taken_up)
        assert water.heat_j <= held * (1.0 + 1e-12)
        needed = water.evaporated_kg * cycle.flash.latent_j_kg
        assert needed <= (water.heat_j + water.stays_kg * cycle.flash.heat_j_kg) * (1.0 + 1e-9)
        waters.append(water)
    inside, out, reach, exchange = random.random(4)
    area = random.uniform(0.0, 0.3)
    state_of_floor = FloorState(container.material, 20.0, inside, out, reach, 0.001, area, exchange)
    received = sum(water.drains_kg for water in waters)
    floor = floor_water(container.kg, state_of_floor, cycle, received_kg=received)
    came = sum(water.condensed_kg for water in waters) + floor.inside_kg
    gone = sum(water.evaporated_kg for water in waters) + floor.evaporated_kg + floor.out_kg
    left = sum(water.left_kg for water in waters) + floor.left_kg
    assert came == pytest.approx(gone + left)
    assert min([floor.left_kg, *(water.left_kg for water in waters)]) >= -1e-12
    on_floor = floor.inside_kg + floor.received_kg - floor.out_kg
    paid = floor.heat_j + on_floor * cycle.flash.heat_j_kg
    assert floor.evaporated_kg * cycle.flash.latent_j_kg <= paid * (1.0 + 1e-9)


@settings(max_examples=300, deadline=None)
@given(sets, containers(), cycles, seeds)
def test_no_state_lies_outside_the_ends(
    things: list[Item], container: Container, cycle: SteamCycle, seed: int
) -> None:
    """Whatever lies between the ends of the assumptions gives water between the ends of the answer."""
    random = np.random.default_rng(seed)

    def some(key: str) -> float:
        """A value between the ends, every other time one of the ends."""
        low, high = PRACTICE[key].low, PRACTICE[key].high
        return float(random.choice([low, high, random.uniform(low, high), random.uniform(low, high)]))

    told = bound(things, container, cycle, PRACTICE)
    start_c = some("start-temperature")
    received = left = 0.0
    for thing, place in zip(things, told.items, strict=True):
        material = thing.materials[random.integers(len(thing.materials))]
        stays = some(f"stays-{thing.shape.value}-{thing.lies.value}")
        reach = some(f"reach-{thing.shape.value}" if material.conducts else "reach-poor-conductor")
        depth = thing.depth_m or some(f"depth-{thing.shape.value}") / 1000.0
        water = item_water(thing.kg, ItemState(material, start_c, stays, reach, depth), cycle)
        assert within(water.condensed_kg, place.condensed.low, place.condensed.high)
        assert within(water.drains_kg, place.passed.low, place.passed.high)
        assert within(water.left_kg, place.left.low, place.left.high)
        received += water.drains_kg
        left += water.left_kg
    kind = container.kind
    state = FloorState(
        material=container.material,
        start_c=start_c,
        inside=some(f"inside-{kind}"),
        out=some(f"out-{kind}"),
        reach=some("reach-floor-liner" if container.liner else "reach-floor-bare"),
        depth_m=some("depth-packaging") / 1000.0,
        area_m2=some(f"floor-{kind}"),
        exchange=some("wall-exchange"),
    )
    floor = floor_water(container.kg, state, cycle, received_kg=received)
    assert within(floor.out_kg, told.floor.passed.low, told.floor.passed.high)
    assert within(floor.left_kg, told.floor.left.low, told.floor.left.high)
    assert within(left + floor.left_kg, told.pack.left.low, told.pack.left.high)
    assert told.pack.left.high <= told.pack.condensed.high * (1.0 + 1e-9)


@settings(max_examples=100, deadline=None)
@given(st.lists(items(), min_size=1, max_size=4), containers(), cycles)
def test_the_wettest_end_is_reached(things: list[Item], container: Container, cycle: SteamCycle) -> None:
    """The upper end of a pack is the largest of all states at the wet ends, tried one by one."""
    told = bound(things, container, cycle, PRACTICE)
    start_c = PRACTICE["start-temperature"].low

    def states(thing: Item) -> list[ItemWater]:
        stays = PRACTICE[f"stays-{thing.shape.value}-{thing.lies.value}"]
        depth = thing.depth_m or PRACTICE[f"depth-{thing.shape.value}"].high / 1000.0
        return [
            item_water(
                thing.kg,
                ItemState(
                    one,
                    start_c,
                    share,
                    PRACTICE[f"reach-{thing.shape.value}" if one.conducts else "reach-poor-conductor"].low,
                    depth,
                ),
                cycle,
            )
            for one in thing.materials
            for share in (stays.low, stays.high)
        ]

    kind = container.kind
    floor = FloorState(
        material=container.material,
        start_c=start_c,
        inside=PRACTICE[f"inside-{kind}"].high,
        out=PRACTICE[f"out-{kind}"].low,
        reach=PRACTICE["reach-floor-liner" if container.liner else "reach-floor-bare"].low,
        depth_m=PRACTICE["depth-packaging"].high / 1000.0,
        area_m2=PRACTICE[f"floor-{kind}"].low,
        exchange=PRACTICE["wall-exchange"].low,
    )
    tried = [
        sum(water.left_kg for water in waters)
        + floor_water(
            container.kg, floor, cycle, received_kg=sum(water.drains_kg for water in waters)
        ).left_kg
        for waters in product(*map(states, things))
    ]
    assert told.pack.left.high == pytest.approx(max(tried), abs=1e-12)


def within(value: float, low: float, high: float) -> bool:
    return low - 1e-9 <= value <= high + 1e-9


def ends(place: Bounds) -> tuple[float, ...]:
    return (place.condensed.low, place.condensed.high, place.left.low, place.left.high)


def no_less(before: PackBounds, after: PackBounds) -> bool:
    """Whether no end of the pack or its floor became smaller."""
    pairs = [(before.pack, after.pack), (before.floor, after.floor)]
    return all(
        new >= old - 1e-12 for one, other in pairs for old, new in zip(ends(one), ends(other), strict=True)
    )


@settings(max_examples=200, deadline=None)
@given(sets, containers(), cycles, st.data(), st.floats(1.0, 3.0))
def test_more_mass_is_never_drier(
    things: list[Item], container: Container, cycle: SteamCycle, data: st.DataObject, more: float
) -> None:
    """A heavier thing, or one thing more, leaves no less water at either end."""
    before = bound(things, container, cycle, PRACTICE)
    at = data.draw(st.integers(0, len(things) - 1))
    heavier = [*things]
    heavier[at] = replace(things[at], kg=more * things[at].kg)
    assert no_less(before, bound(heavier, container, cycle, PRACTICE))
    assert no_less(before, bound([*things, data.draw(items())], container, cycle, PRACTICE))


@settings(max_examples=200, deadline=None)
@given(sets, containers(), cycles, st.data(), st.floats(0.0, 15.0))
def test_a_colder_start_is_never_drier(
    things: list[Item], container: Container, cycle: SteamCycle, data: st.DataObject, colder_k: float
) -> None:
    """A set that starts colder condenses no less, and no less of it may be left."""
    start = PRACTICE["start-temperature"]
    colder: dict[str, Assumption] = {
        **PRACTICE,
        start.key: replace(start, low=start.low - colder_k, high=start.high - colder_k),
    }
    assert no_less(bound(things, container, cycle, PRACTICE), bound(things, container, cycle, colder))


@settings(max_examples=200, deadline=None)
@given(sets, containers(), st.floats(60.0, 3000.0), st.floats(1.0, 4.0))
def test_longer_drying_never_leaves_more(
    things: list[Item], container: Container, drying_s: float, times: float
) -> None:
    """A longer drying time leaves no more at either end; a shorter one is never the better."""
    short, long = (replace(CYCLES[1], drying_s=seconds) for seconds in (drying_s, times * drying_s))
    assert no_less(bound(things, container, long, PRACTICE), bound(things, container, short, PRACTICE))


@settings(max_examples=200, deadline=None)
@given(sets, containers(), cycles)
def test_a_liner_never_leaves_more(things: list[Item], container: Container, cycle: SteamCycle) -> None:
    """An absorbent liner spreads water and leaves no more of it on the floor."""
    bare, lined = (bound(things, replace(container, liner=liner), cycle, PRACTICE) for liner in (False, True))
    assert no_less(lined, bare)


@pytest.mark.parametrize("shape", Shape)
def test_what_drains_holds_no_more(shape: Shape) -> None:
    """A thing laid to drain keeps no more than one laid level, and that no more than one that holds water."""
    kept = [PRACTICE[f"stays-{shape.value}-{lies.value}"] for lies in (Lie.draining, Lie.level, Lie.holding)]
    assert [one.low for one in kept] == sorted(one.low for one in kept)
    assert [one.high for one in kept] == sorted(one.high for one in kept)


def test_plastic_dries_worse_than_steel() -> None:
    """Of two like handles, the one of plastic condenses more and may keep more than the one of steel."""
    container = Container("container", "container", 2.0, materials()["aluminium"])
    cycle = CYCLES[4]
    plastic, steel = (
        bound(
            [Item("handle", 0.2, (materials()[key],), Shape.solid, Lie.level)], container, cycle, PRACTICE
        ).items[0]
        for key in ("peek", "stainless-steel")
    )
    assert plastic.condensed.high > steel.condensed.high
    assert plastic.left.high > steel.left.high == 0.0


def test_a_bowl_that_holds_water_stays_wet() -> None:
    """A steel bowl with its open side up keeps visible water even at the drier end; turned over, not."""
    container = Container("wrap", "wrap", 0.15, materials()["polypropylene"])
    up, down = (
        bound(
            [Item("bowl", 0.4, (materials()["stainless-steel"],), Shape.cup, lies)],
            container,
            CYCLES[4],
            PRACTICE,
        ).items[0]
        for lies in (Lie.holding, Lie.draining)
    )
    assert up.left.low > PRACTICE["visible-water"].high / 1000.0
    assert down.left.low == 0.0


@pytest.mark.parametrize(
    ("exposure_c", "drying_pa", "what"),
    [
        (100.0, 10_000.0, "exposure"),
        (140.0, 10_000.0, "exposure"),
        (134.0, 600.0, "drying"),
        (134.0, 9e4, "drying"),
    ],
)
def test_outside_the_range_there_is_no_number(exposure_c: float, drying_pa: float, what: str) -> None:
    """Exposures outside 105 to 138 °C, and drying near ice or near the atmosphere, are refused."""
    with pytest.raises(OutsideValidity, match=f"{what} of the estimate"):
        steam_cycle(exposure_c, drying_pa=drying_pa, drying_s=900.0)
    with pytest.raises(ValueError, match="drying time"):
        steam_cycle(134.0, drying_pa=10_000.0, drying_s=0.0)
