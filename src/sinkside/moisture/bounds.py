"""The water of a set from the drier to the wetter end of everything that is assumed.

Every number that is not known runs between two ends. What is left on a thing grows with each of them one way
only, so the ends of the answer lie at ends of the assumptions; no state in between lies outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sinkside.moisture.balance import (
    FloorState,
    ItemState,
    ItemWater,
    SteamCycle,
    floor_water,
    item_water,
)
from sinkside.moisture.tables import Assumption, Material
from sinkside.moisture.things import Lie, Shape

Assumed = Mapping[str, Assumption]


@dataclass(frozen=True)
class Item:
    """A thing of the set: all pieces of one kind together.

    Attributes:
        name: what people call it.
        kg: what all of them weigh.
        materials: what it may be made of; more than one where nobody knows the shares.
        shape: what it is like.
        lies: how it lies.
        depth_m: how far heat travels inside it, where that is known.
        movable: whether it could go into another set; a tray or a mat could not.
    """

    name: str
    kg: float
    materials: tuple[Material, ...]
    shape: Shape
    lies: Lie
    depth_m: float | None = None
    movable: bool = True


@dataclass(frozen=True)
class Container:
    """What the set lies in: `kind` is container, wrap or pouch."""

    name: str
    kind: str
    kg: float
    material: Material
    liner: bool = False


@dataclass(frozen=True)
class Span:
    """From the drier to the wetter end, in kg of water."""

    low: float
    high: float


@dataclass(frozen=True)
class Bounds:
    """The water of one place (a thing, the floor of the packaging, or the whole pack).

    Attributes:
        name: the place.
        condensed: what condenses there.
        passed: what runs off it: to the floor, or from the floor out of the packaging.
        left: what is left there after drying.
    """

    name: str
    condensed: Span
    passed: Span
    left: Span


@dataclass(frozen=True)
class PackBounds:
    """The water of a whole pack, and of each place in it."""

    items: tuple[Bounds, ...]
    floor: Bounds
    pack: Bounds


@dataclass(frozen=True)
class ItemEnds:
    """An item, and its water at the states that bound it: at either end, holding little and holding much."""

    item: Item
    dry_little: tuple[ItemWater, ...]
    dry_much: tuple[ItemWater, ...]
    wet_little: tuple[ItemWater, ...]
    wet_much: tuple[ItemWater, ...]


def bound(items: Sequence[Item], container: Container, cycle: SteamCycle, assumed: Assumed) -> PackBounds:
    """The water of a set between the ends of what is assumed.

    The upper end of the pack is that of the wettest single state: no water is counted on a thing and on the
    floor as well. Its lower end is the sum of the lowest ends, which no state need reach.

    Args:
        items: the things in the packaging.
        container: the packaging.
        cycle: the cycle.
        assumed: the assumptions in force, by key.

    Raises:
        ValueError: if something starts hotter than the steam.
    """
    return bound_ends([ends_of(item, cycle, assumed) for item in items], container, cycle, assumed)


def bound_ends(
    ends: Sequence[ItemEnds], container: Container, cycle: SteamCycle, assumed: Assumed
) -> PackBounds:
    """The water of a set whose things are reckoned already; otherwise `bound`."""
    dry, wet = (_floor_state(container, assumed, wet=wet) for wet in (False, True))
    least, most = (
        sum(min(one.drains_kg for one in end.dry_much) for end in ends),
        sum(max(one.drains_kg for one in end.wet_little) for end in ends),
    )
    driest = floor_water(container.kg, dry, cycle, received_kg=least)
    wettest = floor_water(container.kg, wet, cycle, received_kg=most)
    places = tuple(_bounds_of(end) for end in ends)
    floor = Bounds(
        container.name,
        Span(driest.condensed_kg, wettest.condensed_kg),
        Span(
            wet.out * (driest.inside_kg + driest.received_kg),
            dry.out * (wettest.inside_kg + wettest.received_kg),
        ),
        Span(driest.left_kg, wettest.left_kg),
    )
    pack = Bounds(
        "all of it",
        _sum(place.condensed for place in (*places, floor)),
        floor.passed,
        Span(
            _sum(place.left for place in (*places, floor)).low,
            _wettest_pack(ends, container, cycle, wet),
        ),
    )
    return PackBounds(places, floor, pack)


def _wettest_pack(
    ends: Sequence[ItemEnds], container: Container, cycle: SteamCycle, wet: FloorState
) -> float:
    """What the wettest single state leaves in the pack.

    The floor is dry, and then each thing holds what it can; or it is not, and then each holds or passes on
    whichever leaves more in the end. The larger of the two is the most: one of both is the case.
    """
    states = [(*end.wet_little, *end.wet_much) for end in ends]
    floor_dry = sum(max(one.left_kg for one in own) for own in states)
    bare = floor_water(container.kg, wet, cycle, received_kg=0.0)
    kept = (1.0 - wet.out) * (1.0 - cycle.flash.fraction)
    chosen = sum(max(one.left_kg + kept * one.drains_kg for one in own) for own in states)
    floor_wet = chosen + kept * bare.inside_kg - bare.heat_j / cycle.flash.latent_j_kg
    return max(floor_dry, floor_wet)


def ends_of(item: Item, cycle: SteamCycle, assumed: Assumed) -> ItemEnds:
    """An item's water at the ends of what is assumed of it, for each material that it may be made of."""
    start = assumed["start-temperature"]
    stays = assumed[f"stays-{item.shape.value}-{item.lies.value}"]
    of_shape, of_poor = assumed[f"reach-{item.shape.value}"], assumed["reach-poor-conductor"]
    depth = assumed[f"depth-{item.shape.value}"]
    shallow, deep = (item.depth_m or depth.low / 1000.0, item.depth_m or depth.high / 1000.0)

    def water(material: Material, share: float, *, wet: bool) -> ItemWater:
        reach = of_shape if material.conducts else of_poor
        state = (
            ItemState(material, start.low, share, reach.low, deep)
            if wet
            else ItemState(material, start.high, share, reach.high, shallow)
        )
        return item_water(item.kg, state, cycle)

    def waters(share: float, *, wet: bool) -> tuple[ItemWater, ...]:
        return tuple(water(material, share, wet=wet) for material in item.materials)

    return ItemEnds(
        item=item,
        dry_little=waters(stays.low, wet=False),
        dry_much=waters(stays.high, wet=False),
        wet_little=waters(stays.low, wet=True),
        wet_much=waters(stays.high, wet=True),
    )


