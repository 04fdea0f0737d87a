"""Right instructions made at random stay quiet; one planted defect is found by its rule, and stops no more.

Instructions and defects are our own; no published corpus of annotated instructions was available.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.findings import Level
from sinkside.instruction import FigureRole, Instruction, Part, PartUse, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review import review
from support.clean_instruction import at_most, clean_instructions, figure, numbered, stated, step

Change = Callable[[Instruction], Instruction]


@dataclass(frozen=True)
class Plant:
    """One defect: the rule that must speak, how it is planted, and the other rules that may stop it too."""

    rule: str
    change: Change
    also: frozenset[str] = frozenset()


def _with(step_id: str, words: str | None = None, **more: Any) -> Change:
    """A change of one step: its words, its figures, anything."""

    def change(instruction: Instruction) -> Instruction:
        steps = [_changed(one, words, more) if one.id == step_id else one for one in instruction.steps]
        return numbered(instruction.model_copy(update={"steps": tuple(steps)}))

    return change


def _changed(one: Step, words: str | None, more: dict[str, Any]) -> Step:
    origin = one.origin.model_copy(update={"text": words if words is not None else one.origin.text})
    return one.model_copy(update={"origin": origin, **more})


def _swapped(step_id: str, quantity: FigureQuantity, new: Figure, words: str) -> Change:
    """A change of one figure of a step, and of the words that carry it."""

    def change(instruction: Instruction) -> Instruction:
        old = instruction.step(step_id)
        figures = tuple(new if one.quantity is quantity else one for one in old.figures)
        return _with(step_id, words, figures=figures)(instruction)

    return change


def _without(*step_ids: str) -> Change:
    """A change that leaves steps out."""
    return lambda instruction: numbered(
        instruction.model_copy(
            update={"steps": tuple(one for one in instruction.steps if one.id not in step_ids)}
        )
    )


def _behind(step_id: str, new: Step) -> Change:
    """A change that puts a step behind another."""

    def change(instruction: Instruction) -> Instruction:
        at = [one.id for one in instruction.steps].index(step_id) + 1
        steps = (*instruction.steps[:at], new, *instruction.steps[at:])
        return numbered(instruction.model_copy(update={"steps": steps}))

    return change


def _saying(kind: str, words: str, *figures: Figure) -> Change:
    """A change that adds a sentence."""
    return lambda instruction: numbered(
        instruction.model_copy(
            update={"statements": (*instruction.statements, stated(kind, words, *figures))}
        )
    )


def _part(part: Part) -> Change:
    """A change that adds a part to the device, and a cleaning step that works on it."""

    def change(instruction: Instruction) -> Instruction:
        device = instruction.device.model_copy(update={"parts": (*instruction.device.parts, part)})
        cleaned = step("clean-part", "cleaning", "soak", f"Soak the {part.name} too.", on=(part.id,))
        return _behind("soak", cleaned)(instruction.model_copy(update={"device": device}))

    return change


def _moved(step_id: str, behind: str) -> Change:
    """A change that moves a step behind another."""
    return lambda instruction: _behind(behind, instruction.step(step_id))(_without(step_id)(instruction))


TEMPERATURE, TIME, PH = FigureQuantity.temperature, FigureQuantity.time, FigureQuantity.ph
PRESSURE, VOLUME, LENGTH = FigureQuantity.pressure, FigureQuantity.volume, FigureQuantity.length

PLANTS = (
    Plant(
        "steam-temperature-not-recognised",
        _swapped(
            "steam", TEMPERATURE, figure("temperature", 143, "°C"), "Steam with vacuum: 143 °C, 20 min."
        ),
        frozenset({"hotter-than-own-limit"}),
    ),
    Plant(
        "exposure-too-short",
        _swapped("steam", TIME, figure("time", 40, "s", role="exposure"), "Steam with vacuum: 121 °C, 40 s."),
    ),
    Plant(
        "exposure-too-long",
        _swapped("steam", TIME, figure("time", 5, "h", role="exposure"), "Steam with vacuum: 5 h."),
    ),
    Plant(
        "exposure-is-a-range",
        _swapped(
            "steam",
            TIME,
            Figure(quantity=TIME, min=20, max=40, unit="min", role="exposure"),
            "Steam with vacuum: 20 to 40 min.",
        ),
    ),
    Plant(
        "a0-disagrees",
        _swapped(
            "disinfect", TIME, figure("time", 5, "s", role="exposure"), "Disinfect for 5 s (A0 = 3000)."
        ),
    ),
    Plant(
        "ph-outside-own-range",
        _swapped("wash", PH, figure("ph", 12.5, "pH"), "Wash in the machine for 8 min at pH 12.5."),
    ),
    Plant(
        "pressure-above-own-limit",
        _swapped("blow", PRESSURE, figure("pressure", 4, "bar"), "Blow 4 bar through the lumen for 30 s."),
    ),
    Plant(
        "pressure-implausible",
        _swapped("blow", PRESSURE, figure("pressure", 20, "bar"), "Blow 20 bar through the lumen for 30 s."),
        frozenset({"pressure-above-own-limit"}),
    ),
    Plant(
        "longer-than-own-limit",
        _swapped("soak", TIME, figure("time", 45, "min"), "Soak both parts in the solution for 45 min."),
    ),
    Plant(
        "cleaning-time-too-short",
        _swapped("soak", TIME, figure("time", 10, "s"), "Soak both parts in the solution for 10 s."),
    ),
    Plant(
        "fahrenheit-for-celsius",
        _swapped("wash", TEMPERATURE, figure("temperature", 55, "°F"), "Wash in the machine at 55 °F."),
    ),
    Plant(
        "two-units-disagree",
        _swapped(
            "solution",
            FigureQuantity.concentration,
            figure("concentration", 100, "mL/L", role="dose"),
            "Mix an enzymatic cleaner at 0.5 % (100 mL/L).",
        ),
    ),
    Plant(
        "product-is-not-total",
        lambda instruction: _with(
            "flush",
            figures=(
                *instruction.step("flush").figures[:2],
                figure("volume", 170, "mL", role="total"),
            ),
        )(instruction),
    ),
    Plant(
        "flush-volume-implausible",
        _with("flush", "Flush the lumen with 40 L.", figures=(figure("volume", 40, "L"),)),
    ),
    Plant(
        "flush-smaller-than-lumen",
        _with("flush", "Flush the lumen with 0.1 mL.", figures=(figure("volume", 0.1, "mL"),)),
    ),
    Plant(
        "brush-too-wide",
        _with("brush", figures=(figure("length", 9, "mm", role="brush-diameter"),)),
    ),
    Plant(
        "brush-too-short",
        _with("brush", figures=(figure("length", 40, "mm", role="brush-length"),)),
    ),
    Plant("drying-missing-before-packing", _without("dry", "blow")),
    Plant("sterilizer-drying-missing", _without("steam-dry")),
    Plant(
        "sterilizer-drying-too-short",
        _swapped("steam-dry", TIME, figure("time", 20, "s", role="drying"), "Dry in the chamber for 20 s."),
    ),
    Plant(
        "ratchet-engaged-in-steam",
        _with("pack", "Pack with the ratchet on its first tooth.", positions={"ratchet": "engaged"}),
    ),
    Plant(
        "port-capped-in-steam", _with("pack", "Pack with a cap on the port.", positions={"port": "capped"})
    ),
    Plant("apart-or-together-in-steam", _without("apart-again")),
    Plant("shut-for-transport", _with("carry", positions={"jaw": "closed"})),
    Plant("prohibited-then-asked", _saying("prohibition", "The forceps must not be immersed in any liquid.")),
    Plant(
        "hotter-than-own-limit",
        _saying("limit", "It withstands 118 °C at most.", at_most("temperature", 118.0, "°C")),
    ),
    Plant(
        "lives-differ",
        _saying(
            "life",
            "It is scrapped after 75 cycles.",
            figure("count", 75, "1", role=FigureRole.life, as_written="75 cycles"),
        ),
    ),
    Plant(
        "service-after-life",
        _saying(
            "life",
            "Return it for service after 900 cycles.",
            figure("count", 900, "1", role=FigureRole.life, as_written="900 cycles"),
        ),
    ),
    Plant(
        "delays-differ",
        _saying(
            "limit",
            "Cleaning starts no later than 6 h after use.",
            at_most("time", 6, "h", role="time-since-use"),
        ),
    ),
    Plant("delay-too-long", _with("carry", figures=(at_most("time", 48, "h", role="time-since-use"),))),
    Plant(
        "shelf-lives-differ",
        _saying("limit", "Packs are stored for 18 months at most.", at_most("time", 18, "month")),
    ),
    Plant(
        "first-rinse-too-hot",
        _with("first-rinse", "Rinse with water of 70 °C.", figures=(figure("temperature", 70, "°C"),)),
    ),
    Plant("chloride-contact", _with("wipe", "Lay the forceps in saline.")),
    Plant("lubricant-keeps-steam-out", _with("oil", "Put one drop of silicone oil on the hinge.")),
    Plant("lubricated-before-cleaning", _moved("oil", "apart")),
    Plant("packed-before-dried", lambda one: _moved("blow", "pack")(_moved("dry", "pack")(one))),
    Plant("inspected-after-packing", lambda one: _moved("look", "pack")(_without("test")(one))),
    Plant(
        "wetted-after-drying",
        _behind("blow", step("wet", "cleaning", "rinse", "Rinse once more with water.")),
    ),
    Plant(
        "single-use-part-used-again",
        _part(Part(id="seal", name="sealing ring", use=PartUse.discard_after_use)),
    ),
    Plant("reference-dangling", _with("move", "Open and close the hinge as step 44 says.", number="4")),
    Plant("wording-cannot-be-checked", _with("test", "The grip must be good.")),
    Plant("end-cannot-be-seen", _with("move", "Move the hinge until clean.")),
)


@settings(max_examples=30, deadline=None)
@given(clean_instructions())
def test_a_right_instruction_stays_quiet(instruction: Instruction) -> None:
    """Nothing that is right everywhere raises a stop or a concern."""
    loud = [f"{one.rule}: {one.message}" for one in review(instruction) if one.level is not Level.note]
    assert loud == []


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.rule)
@settings(max_examples=5, deadline=None)
@given(clean=clean_instructions(), profile=st.sampled_from(["eu", "us", "uk"]))
def test_one_planted_defect_is_found(plant: Plant, clean: Instruction, profile: str) -> None:
    """The rule for a planted defect speaks, and no other rule stops the text for it."""
    findings = review(plant.change(clean), profile=profile)
    assert plant.rule in {finding.rule for finding in findings}
    stops = {finding.rule for finding in findings if finding.level is Level.stop}
    assert stops <= {plant.rule} | plant.also
