"""The rules of the trade about steam cycles: the named cycle or none."""

from __future__ import annotations

import pytest

from sinkside.instruction import Action, AirRemoval, DeviceLimit, Step
from sinkside.quantities import Figure
from sinkside.route import resolve
from sinkside.route.steam_cycles import is_same_steam_temperature
from support.routing import (
    a_cycle,
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    at_least,
    at_most,
    between,
    exactly,
    named_cycle,
    nearest,
)


def _resolves(*figures: Figure, temperature: str, time: str, drying: str | None, pulses: int = 4) -> bool:
    """Whether a department with one program serves a cycle with these figures."""
    program = a_program(temperature, time, drying, pulses=pulses)
    return resolve(an_instruction(a_cycle(*figures)), a_department(a_sterilizer(program))).resolved


def test_a_shorter_drying_is_no_route_and_a_hotter_cycle_is_none_either() -> None:
    """132 °C for 4 min with 30 min drying is not served by 20 min drying, nor by 134 °C for 3 min with 30."""
    department = a_department(
        a_sterilizer(a_program("132 °C", "4 min", "20 min")),
        a_sterilizer(a_program("134 °C", "3 min", "30 min"), number=2),
    )
    route = resolve(an_instruction(named_cycle(132, 4, 30)), department)
    assert not route.resolved
    assert route.operations == ()
    assert [finding.rule for finding in route.conflicts] == ["route-no-steam-program"]
    assert "it dries for 20 min" in nearest(route)
    smallest = route.changes[0]
    assert smallest.sentence == "Validate 30\u00a0min drying on 132 °C, 4 min, drying 20 min (Sterilizer 1)."
    assert smallest.resolves == ("s9",)
    assert [change.size for change in route.changes] == sorted(change.size for change in route.changes)
    assert not any("134" in change.sentence for change in route.changes)


@pytest.mark.parametrize(
    ("stated_c", "set_c", "same"),
    [
        (132.0, 132.0, True),
        (132.222, 132.0, True),
        (121.111, 121.0, True),
        (135.0, 135.0, True),
        (134.0, 135.0, False),
        (132.0, 134.0, False),
        (121.0, 132.0, False),
        (143.0, 143.0, True),
        (143.0, 134.0, False),
    ],
)
def test_labels_match_and_never_cross(stated_c: float, set_c: float, *, same: bool) -> None:
    """270 °F is 132 °C and 250 °F is 121 °C; 121, 132, 134 and 135 °C are four different cycles."""
    assert is_same_steam_temperature(stated_c, set_c) is same


def test_a_fahrenheit_label_finds_its_celsius_program() -> None:
    """A text in °F is served by the program of the same label: 270 °F by 132 °C (CDC 2008, Table 7)."""
    figures = (
        exactly(270, "°F", "temperature"),
        exactly(4, "min", "time"),
        exactly(30, "min", "time", "drying"),
    )
    assert _resolves(*figures, temperature="132 °C", time="4 min", drying="30 min")
    assert not _resolves(*figures, temperature="134 °C", time="4 min", drying="30 min")


@pytest.mark.parametrize(
    ("exposure", "time", "serves"),
    [
        (exactly(4, "min", "time"), "4 min", True),
        (exactly(4, "min", "time"), "240 s", True),
        (exactly(4, "min", "time"), "5 min", False),
        (exactly(4, "min", "time"), "3 min", False),
        (at_least(4, "min", "time"), "5 min", True),
        (at_least(4, "min", "time"), "3 min", False),
        (between(3, 18, "min", "time"), "5 min", True),
        (between(3, 18, "min", "time"), "20 min", False),
        (at_most(18, "min", "time"), "5 min", False),
    ],
)
def test_longer_only_where_the_text_says_at_least(exposure: Figure, time: str, *, serves: bool) -> None:
    """An exact exposure is exact, "at least" may be longer, and "at most" alone names no cycle."""
    stated = (exactly(134, "°C", "temperature"), exposure, exactly(20, "min", "time", "drying"))
    assert _resolves(*stated, temperature="134 °C", time=time, drying="20 min") is serves


@pytest.mark.parametrize(
    ("drying", "program", "serves"),
    [
        (exactly(30, "min", "time", "drying"), "30 min", True),
        (exactly(30, "min", "time", "drying"), "45 min", False),
        (at_least(30, "min", "time", "drying"), "45 min", True),
        (at_least(30, "min", "time", "drying"), "20 min", False),
        (exactly(30, "min", "time", "drying"), None, False),
    ],
)
def test_drying_is_part_of_the_cycle(drying: Figure, program: str | None, *, serves: bool) -> None:
    """A stated drying time is kept like the exposure, and is never shortened."""
    stated = (exactly(132, "°C", "temperature"), exactly(4, "min", "time"), drying)
    assert _resolves(*stated, temperature="132 °C", time="4 min", drying=program) is serves


