"""The machine cycles that an instruction names, figure by figure."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sinkside.department import WasherPhaseName
from sinkside.instruction import Action, AirRemoval, FigureRole, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.route import words
from sinkside.route.a0 import a0_of
from sinkside.route.facts import Facts
from sinkside.route.grouping import said
from sinkside.route.needs import CabinetNeed, GasNeed, PhaseNeed, SteamNeed, WasherNeed
from sinkside.route.phrases import Phrase, Together
from sinkside.route.solutions import chemistry_words, dose_of, dose_window
from sinkside.route.windows import Window, window_of

_PHASES = {
    Action.pre_rinse: WasherPhaseName.pre_rinse,
    Action.wash: WasherPhaseName.wash,
    Action.rinse: WasherPhaseName.rinse,
    Action.disinfect: WasherPhaseName.disinfection,
    Action.dry: WasherPhaseName.drying,
}

_WAYS = {
    AirRemoval.prevacuum: re.compile(r"\bpre-?\s?vac|\bdynamic|\bfractionated", re.IGNORECASE),
    AirRemoval.gravity: re.compile(r"\bgravity", re.IGNORECASE),
    AirRemoval.pulse: re.compile(r"\b(?:flush|steam)(?:ing)?[\s-]+(?:\w+[\s-]+)?pulse", re.IGNORECASE),
}


def steam_need(steps: Sequence[Step], facts: Facts) -> SteamNeed:
    """The steam cycle that a sterilizing step names, with the drying steps that follow it."""
    head = steps[0]
    temperature = window_of(_exposing(head, FigureQuantity.temperature), "°C")
    exposure = window_of(_exposing(head, FigureQuantity.time), "s")
    drying = window_of(_drying(steps), "s")
    pulses = window_of(head.figure(FigureQuantity.counted, FigureRole.pulses), "1")
    unsaid = tuple(
        name
        for name, missing in (
            ("the way of air removal", head.air_removal is None),
            ("the temperature", temperature is None or not temperature.has_floor),
            ("the exposure time", exposure is None or not exposure.has_floor),
        )
        if missing
    )
    around = " ".join((said(head), head.condition or "", head.heading or "", head.origin.text))
    return SteamNeed(
        tuple(steps),
        _steam_words(head, temperature, exposure, drying),
        air_removal=head.air_removal,
        temperature=temperature,
        exposure=exposure,
        drying=drying,
        pulses=pulses,
        band=window_of(head.figure(FigureQuantity.temperature_difference), "K"),
        ceiling=facts.sterilizing_ceiling,
        unsaid=unsaid,
        forbidden=facts.prohibition_of(_WAYS[head.air_removal], head) if head.air_removal else "",
        immediate_use=words.is_immediate_use(around),
        for_prions=words.is_for_prions(around),
        condition=head.condition or "",
    )


def _exposing(step: Step, quantity: FigureQuantity) -> Figure | None:
    """The figure of the exposure: named so, else the first that plays no other part."""
    figures = step.figures_of(quantity)
    named = [figure for figure in figures if figure.role == FigureRole.exposure]
    bare = [figure for figure in figures if figure.role is None]
    return next(iter(named or bare), None)


def _drying(steps: Sequence[Step]) -> Figure | None:
    """The drying time: in the cycle's own step, else in the drying step that follows."""
    own = steps[0].figure(FigureQuantity.time, FigureRole.drying)
    return own or next(
        (figure for step in steps[1:] if (figure := step.figure(FigureQuantity.time)) is not None), None
    )


def _steam_words(
    head: Step, temperature: Window | None, exposure: Window | None, drying: Window | None
) -> Together:
    way = head.air_removal.value if head.air_removal else ""
    parts = [Phrase(f"{way} steam".strip())]
    parts += [Phrase("{figure}", {"figure": w.figure}) for w in (temperature, exposure) if w]
    if drying:
        parts.append(Phrase("drying {figure}", {"figure": drying.figure}))
    return Together(tuple(parts))


