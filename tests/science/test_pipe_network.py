"""Networks of channels: what must hold for every one of them."""

from __future__ import annotations

import random
from collections import defaultdict

import pytest

from sinkside.errors import OutsideValidity
from sinkside.science.pipe_flow import Transition
from sinkside.science.pipe_network import (
    Channel,
    Liquid,
    NetworkFlow,
    channel_loss,
    solve_network,
)

WATER = Liquid(998.2, 1.0016e-3)


def _random_channels(chance: random.Random, places: int) -> list[Channel]:
    """A tree of channels with some loops, side branches and rods in them."""
    tree = [
        Channel(
            str(chance.randrange(place)),
            str(place),
            chance.uniform(0.5e-3, 8e-3),
            chance.uniform(0.02, 2.0),
            loss=chance.choice([0.0, 1.5]),
            roughness_m=chance.choice([0.0, 1e-5]),
        )
        for place in range(1, places)
    ]
    for _ in range(chance.randint(0, 3)):
        start, end = (str(place) for place in chance.sample(range(places), 2))
        bore = chance.uniform(0.5e-3, 8e-3)
        rod, off = bore * chance.choice([0.0, 0.5, 0.9]), chance.choice([0.0, 0.8])
        tree.append(Channel(start, end, bore, chance.uniform(0.02, 2.0), rod_m=rod, eccentricity=off))
    return tree


def _imbalance(
    channels: list[Channel], found: NetworkFlow, inflow: dict[str, float], held: set[str]
) -> float:
    """The largest difference between what enters and leaves a place, over the largest flow."""
    balance = defaultdict(float, inflow)
    for channel, flow in zip(channels, found.flows_m3_s, strict=True):
        balance[channel.start] -= flow
        balance[channel.end] += flow
    left = [abs(flow) for place, flow in balance.items() if place not in held]
    return max(left, default=0.0) / max(map(abs, found.flows_m3_s))


def test_a_thousand_networks_lose_no_water() -> None:
    """What enters a place leaves it, to 1e-9, and every channel takes the pressure that its flow asks for."""
    chance = random.Random(20)  # noqa: S311 # chance of tests, no secret
    for _ in range(1000):
        places = chance.randint(2, 8)
        channels = _random_channels(chance, places)
        outlets = chance.sample(range(1, places), chance.randint(1, max(1, (places - 1) // 2)))
        held = {str(place): 0.0 for place in outlets}
        inflow = {"0": 10 ** chance.uniform(-8.0, -4.3)} if chance.random() < 0.5 else {}
        if not inflow:
            held["0"] = chance.uniform(1e3, 3e5)
        transition = chance.choice(list(Transition))
        found = solve_network(channels, WATER, held_pa=held, inflow_m3_s=inflow, transition=transition)
        assert _imbalance(channels, found, inflow, set(held)) < 1e-9
        most = max(map(abs, found.pressures_pa.values()))
        for channel, flow in zip(channels, found.flows_m3_s, strict=True):
            taken = found.pressures_pa[channel.start] - found.pressures_pa[channel.end]
            asked = channel_loss(channel, flow, WATER, transition=transition)
            assert taken == pytest.approx(asked, rel=1e-6, abs=1e-7 * most)


def test_nothing_moves_in_a_dead_end() -> None:
    """A branch without a way out takes no flow, and the pressure at its end is that where it branches off."""
    channels = [
        Channel("in", "fork", 2e-3, 0.1),
        Channel("fork", "out", 2e-3, 0.2),
        Channel("fork", "end", 1e-3, 0.1),
    ]
    found = solve_network(channels, WATER, held_pa={"out": 0.0}, inflow_m3_s={"in": 2e-6})
    assert abs(found.flows_m3_s[2]) < 1e-12 * found.flows_m3_s[0]
    assert found.pressures_pa["end"] == pytest.approx(found.pressures_pa["fork"])


def test_the_wider_of_two_branches_takes_sixteen_times_as_much() -> None:
    """In laminar flow twice the bore takes 2⁴ times the flow: by hand from Hagen-Poiseuille's law."""
    channels = [Channel("in", "wide", 2e-3, 0.3), Channel("in", "narrow", 1e-3, 0.3)]
    found = solve_network(channels, WATER, held_pa={"wide": 0.0, "narrow": 0.0}, inflow_m3_s={"in": 1e-6})
    assert found.flows_m3_s[0] / found.flows_m3_s[1] == pytest.approx(16.0)


def test_a_device_without_an_open_end_is_refused() -> None:
    """With every port shut nothing can be flushed, and the sentence says from where no way leads out."""
    with pytest.raises(ValueError, match="nothing can run out behind in"):
        solve_network([Channel("in", "end", 2e-3, 0.3)], WATER, held_pa={}, inflow_m3_s={"in": 1e-6})


def test_what_friction_was_not_published_for_is_refused() -> None:
    """A flow beyond a Reynolds number of 1e8 gives no number."""
    with pytest.raises(OutsideValidity, match="Reynolds number"):
        solve_network([Channel("in", "out", 2e-3, 0.3)], WATER, held_pa={"in": 1e14, "out": 0.0})