def test_pulses_are_at_least_those_named() -> None:
    """A program with fewer pulses than named does not serve; one with more does."""
    stated = (
        exactly(134, "°C", "temperature"),
        exactly(3, "min", "time"),
        exactly(15, "min", "time", "drying"),
        exactly(3, "1", "count", "pulses"),
    )
    assert _resolves(*stated, temperature="134 °C", time="3 min", drying="15 min", pulses=4)
    assert not _resolves(*stated, temperature="134 °C", time="3 min", drying="15 min", pulses=2)


@pytest.mark.parametrize(
    ("way", "kind", "serves"),
    [
        (AirRemoval.prevacuum, "steam-prevacuum", True),
        (AirRemoval.prevacuum, "steam-gravity", False),
        (AirRemoval.prevacuum, "steam-pulse", False),
        (AirRemoval.gravity, "steam-gravity", True),
        (AirRemoval.gravity, "steam-prevacuum", False),
        (AirRemoval.pulse, "steam-pulse", True),
    ],
)
def test_the_way_of_air_removal_is_the_named_one(way: AirRemoval, kind: str, *, serves: bool) -> None:
    """Gravity, prevacuum and pulses above atmosphere do not stand in for one another."""
    department = a_department(a_sterilizer(a_program("121 °C", "30 min", "30 min", kind=kind)))
    assert resolve(an_instruction(named_cycle(121, 30, 30, way)), department).resolved is serves


@pytest.mark.parametrize(
    ("step", "unsaid"),
    [
        (a_cycle(exactly(134, "°C", "temperature"), exactly(3, "min", "time"), way=None), "air removal"),
        (a_cycle(exactly(3, "min", "time")), "temperature"),
        (a_cycle(exactly(134, "°C", "temperature")), "exposure time"),
    ],
)
def test_what_the_text_leaves_open_is_asked_and_never_filled_in(step: Step, unsaid: str) -> None:
    """A cycle without its way of air removal, temperature or time is no cycle to choose from."""
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")))
    route = resolve(an_instruction(step), department)
    assert [finding.rule for finding in route.conflicts] == ["route-cycle-not-named"]
    assert unsaid in route.conflicts[0].message
    assert route.changes[0].sentence.startswith("Ask the maker")


