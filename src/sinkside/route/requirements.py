"""What an instruction needs of a department: its steps as operations, each with what it must be bound to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from sinkside.department import BARRIERS, PackagingKind, SterilizingMethod, WaterGrade
from sinkside.instruction import Action, FigureRole, Instruction, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.route import words
from sinkside.route.cycles_named import (
    agent_of,
    cabinet_need,
    connections_of,
    gas_need,
    steam_need,
    washer_need,
)
from sinkside.route.explaining import station_of
from sinkside.route.facts import Facts
from sinkside.route.grouping import (
    is_by_line_air,
    is_in_a_bath,
    said,
    split_into_blocks,
    split_into_choices,
    washer_block,
    without_mentions,
)
from sinkside.route.needs import (
    AirNeed,
    BathNeed,
    BrushNeed,
    Choice,
    LubricantNeed,
    Need,
    PackagingNeed,
    Task,
    ToolNeed,
    WaterNeed,
)
from sinkside.route.phrases import Phrase, Together, Words
from sinkside.route.skills import Skills
from sinkside.route.solutions import Solutions
from sinkside.route.windows import Window, window_of

#: What forbids ultrasound itself, and not only how it is used ("do not overload the bath").
_ULTRASOUND = re.compile(
    r"\b(?:not|never|no|without)\s+(?!exceed|overload|overfill|leave|heat|stack)(?:[\w-]+\s+){0,5}?(?:ultraso|sonic)"
    r"|(?:ultraso|sonic)[^.]{0,80}\b(?:prohibited|forbidden|not\s+(?:be\s+)?(?:allowed|permitted|used|suitable))",
    re.IGNORECASE,
)
_PERMEABLE = re.compile(r"steam[\s-]+(?:permeable|penetra)", re.IGNORECASE)
_SILICONE = re.compile(r"silicone", re.IGNORECASE)
_SPONGE_ONLY = re.compile(r"\bsponge", re.IGNORECASE)

#: Actions that use water or a solution, and so name its grade.
_WET = {
    Action.wipe,
    Action.rinse,
    Action.flush,
    Action.soak,
    Action.brush,
    Action.sonicate,
    Action.fill,
    Action.prepare_solution,
    Action.keep_moist,
    Action.pre_rinse,
    Action.wash,
    Action.disinfect,
}


_INSIDE: dict[PackagingKind, str] = {
    "tray": "a tray",
    "mat": "a mat",
    "tip-protector": "a tip protector",
}


def requirements_of(instruction: Instruction) -> tuple[Choice, ...]:
    """The operations of an instruction in order, with what each needs; alternatives side by side.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it says.
    """
    facts = Facts.of(instruction)
    solutions = Solutions.of(instruction, facts)
    skills = Skills(facts)
    choices: list[Choice] = []
    plain: list[Step] = []

    def task(block: Sequence[Step]) -> Task:
        found = _task(block, facts, solutions)
        skill = skills.at(station_of(found), found.steps)
        return replace(found, needs=(*found.needs, *skill))

    def close_plain() -> None:
        choices.extend(Choice(((task(block),),)) for block in split_into_blocks(plain))
        plain.clear()

    for options in split_into_choices(without_mentions(instruction.steps)):
        if len(options) == 1 and options[0][0].action is not Action.sterilize:
            plain.extend(options[0])
            continue
        close_plain()
        choices.append(
            Choice(tuple(tuple(task(block) for block in split_into_blocks(option)) for option in options))
        )
    close_plain()
    return tuple(choices)


def _task(block: Sequence[Step], facts: Facts, solutions: Solutions) -> Task:
    steps = tuple(block)
    head = steps[0]
    if head.action is Action.sterilize:
        steam = _is_steam(head)
        need: Need = steam_need(steps, facts) if steam else gas_need(steps, facts)
        return Task(Stage.sterilization, Action.sterilize, steps, (need,))
    if washer_block(steps):
        main = next((s for s in steps if s.action is Action.wash), steps[-1])
        return Task(main.stage, main.action, steps, (washer_need(steps, facts),))
    return Task(head.stage, head.action, steps, tuple(_needs(head, facts, solutions)))


def _is_steam(step: Step) -> bool:
    """Whether a cycle is one of steam: its own words tell, else its sentence; steam where neither does."""
    if step.air_removal is not None:
        return True
    named = said(step).strip()
    method = words.sterilizing_method(named or step.origin.text)
    if method is SterilizingMethod.steam_formaldehyde:
        return False
    is_said = "steam" in (named or step.origin.text).casefold()
    return is_said or (method is None and not named)


def _needs(step: Step, facts: Facts, solutions: Solutions) -> list[Need]:
    """What a step done outside a washer or sterilizer needs."""
    found: list[Need] = []
    if is_in_a_bath(step):
        found.append(_bath(step, facts))
    if step.action is Action.dry and words.names_a_cabinet(said(step)):
        found.append(cabinet_need(step))
    found += _wet_needs(step, facts, solutions)
    if step.action is Action.brush and not _SPONGE_ONLY.search(said(step)):
        found.append(_brush(step, facts))
    if step.action is Action.lubricate:
        found.append(_lubricant(step, facts))
    if step.action in {Action.blow, Action.dry} and (step.action is Action.blow or is_by_line_air(step)):
        found.append(_air(step))
    found += _tools(step, facts)
    if step.action is Action.pack:
        found += _packaging(step, facts)
    return found


def _wet_needs(step: Step, facts: Facts, solutions: Solutions) -> list[Need]:
    solution = solutions.of_step(step)
    found: list[Need] = [solution] if solution else []
    if step.action not in _WET:
        return found
    grade = words.water_grade(said(step))
    if grade is None and solution is None and step.action in {Action.rinse, Action.pre_rinse}:
        grade = WaterGrade.tap
    if grade is not None:
        # In a solution the temperature is the solution's; the water is drawn as it comes.
        temperature = None if solution else window_of(step.figure(FigureQuantity.temperature), "°C")
        rinses = step.action in {Action.rinse, Action.flush} and solution is None
        found.append(
            WaterNeed(
                (step,),
                Phrase("{grade} water", {"grade": Phrase(grade.value)}),
                grade,
                temperature,
                facts.chloride if rinses else None,
            )
        )
    return found


def _bath(step: Step, facts: Facts) -> BathNeed:
    figures = [
        figure
        for quantity in (FigureQuantity.frequency, FigureQuantity.temperature, FigureQuantity.time)
        if (figure := step.figure(quantity)) is not None
    ]
    asked = tuple(Phrase("{figure}", {"figure": figure}) for figure in figures)
    return BathNeed(
        (step,),
        Together((Phrase("an ultrasonic bath"), *asked)),
        window_of(step.figure(FigureQuantity.frequency), "Hz"),
        window_of(step.figure(FigureQuantity.temperature), "°C"),
        window_of(step.figure(FigureQuantity.time), "s"),
        facts.prohibition_of(_ULTRASOUND, step),
        connections_of((step,)),
    )


def _brush(step: Step, facts: Facts) -> BrushNeed:
    lengths = step.figures_of(FigureQuantity.length)
    named = {figure.role: figure for figure in lengths if figure.role}
    bare = [figure for figure in lengths if not figure.role]
    diameter = named.get(FigureRole.brush_diameter) or next(iter(bare), None)
    length = named.get(FigureRole.brush_length) or next(iter(bare[1:]), None)
    across, along = window_of(diameter, "mm"), window_of(length, "mm")
    lumens = facts.lumens_of(step)
    bores = [lumen.bore.to("mm") for lumen in lumens if lumen.bore]
    bore = min(bores) if bores and diameter is None else None
    reaches = [lumen.length.to("mm") for lumen in lumens if lumen.length]
    return BrushNeed(
        (step,),
        _brush_words(across, bore, along, reaches),
        across,
        bore,
        max(reaches) if reaches else None,
        along,
    )


def _brush_words(
    diameter: Window | None, bore: float | None, length: Window | None, reaches: list[float]
) -> Phrase:
    """The brush in words: 2.7 mm × 400 mm."""
    across: object = diameter.figure if diameter else Phrase("{bore} mm", {"bore": bore}) if bore else None
    along: object = (
        length.figure if length else Phrase("{reach} mm", {"reach": max(reaches)}) if reaches else None
    )
    if across and along:
        return Phrase("a {across} × {along} brush", {"across": across, "along": along})
    if across:
        return Phrase("a {across} brush", {"across": across})
    return Phrase("a brush at least {along} long", {"along": along}) if along else Phrase("a soft brush")


def _lubricant(step: Step, facts: Facts) -> LubricantNeed:
    text = f"{said(step)} {step.origin.text}"
    bases = words.lubricant_bases(text)
    if facts.mentions(_SILICONE):
        bases = tuple(base for base in bases if base != "silicone")
    permeable = _PERMEABLE.search(text) is not None
    wanted = Together(
        (
            Phrase("a lubricant"),
            *(Phrase(base) for base in bases if len(bases) == 1),
            *((Phrase("permeable to steam"),) if permeable else ()),
        )
    )
    return LubricantNeed((step,), wanted, bases, permeable)


def _air(step: Step) -> AirNeed:
    pressure = window_of(step.figure(FigureQuantity.pressure), "bar")
    medical = words.names_medical_air(said(step))
    name = Phrase("medical air" if medical else "instrument air")
    wanted = Phrase("{air} at {pressure}", {"air": name, "pressure": pressure.figure}) if pressure else name
    return AirNeed((step,), wanted, medical, pressure)


def _tools(step: Step, facts: Facts) -> list[Need]:
    """The tools that a step names, and those that its figures imply."""
    kinds = list(dict.fromkeys(words.tool_kinds(said(step))))
    magnification = step.figure(FigureQuantity.counted, FigureRole.magnification) or step.figure(
        FigureQuantity.ratio, FigureRole.magnification
    )
    voltage = step.figure(FigureQuantity.voltage)
    if magnification and "lens" not in kinds:
        kinds.append("lens")
    if voltage and step.action is Action.test and "insulation-tester" not in kinds:
        kinds.append("insulation-tester")
    if step.action is Action.weigh and "scale" not in kinds:
        kinds.append("scale")
    reaches = {
        "lens": window_of(magnification, "1"),
        "insulation-tester": window_of(voltage, "kV"),
        "scale": window_of(step.figure(FigureQuantity.mass), "kg"),
    }
    return [
        _into_a_lumen(step, kind, facts) if kind == "borescope" else _tool(step, kind, reaches.get(kind))
        for kind in kinds
    ]


def _tool(step: Step, kind: words.ToolKind, reach: Window | None) -> ToolNeed:
    name = Phrase(_TOOL_NAMES[kind])
    template = "{tool} that magnifies {reach} times" if kind == "lens" else "{tool} of {reach}"
    wanted = Phrase(template, {"tool": name, "reach": reach.figure}) if reach else name
    return ToolNeed((step,), wanted, kind, reach, said=said(step))


def _into_a_lumen(step: Step, kind: words.ToolKind, facts: Facts) -> ToolNeed:
    """A tool that goes into the lumens of a step: narrower than the narrowest, as long as the longest."""
    lumens = facts.lumens_of(step)
    bores = [lumen.bore.to("mm") for lumen in lumens if lumen.bore]
    lengths = [lumen.length.to("mm") for lumen in lumens if lumen.length]
    bore, through = min(bores, default=None), max(lengths, default=None)
    wanted = Phrase(_TOOL_NAMES[kind])
    if bore and through:
        size = {"tool": wanted, "bore": bore, "through": through}
        wanted = Phrase("{tool} below {bore} mm across, {through} mm long", size)
    return ToolNeed((step,), wanted, kind, None, bore, through)


_TOOL_NAMES: dict[words.ToolKind, str] = {
    "lens": "a lens",
    "light": "a light",
    "syringe": "a syringe",
    "adaptor": "an adaptor",
    "insulation-tester": "an insulation tester",
    "borescope": "a borescope",
    "cloth": "a cloth",
    "sponge": "a sponge",
    "scale": "a scale",
}


def _packaging(step: Step, facts: Facts) -> list[Need]:
    """The packaging that the packing step names, as far as the cycle's own words allow it.

    The sterile barrier is one need; a tray, mat or tip protector that lies in it is a need by itself.
    """
    kinds = words.packaging_kinds(f"{said(step)} {step.origin.text}")
    packed = BARRIERS & set(kinds)
    validated = _packaging_of_cycles(facts)
    barriers = packed & validated if packed and validated else packed | validated
    named = bool(packed or validated)
    wanted = Together(tuple(Phrase(kind) for kind in kinds if kind in packed))
    barrier = wanted if packed else Phrase("a sterile barrier")
    cycle = _one_cycle(facts)
    found: list[Need] = [
        PackagingNeed(
            (step,),
            _for_cycle(barrier, cycle),
            tuple(sorted(barriers if named else BARRIERS)),
            facts.mass_kg,
            named,
            facts.lumens,
        )
    ]
    for kind in (kind for kind in kinds if kind not in BARRIERS):
        inside = _for_cycle(Phrase(_INSIDE[kind]), cycle)
        found.append(PackagingNeed((step,), inside, (kind,), facts.mass_kg, True, facts.lumens))
    return found


def _for_cycle(packaging: Words, cycle: Phrase | None) -> Words:
    if cycle is None:
        return packaging
    return Phrase("{packaging} for {cycle}", {"packaging": packaging, "cycle": cycle})


def _one_cycle(facts: Facts) -> Phrase | None:
    """By what the text sterilizes, in words; None where it names several ways, of which one will be taken."""
    steps = (step for step in facts.instruction.steps if step.action is Action.sterilize)
    named = dict.fromkeys(
        f"{step.air_removal.value if step.air_removal else ''} steam".strip()
        if _is_steam(step)
        else agent_of(step)
        for step in steps
    )
    return Phrase(next(iter(named))) if len(named) == 1 else None


def _packaging_of_cycles(facts: Facts) -> set[PackagingKind]:
    """The sterile barriers that the words of the sterilizing steps name: "sterilization (wrapped)"."""
    return {
        kind
        for step in facts.instruction.steps
        if step.action is Action.sterilize
        for kind in words.packaging_kinds(f"{said(step)} {step.heading or ''} {step.origin.text}")
        if kind in BARRIERS
    }