def _bounds_of(end: ItemEnds) -> Bounds:
    return Bounds(
        end.item.name,
        Span(
            min(one.condensed_kg for one in end.dry_little), max(one.condensed_kg for one in end.wet_little)
        ),
        Span(min(one.drains_kg for one in end.dry_much), max(one.drains_kg for one in end.wet_little)),
        Span(min(one.left_kg for one in end.dry_little), max(one.left_kg for one in end.wet_much)),
    )


def _floor_state(container: Container, assumed: Assumed, *, wet: bool) -> FloorState:
    """The floor at the drier or the wetter end of what is assumed of it."""
    kind = container.kind
    reach = assumed["reach-floor-liner" if container.liner else "reach-floor-bare"]
    depth = assumed["depth-packaging"]
    inside, out = assumed[f"inside-{kind}"], assumed[f"out-{kind}"]
    area, exchange, start = assumed[f"floor-{kind}"], assumed["wall-exchange"], assumed["start-temperature"]
    return FloorState(
        material=container.material,
        start_c=start.low if wet else start.high,
        inside=inside.high if wet else inside.low,
        out=out.low if wet else out.high,
        reach=reach.low if wet else reach.high,
        depth_m=(depth.high if wet else depth.low) / 1000.0,
        area_m2=area.low if wet else area.high,
        exchange=exchange.low if wet else exchange.high,
    )


def _sum(spans: Iterable[Span]) -> Span:
    known = tuple(spans)
    return Span(sum(span.low for span in known), sum(span.high for span in known))
