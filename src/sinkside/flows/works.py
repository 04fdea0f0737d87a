"""Every step that pushes something through a lumen, with what that comes to and what stays open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from sinkside.department import Department
from sinkside.documents import Value
from sinkside.errors import OutsideValidity
from sinkside.flows.blowing import air_flows, air_pressure_of, air_values, drying_value
from sinkside.flows.conditions import Conditions
from sinkside.flows.flushing import flow_is_assumed, flush_of, flushed_values, shares_of, whole_flow
from sinkside.flows.formulas import NOTES, Computed, Formula, FormulaNotes
from sinkside.flows.lumens import LumenSize, lumen_sizes, lumens_of
from sinkside.instruction import Action, FeatureKind, Instruction, Step
from sinkside.quantities import Bound, FigureQuantity

_PUSHED = (Action.flush, Action.blow)

#: What a position does to a flush, where the device has such a feature.
_POSITIONS = {
    (FeatureKind.jaw, "closed"): "The jaw is closed: how much gets past it is not in any figure here.",
    (FeatureKind.port, "capped"): "The port is capped: nothing gets in or out there.",
    (FeatureKind.sliding_sleeve, "forward"): "The sleeve is forward: what it covers is not reached.",
}


class LumenWork(Value):
    """One step at one lumen.

    Attributes:
        step: Its id.
        action: Whether it flushes or blows.
        words: The text's own words.
        lumen: What the text calls the lumen.
        values: What was computed.
        said: What stays open, what was taken for granted, what a position does: a sentence each.
    """

    step: str
    action: Action
    words: str
    lumen: str
    values: tuple[Computed, ...]
    said: tuple[str, ...]


class LumenReport(Value):
    """What goes through the lumens of a device, and by which formulas that was computed."""

    format: Literal["sinkside/lumens-1"] = "sinkside/lumens-1"
    device: str
    works: tuple[LumenWork, ...]
    formulas: dict[Formula, FormulaNotes]


def lumen_report(
    instruction: Instruction, department: Department | None = None, conditions: Conditions | None = None
) -> LumenReport:
    """What flushes and blows of an instruction come to, step by step and lumen by lumen.

    Nothing here shortens a time or a volume that the text states.

    Args:
        instruction: The maker's text.
        department: Whose air and altitude count where the text says nothing.
        conditions: What is taken where neither says anything.
    """
    taken, sizes = conditions or Conditions(), lumen_sizes(instruction)
    works = tuple(
        work
        for step in instruction.steps
        if step.action in _PUSHED
        for work in _at_lumens(instruction, step, lumens_of(step, sizes), department, taken)
    )
    used = {value.formula for work in works for value in work.values}
    notes = {formula: NOTES[formula] for formula in Formula if formula in used}
    return LumenReport(device=instruction.device.name, works=works, formulas=notes)


class _Found(NamedTuple):
    """What was computed at one lumen, and what is to be said of it."""

    values: tuple[Computed, ...]
    said: tuple[str, ...]


def _at_lumens(
    instruction: Instruction,
    step: Step,
    lumens: tuple[LumenSize, ...],
    department: Department | None,
    conditions: Conditions,
) -> Iterator[LumenWork]:
    positions = tuple(_positions(instruction, step))
    for lumen in lumens:
        if lumen.missing:
            missing = " and no ".join(lumen.missing)
            yield _work(step, lumen, (), (f"The text gives no {missing} of “{lumen.name}”: ask the maker.",))
            continue
        find = _flushed if step.action is Action.flush else _blown
        try:
            found = find(step, lumen, lumens, department, conditions)
        except OutsideValidity as error:
            found = _Found((), (f"No figure: {error}.",))
        yield _work(step, lumen, found.values, (*found.said, *positions))


def _work(step: Step, lumen: LumenSize, values: tuple[Computed, ...], said: tuple[str, ...]) -> LumenWork:
    return LumenWork(
        step=step.id,
        action=step.action,
        words=step.origin.text,
        lumen=lumen.name,
        values=values,
        said=said,
    )


def _flushed(
    step: Step,
    lumen: LumenSize,
    lumens: tuple[LumenSize, ...],
    department: Department | None,
    conditions: Conditions,
) -> _Found:
    del department
    flush = flush_of(step, conditions)
    said: list[str] = []
    flow = whole_flow(lumen, flush, conditions)
    share = (1.0, 1.0)
    if len(lumens) > 1 and any(one.missing for one in lumens):
        said.append("Several lumens share this flush, and not all sizes are told: each may get less.")
    elif len(lumens) > 1 and flow is not None and not flush.pressure_pa:
        found = [one[lumen.id] for one in shares_of(lumens, flow, conditions)]
        share = (min(found), max(found))
        said.append("Several lumens begin at one place here: the widest and shortest takes the most.")
    if flow_is_assumed(flush):
        quick, slow = conditions.by_hand_s
        said.append(
            "A volume without a time leaves speed, pressure and pull at the wall open:"
            f" given here for {quick:g} to {slow:g} s by hand."
        )
    elif flow is None:
        said.append("No volume, time or pressure is told: how much goes through stays open.")
    return _Found(tuple(flushed_values(lumen, flush, conditions, share=share)), tuple(said))


def _blown(
    step: Step,
    lumen: LumenSize,
    lumens: tuple[LumenSize, ...],
    department: Department | None,
    conditions: Conditions,
) -> _Found:
    pressure = air_pressure_of(step, department)
    if pressure is None:
        return _Found((), ("No pressure of the air is told: how much goes through stays open.",))
    said = ["The stated time holds; an even film is the least that must dry."]
    figure = step.figure(FigureQuantity.pressure)
    if figure is not None and figure.bound is Bound.at_most:
        said.append("The pressure is told as a most: with less, less air goes through.")
    if lumen.rod_m:
        said.append("The rod in the bore is left out: less air goes through, and water stays longer.")
    if len(lumens) > 1:
        said.append("Several lumens share this air: each may get less.")
    altitude = department.altitude.to("m") if department else 0.0
    flows = air_flows(lumen, pressure, conditions, altitude_m=altitude)
    values = tuple(air_values(flows))
    try:
        lasts = drying_value(lumen, flows, conditions, altitude_m=altitude)
        return _Found((*values, lasts), tuple(said))
    except OutsideValidity as error:
        return _Found(values, (*said, f"How long a film lasts is not told: {error}."))


def _positions(instruction: Instruction, step: Step) -> Iterator[str]:
    kinds = {feature.kind for feature in instruction.device.features}
    for (kind, position), sentence in _POSITIONS.items():
        if kind in kinds and step.positions.get(kind.value.removeprefix("sliding-")) == position:
            yield sentence
