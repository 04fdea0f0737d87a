"""Why water is left in a place, in sentences made of what the estimate assumed there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.moisture.document import AssumptionShown, Moisture, Place
from sinkside.moisture.tables import materials
from sinkside.moisture.things import Lie

_LIES: Final = {
    Lie.draining: "so that water runs off",
    Lie.level: "flat",
    Lie.holding: "so that water stands in it",
}
_KINDS: Final = ("container", "wrap", "pouch")


def reasons_of(told: Moisture) -> tuple[tuple[str, ...], ...]:
    """For each place of an estimate, why water stays there: sentences, in the order of the places.

    Args:
        told: an estimate; one without figures has no places.
    """
    assumed = {one.key: one for one in told.assumptions}
    return tuple(
        _of_floor(place, assumed, told) if place.shape is None else _of_thing(place, assumed)
        for place in told.places
    )


def _of_thing(place: Place, assumed: Mapping[str, AssumptionShown]) -> tuple[str, ...]:
    if place.shape is None or place.lies is None:
        return ()
    shape = place.shape.value
    stays = assumed[f"stays-{shape}-{place.lies.value}"]
    told = [f"It is taken to lie {_LIES[place.lies]}: {_share(stays)} of its own water stays on it."]
    conducts = {one.title: one.conducts for one in materials().values()}
    poor = [name for name in place.materials if not conducts[name]]
    if len(poor) < len(place.materials):
        told.append(f"{_share(assumed[f'reach-{shape}'])} of its heat reaches that water and boils it off.")
    if poor:
        reach = assumed["reach-poor-conductor"]
        told.append(
            f"{' and '.join(poor)} {'passes' if len(poor) == 1 else 'pass'} heat on badly: "
            f"{_share(reach)} of it reaches the water."
        )
    if len(place.materials) > 1:
        told.append("Nobody said how much of it is of which material, so the range is wider.")
    return tuple(told)


def _of_floor(place: Place, assumed: Mapping[str, AssumptionShown], told: Moisture) -> tuple[str, ...]:
    kind = next(kind for kind in _KINDS if f"out-{kind}" in assumed)
    lined = "reach-floor-liner" in assumed
    reach = assumed["reach-floor-liner" if lined else "reach-floor-bare"]
    out = _share(assumed[f"out-{kind}"])
    said = [
        f"What drains from the things runs here; {out} of it leaves the {kind} before drying.",
        f"Of what condenses on the {kind} itself, {_share(assumed[f'inside-{kind}'])} forms inside.",
        f"{_share(reach)} of the heat of the {kind} reaches it{', spread by the liner' if lined else ''}.",
        "Some heat comes from the hot wall of the chamber.",
    ]
    senders = [one for one in told.places if one is not place and one.passed.high > 0]
    if senders:
        most = max(senders, key=lambda one: one.passed.high)
        said.append(f"{most.name} sends the most.")
    return tuple(said)


def _share(one: AssumptionShown) -> str:
    """A share of 1 as people say it.

    >>> from sinkside.moisture.tables import assumptions
    >>> _share(AssumptionShown.of(assumptions()["stays-tube-level"]))
    '20 to 60 %'
    """
    low, high = (round(100.0 * end, 1) for end in (one.low, one.high))
    return f"{low:g} %" if low == high else f"{low:g} to {high:g} %"