def test_a_drying_time_that_is_not_stated_is_a_concern() -> None:
    """Where the text states no drying, the program's own holds and the route says so."""
    step = a_cycle(exactly(134, "°C", "temperature"), exactly(3, "min", "time"))
    route = resolve(an_instruction(step), a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min"))))
    assert route.resolved
    assert [finding.rule for finding in route.findings] == ["route-drying-unsaid"]


def test_a_band_of_the_text_bounds_the_band_of_the_program() -> None:
    """134 to 135 °C is not served by 134 °C with a band of 3 K; 134 to 137 °C is."""
    rest = (exactly(3, "min", "time"), exactly(15, "min", "time", "drying"))
    narrow, wide = (between(134, top, "°C", "temperature") for top in (135, 137))
    assert not _resolves(narrow, *rest, temperature="134 °C", time="3 min", drying="15 min")
    assert _resolves(wide, *rest, temperature="134 °C", time="3 min", drying="15 min")


def test_a_cycle_for_immediate_use_is_never_a_default_route() -> None:
    """A cycle under the condition of immediate use is refused although a machine has it."""
    step = a_cycle(
        exactly(132, "°C", "temperature"), exactly(4, "min", "time"), condition="immediate use only"
    )
    route = resolve(an_instruction(step), a_department(a_sterilizer(a_program("132 °C", "4 min", None))))
    assert [finding.rule for finding in route.conflicts] == ["route-immediate-use-only"]


def test_a_cycle_that_the_text_forbids_elsewhere_is_not_used() -> None:
    """Gravity that is named and forbidden in the same text is a conflict, with the words that forbid it."""
    department = a_department(a_sterilizer(a_program("121 °C", "30 min", "30 min", kind="steam-gravity")))
    forbidden = "Gravity sterilization is not allowed."
    route = resolve(
        an_instruction(named_cycle(121, 30, 30, AirRemoval.gravity), forbids=[forbidden]), department
    )
    assert [finding.rule for finding in route.conflicts] == ["route-step-forbidden"]
    assert forbidden in route.conflicts[0].message


def test_several_named_cycles_are_alternatives() -> None:
    """Of two cycles that a text names the department's own is taken, whichever stands first."""
    gravity = a_cycle(
        exactly(121, "°C", "temperature"),
        exactly(30, "min", "time"),
        exactly(30, "min", "time", "drying"),
        step_id="s8",
        way=AirRemoval.gravity,
    )
    department = a_department(a_sterilizer(a_program("132 °C", "4 min", "30 min")))
    route = resolve(an_instruction(gravity, named_cycle(132, 4, 30)), department)
    assert route.resolved
    assert [operation.steps for operation in route.operations] == [("s9",)]
    assert "2 ways" in route.operations[0].why


def test_a_temperature_that_nobody_recognises_is_asked_and_never_proposed() -> None:
    """143 °C is no recognised steam temperature: no change proposes such a cycle."""
    department = a_department(a_sterilizer(a_program("134 °C", "4 min", "20 min")))
    route = resolve(an_instruction(named_cycle(143, 4, 20)), department)
    assert not route.resolved
    assert [change.sentence.split(":")[0] for change in route.changes] == [
        "Ask the maker for the temperature"
    ]


@pytest.mark.parametrize(("celsius", "serves"), [(132, True), (133, True), (134, False)])
def test_a_pair_that_disagrees_is_asked_and_neither_half_is_taken(celsius: float, *, serves: bool) -> None:
    """270 °F (134 °C) names two cycles; 270 °F (132 °C) is one, rounded (CDC 2008, Table 7)."""
    pair = exactly(270, "°F", "temperature").model_copy(
        update={"also": (exactly(celsius, "°C", "temperature"),)}
    )
    step = a_cycle(pair, exactly(4, "min", "time"), exactly(30, "min", "time", "drying"))
    department = a_department(
        a_sterilizer(a_program("132 °C", "4 min", "30 min"), a_program("134 °C", "4 min", "30 min"))
    )
    route = resolve(an_instruction(step), department)
    assert route.resolved is serves
    if not serves:
        assert [finding.rule for finding in route.conflicts] == ["route-figures-disagree"]


def test_a_cycle_for_prion_suspicion_is_never_proposed() -> None:
    """134 °C for 18 min if prion disease is suspected is left to a person; the cycle beside it is taken."""
    long = a_cycle(
        exactly(134, "°C", "temperature"),
        exactly(18, "min", "time"),
        exactly(15, "min", "time", "drying"),
        step_id="s8",
        condition="if prion disease is suspected",
    )
    department = a_department(
        a_sterilizer(a_program("134 °C", "18 min", "15 min"), a_program("134 °C", "3 min", "15 min"))
    )
    assert [finding.rule for finding in resolve(an_instruction(long), department).conflicts] == [
        "route-prion-cycle-only"
    ]
    route = resolve(an_instruction(long, named_cycle(134, 3, 15)), department)
    assert [operation.steps for operation in route.operations] == [("s9",)]


def test_a_condition_on_a_cycle_is_a_concern() -> None:
    """A cycle that holds only under a condition is taken with a concern that quotes it."""
    step = a_cycle(
        exactly(134, "°C", "temperature"),
        exactly(3, "min", "time"),
        exactly(15, "min", "time", "drying"),
        condition="where local rules ask for it",
    )
    route = resolve(an_instruction(step), a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min"))))
    assert [finding.rule for finding in route.findings] == ["route-cycle-conditional"]
    assert "where local rules ask for it" in route.findings[0].message


def test_sterilizing_that_is_only_mentioned_is_no_way_around_the_cycle() -> None:
    """The words "sterilize before first use" are no alternative to a cycle, whatever letter they bear."""
    mention = a_cycle(step_id="s8", way=None, alternative="a")
    named = named_cycle(134, 3, 15).model_copy(update={"alternative": "a"})
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")))
    route = resolve(an_instruction(mention, named), department)
    assert [(found.steps, bool(found.bindings)) for found in route.operations] == [
        (("s8",), False),
        (("s9",), True),
    ]
    assert not resolve(an_instruction(mention, named), a_department()).resolved
    assert not resolve(an_instruction(mention), department).resolved


def test_what_does_not_sterilize_is_no_alternative_to_sterilizing() -> None:
    """A step under the same letter that needs nothing does not take the cycle's place."""
    wipe = a_step(Action.other, step_id="s8", alternative="a")
    named = named_cycle(134, 3, 15).model_copy(update={"alternative": "a"})
    assert not resolve(an_instruction(wipe, named), a_department()).resolved


@pytest.mark.parametrize("end", ["max", "value"])
def test_a_cycle_hotter_than_the_device_bears_is_asked(end: str) -> None:
    """134 °C for a device that must not be heated above 130 °C is a contradiction for the maker."""
    limit = DeviceLimit.model_validate(
        {"quantity": "temperature", end: 130, "unit": "°C", "limits": "temperature"}
    )
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")))
    route = resolve(an_instruction(named_cycle(134, 3, 15), limits=[limit]), department)
    assert [finding.rule for finding in route.conflicts] == ["route-limit-contradicted"]
    cooler = a_department(a_sterilizer(a_program("121 °C", "20 min", "15 min")))
    assert resolve(an_instruction(named_cycle(121, 20, 15), limits=[limit]), cooler).resolved


def test_a_band_that_reaches_above_the_limit_is_a_concern() -> None:
    """134 °C with a band of 3 K reaches 137 °C: for a device that bears 135 °C the route says so."""
    limit = DeviceLimit.model_validate(
        {"quantity": "temperature", "max": 135, "unit": "°C", "limits": "temperature"}
    )
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")))
    route = resolve(an_instruction(named_cycle(134, 3, 15), limits=[limit]), department)
    assert [finding.rule for finding in route.findings] == ["route-band-above-limit"]
    assert "137 °C" in route.findings[0].message
