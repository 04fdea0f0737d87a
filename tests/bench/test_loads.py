"""Loads while they are built: what goes in by its texts, what does not and why, and what would do instead.

What a set may enter is checked against the route, which is worked out by another road (a solver over all
members at once); sums are checked by hand.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import pytest

from sinkside.bench.load_fit import Chosen, Goes, chosen_in, goes_into
from sinkside.bench.loads import Piece, objections, sum_of
from sinkside.department import Department, Machine, MachineKind
from sinkside.instruction import Action, Feature, FeatureKind, Instruction, Part, Stage
from sinkside.quantities import Quantity
from sinkside.route import Station, route_set
from sinkside.sets import SetDocument, read_set
from support.routing import (
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    exactly,
    named_cycle,
)
from support.set_house import a_device

#: Scene 2: the text dries for 30 min; the site has 132/4 with 20, and 134/3 with 30.
SCENE_2: Final = a_department(
    a_sterilizer(a_program("132 °C", "4 min", "20 min"), a_program("134 °C", "3 min", "30 min")),
    packaging=[{"id": "box", "name": "Box", "kind": "container", "methods": ["steam"]}],
)
DRIES_30: Final = an_instruction(named_cycle(132, 4, 30))
DRIES_20: Final = an_instruction(named_cycle(132, 4, 20))


def _spaced(words: str) -> str:
    """Figures as sentences write them, with a space that does not break before the unit."""
    return words.replace(" °C", "\N{NO-BREAK SPACE}°C").replace(" min", "\N{NO-BREAK SPACE}min")


def _set(*members: str, count: int = 1) -> SetDocument:
    return read_set(
        {"name": "Hand set", "members": [{"instruction": one, "count": count} for one in members]}
    )


def _chosen(site: Department, program: str, *, rack: str = "") -> Chosen:
    machine = next(one for one in site.machines if any(each.name == program for each in one.programs))
    found = chosen_in(site, machine.id, program, rack)
    assert found is not None
    return found


def _piece(
    goes: Goes, *, state: str = "packed", mass_kg: float | None = 4.0, name: str = "Hand set 1"
) -> Piece:
    return Piece("c-1", name, state, goes, mass_kg)


WHOLE: Final = Goes(members=("hook",))


def test_a_cycle_that_dries_too_short_is_refused_and_no_hotter_one_offered() -> None:
    """Scene 2: never 134/3 for a text that names 132/4 with 30 min drying; nothing here would do."""
    chosen = _chosen(SCENE_2, "132 °C, 4 min, drying 20 min")
    goes = goes_into(_set("hook"), {"hook": DRIES_30}, SCENE_2, chosen)
    found = objections(chosen, (), _piece(goes), SCENE_2)
    asked = f"prevacuum steam, {_spaced('132 °C, 4 min')}, drying {_spaced('30 min')}"
    assert len(found) == 1
    assert found[0].why == (
        "Hand set 1 does not go into Sterilizer 1, 132 °C, 4 min, drying 20 min: hook, because it dries for "
        f"20 min, and its text asks for: {asked}."
    )
    assert found[0].instead == "No program here would do for it; no cycle stands in for another."


def test_what_would_do_is_a_program_that_every_refused_member_names() -> None:
    """In the wrong program of the right machine, the sentence names the right one."""
    chosen = _chosen(SCENE_2, "134 °C, 3 min, drying 30 min")
    goes = goes_into(_set("hook"), {"hook": DRIES_20}, SCENE_2, chosen)
    (found,) = objections(chosen, (), _piece(goes), SCENE_2)
    assert found.instead == "What would do for it: Sterilizer 1, 132 °C, 4 min, drying 20 min."


def test_a_member_without_a_text_keeps_the_set_out() -> None:
    """Where nobody knows what a member bears, nothing is assumed."""
    chosen = _chosen(SCENE_2, "132 °C, 4 min, drying 20 min")
    goes = goes_into(_set("hook", "probe"), {"hook": DRIES_20}, SCENE_2, chosen)
    assert [one.member for one in goes.refused] == ["probe"]
    assert objections(chosen, (), _piece(goes), SCENE_2)


@pytest.mark.parametrize(
    "state", ["soiled", "at-sink", "in-washer", "clean-side", "packing", "held", "in-store"]
)
def test_only_what_is_packed_enters_a_sterilizer(state: str) -> None:
    """Zones: soiled, washed but open, held and stored sets are refused, each with what is to be done."""
    chosen = _chosen(SCENE_2, "132 °C, 4 min, drying 20 min")
    (found,) = objections(chosen, (), _piece(WHOLE, state=state), SCENE_2)
    assert found.instead
    assert "soiled" in found.why or state not in {"soiled", "at-sink", "in-washer"}


def test_a_clean_set_never_goes_back_among_soiled_ones() -> None:
    """A washer takes what is soiled; a set from the clean side goes back to the sink as a whole."""
    washer = Machine(id="w", name="Washer", kind=MachineKind.washer_disinfector)
    chosen = Chosen(washer, SCENE_2.machines[0].programs[0])
    assert objections(chosen, (), _piece(WHOLE, state="clean-side"), SCENE_2)
    assert not objections(chosen, (), _piece(WHOLE, state="at-sink"), SCENE_2)


def test_immediate_use_is_no_ordinary_load() -> None:
    """A program for immediate use refuses everything: it has a form of its own."""
    quick = a_program("134 °C", "3 min", None).model_copy(update={"use": "immediate-use"})
    site = a_department(a_sterilizer(quick))
    (found,) = objections(Chosen(site.machines[0], quick), (), _piece(WHOLE), site)
    assert "immediate use" in found.why


def test_the_load_is_weighed_as_it_grows() -> None:
    """Three sets of 8.5 kg are 25.5 kg: a chamber for 25 kg takes two. One of unknown mass is told."""
    heavy = a_program("132 °C", "4 min", "20 min").model_copy(
        update={"chamber": SCENE_2.machines[0].programs[0].chamber}
    )
    heavy = type(heavy).model_validate({**heavy.model_dump(exclude_none=True), "chamber": {"load": "25 kg"}})
    chosen = Chosen(a_sterilizer(heavy), heavy)
    two = [_piece(WHOLE, mass_kg=8.5), _piece(WHOLE, mass_kg=8.0)]
    assert not objections(chosen, two[:1], _piece(WHOLE, mass_kg=8.5), SCENE_2)
    (found,) = objections(chosen, two, _piece(WHOLE, mass_kg=8.6), SCENE_2)
    assert "25.1 kg" in found.why
    assert not objections(chosen, two, _piece(WHOLE, mass_kg=None), SCENE_2)
    assert sum_of([_piece(WHOLE, mass_kg=None)]).unweighed == ("Hand set 1",)


def _washer_site() -> Department:
    program = {
        "kind": "washer-disinfector",
        "name": "tubes",
        "phases": [{"name": "wash", "temperature": {"min": "55 °C", "max": "60 °C"}, "time": "10 min"}],
    }
    washer = {
        "id": "washer-1",
        "name": "Washer 1",
        "kind": "washer-disinfector",
        "programs": [program],
        "racks": [
            {"id": "plain", "name": "plain rack"},
            {"id": "six", "name": "rack with six ports", "lumen_connections": 6},
        ],
    }
    return a_department(Machine.model_validate(washer))


def _connected(ports: int) -> Instruction:
    return an_instruction(
        a_step(Action.connect, step_id="s1", on=[f"port-{number}" for number in range(ports)]),
        a_step(Action.wash, exactly(10, "min", "time"), step_id="s2", stage=Stage.cleaning, using="washer"),
    )


def test_every_lumen_of_a_load_needs_a_port_of_its_rack() -> None:
    """Two devices with two ports take four of six: a second set of them does not fit, one device does."""
    site = _washer_site()
    chosen = _chosen(site, "tubes", rack="six")
    pair = goes_into(_set("tube", count=2), {"tube": _connected(2)}, site, chosen)
    one = goes_into(_set("tube"), {"tube": _connected(2)}, site, chosen)
    assert (pair.connections, one.connections) == (4, 2)
    first = _piece(pair, state="at-sink")
    assert not objections(chosen, (), first, site)
    (found,) = objections(chosen, [first], first, site)
    assert "2 of 6 connections left" in found.why
    assert not objections(chosen, [first], _piece(one, state="at-sink"), site)


def test_a_rack_without_ports_is_refused_and_the_right_one_named() -> None:
    """Lumens that are not connected are not cleaned; the sentence names the rack that would do."""
    site = _washer_site()
    goes = goes_into(_set("tube"), {"tube": _connected(2)}, site, _chosen(site, "tubes"))
    for chosen in (_chosen(site, "tubes"), _chosen(site, "tubes", rack="plain")):
        (found,) = objections(chosen, (), _piece(goes, state="at-sink"), site)
        assert found.instead == "What would do: rack with six ports."


def test_members_that_are_cleaned_by_hand_are_told_and_not_refused() -> None:
    """A text without a washer goes into none; where nothing goes in, the set is refused."""
    site = _washer_site()
    chosen = _chosen(site, "tubes", rack="six")
    texts = {"tube": _connected(1), "hook": DRIES_20}
    goes = goes_into(_set("tube", "hook"), texts, site, chosen)
    assert (goes.members, goes.elsewhere) == (("tube",), ("hook",))
    assert not objections(chosen, (), _piece(goes, state="at-sink"), site)
    nothing = goes_into(_set("hook"), texts, site, chosen)
    assert objections(chosen, (), _piece(nothing, state="at-sink"), site)


def test_what_a_load_refuses_is_what_the_route_does_not_bind() -> None:
    """For pairs of texts and each program alone, the members that go in are those that the route serves."""
    site = a_department(
        *(
            a_sterilizer(a_program(heat, time, drying), number=number)
            for number, (heat, time, drying) in enumerate(
                [("132 °C", "4 min", "20 min"), ("132 °C", "4 min", "30 min"), ("134 °C", "5 min", "25 min")],
                1,
            )
        )
    )
    texts = {
        "a": an_instruction(named_cycle(132, 4, 20)),
        "b": an_instruction(named_cycle(132, 4, 30)),
        "c": a_device("c"),
        "d": an_instruction(named_cycle(134, 3, 20)),
    }
    seen = set()
    for pair in (("a", "b"), ("a", "c"), ("b", "b2"), ("c", "d"), ("a", "a2"), ("c", "c2")):
        known = {name: texts[name[0]] for name in pair}
        for machine in site.machines:
            chosen = Chosen(machine, machine.programs[0])
            goes = goes_into(_set(*pair), known, site, chosen)
            alone = replace_machines(site, machine)
            route = route_set(_set(*pair), known, alone)
            served = {name for load in route.loads if load.program for name in load.members}
            assert set(goes.members) == served, (pair, machine.id)
            seen.add(len(served))
    assert seen == {0, 1, 2}


def replace_machines(site: Department, machine: Machine) -> Department:
    """The site with one machine only."""
    return site.model_copy(update={"machines": (machine,)})


def test_claims_count_every_lumen_of_the_load_whosever_it_is() -> None:
    """A claim of 400 mm for two lumens takes two devices with one each, and no third beside them."""
    claim = {"material": "stainless steel", "bore": "1 mm", "length": "400 mm", "lumens": 2}
    program = {
        "kind": "exposure",
        "name": "Hydrogen peroxide, 28 min",
        "exposure": {"temperature": "50 °C", "time": "28 min"},
        "lumen_claims": [claim],
    }
    machine = {"id": "low-1", "name": "Low 1", "kind": "gas-sterilizer", "programs": [program]}
    site = a_department(Machine.model_validate(machine))
    figures = (exactly(50, "°C", "temperature"), exactly(28, "min", "time"))
    cycle = a_step(Action.sterilize, *figures, stage=Stage.sterilization, using="hydrogen peroxide")
    lumen = Feature(
        id="lumen", kind=FeatureKind.lumen, bore=Quantity.parse("1 mm"), length=Quantity.parse("300 mm")
    )
    text = an_instruction(
        cycle, parts=[Part(id="shaft", name="shaft", materials=("stainless steel",))], features=[lumen]
    )
    chosen = _chosen(site, "Hydrogen peroxide, 28 min")
    one = _piece(goes_into(_set("scope"), {"scope": text}, site, chosen))
    assert one.goes.lumens == 1
    assert not objections(chosen, [one], one, site)
    (found,) = objections(chosen, [one, one], one, site)
    assert "3 lumens" in found.why
    without = _piece(WHOLE)
    assert not objections(chosen, [one, one], without, site)


def test_members_taken_out_before_keep_the_rest_out_no_longer() -> None:
    """Before packing a set may go in parts; what was taken out is no reason to refuse the rest."""
    goes = goes_into(
        _set("tube", "probe"), {"tube": _connected(1)}, _washer_site(), _chosen(_washer_site(), "tubes")
    )
    assert goes.refused
    assert not goes.without(["probe"]).refused
    assert replace(goes, refused=()).instead == ()


def test_a_station_is_known_for_every_machine_that_takes_loads() -> None:
    """A sterilizer stands at the sterilizer's station; a sealer takes no load."""
    assert _chosen(SCENE_2, "132 °C, 4 min, drying 20 min").station is Station.sterilizer
    sealer = Machine(
        id="s", name="Sealer", kind=MachineKind.heat_sealer, programs=SCENE_2.machines[0].programs[:1]
    )
    assert chosen_in(a_department(sealer), "s", sealer.programs[0].name) is None