def agent_of(step: Step) -> str:
    """With what a cycle of gas or vapour sterilizes, in the step's own words or else in its sentence's."""
    method = words.sterilizing_method(step.origin.text)
    return said(step).strip() or (method.value.replace("-", " ") if method else "")


def gas_need(steps: Sequence[Step], facts: Facts) -> GasNeed:
    """The cycle of gas or vapour that a sterilizing step names."""
    head = steps[0]
    agent = agent_of(head)
    temperature = _exposing(head, FigureQuantity.temperature)
    exposure = _exposing(head, FigureQuantity.time)
    stated = tuple(Phrase("{figure}", {"figure": figure}) for figure in (temperature, exposure) if figure)
    return GasNeed(
        tuple(steps),
        Together((Phrase("{agent}", {"agent": agent}), *stated)),
        agent,
        window_of(temperature, "°C"),
        window_of(exposure, "s"),
        facts.lumens,
    )


def cabinet_need(step: Step) -> CabinetNeed:
    """The drying cabinet that a drying step names."""
    return CabinetNeed(
        (step,),
        Phrase("a drying cabinet"),
        window_of(step.figure(FigureQuantity.temperature), "°C"),
        window_of(step.figure(FigureQuantity.time), "s"),
    )


def washer_need(steps: Sequence[Step], facts: Facts) -> WasherNeed:
    """The washer program and rack that a block of steps asks for."""
    phases = tuple(_phase(step) for step in steps if step.action in _PHASES)
    asked = tuple(_phase_words(phase) for phase in phases)
    return WasherNeed(
        tuple(steps),
        Phrase("{phases}", {"phases": Together(asked, "; ")}),
        phases,
        connections=connections_of(steps),
        loads=any(step.action in {Action.load, Action.connect} for step in steps),
        ph=facts.ph,
        chloride=facts.chloride,
        materials=frozenset().union(*(facts.materials_of(step) for step in steps)),
    )


def connections_of(steps: Sequence[Step]) -> int:
    """How many lumens steps ask to have connected."""
    connected = (
        step for step in steps if step.action is Action.connect or step.positions.get("port") == "connected"
    )
    return len({name for step in connected for name in (step.on or (step.id,))})


def _phase(step: Step) -> PhaseNeed:
    temperature = window_of(step.figure(FigureQuantity.temperature), "°C")
    time = window_of(step.figure(FigureQuantity.time), "s")
    dose = dose_of(step)
    return PhaseNeed(
        step,
        _PHASES[step.action],
        temperature,
        time,
        _a0(step, temperature, time) if step.action is Action.disinfect else None,
        words.chemical_kinds(said(step)),
        tuple(Window.of(figure, "pH") for figure in step.figures_of(FigureQuantity.ph)),
        dose_window(dose) if dose else None,
        words.water_grade(said(step)),
    )


def _a0(step: Step, temperature: Window | None, time: Window | None) -> float | None:
    """The larger of the A0 that the step states and the A0 of its stated temperature and time, in s."""
    stated = step.figure(FigureQuantity.lethality)
    doses = [stated.number()] if stated else []
    if temperature and time and temperature.has_floor and time.has_floor:
        doses.append(a0_of(temperature.low, time.low))
    return max(doses, default=None)


def _phase_words(phase: PhaseNeed) -> Phrase | Together:
    figures = [window.figure for window in (phase.temperature, phase.time, *phase.ph) if window]
    stated = tuple(Phrase("{figure}", {"figure": figure}) for figure in figures)
    if phase.chemistry:
        stated = (*stated, Phrase("with {chemistry}", {"chemistry": chemistry_words(phase.chemistry, None)}))
    name = Phrase(phase.name.value)
    return Phrase("{phase} {figures}", {"phase": name, "figures": Together(stated)}) if stated else name
