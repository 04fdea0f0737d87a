"""Brushes, lubricants, air and tools held against what a step names."""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Iterable
from typing import Final

from sinkside.department import Air, Brush, Department, Lubricant, Tool
from sinkside.quantities import Quantity
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Remark, Repair, bound
from sinkside.route.document import ChosenFigure, ResourceKind
from sinkside.route.needs import AirNeed, BrushNeed, LubricantNeed, Need, ToolNeed
from sinkside.route.other_machines import range_words
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import AIR_SET_DOWN, SIZE_FROM_BORE
from sinkside.route.windows import Window, amount, same, span

#: How far a brush may be off the stated diameter, and how much wider than the bore one may be that is
#: chosen from the bore: bristles must touch the wall all round and still pass (common practice, no source).
_DIAMETER_TOLERANCE_MM: Final = 0.1
_WIDER_THAN_BORE_MM: Final = 0.5
_HARD = re.compile(r"\b(?:steel|brass|metal|wire)", re.IGNORECASE)


def _buy(need: Need) -> Repair:
    thing = functools.partial(proposals.thing_for, need)
    return Repair(Phrase("{wanted}.", {"wanted": need.wanted}), sizes.SUPPLY, thing)


def appraise_brush(need: BrushNeed, department: Department) -> Appraisal:
    """The brushes: diameter as stated or from the bore, length at least the lumen's, no metal bristle."""
    found = Appraisal(purchase=_buy(need))
    for brush in department.brushes:
        faults = tuple(_brush_faults(need, brush))
        if faults:
            found.refusals.append(Refusal(brush.id, brush.name, faults))
        else:
            found.candidates.append(_brush_candidate(need, brush))
    return found


def _brush_faults(need: BrushNeed, brush: Brush) -> Iterable[Words]:
    if _HARD.search(brush.bristle):
        yield Phrase("its bristle is {bristle}", {"bristle": brush.bristle})
    sized = need.diameter is not None or need.bore_mm is not None
    if sized and (brush.diameter is None or not _diameter_fits(need, amount(brush.diameter, "mm"))):
        yield _measures("its diameter is {size}", brush.diameter, "it states no diameter")
    shortest = _shortest_mm(need)
    if shortest and (brush.length is None or amount(brush.length, "mm") < shortest):
        yield _measures("its length is {size}", brush.length, "it states no length")


def _diameter_fits(need: BrushNeed, diameter_mm: float) -> bool:
    if need.diameter is not None:
        slack = _DIAMETER_TOLERANCE_MM
        low, high = need.diameter.low - slack, need.diameter.high + slack
        return (low < diameter_mm or same(low, diameter_mm)) and (
            diameter_mm < high or same(high, diameter_mm)
        )
    bore = need.bore_mm or 0.0
    return bore <= diameter_mm <= bore + _WIDER_THAN_BORE_MM


def _shortest_mm(need: BrushNeed) -> float:
    """The shortest brush that reaches: through the lumen, and as long as the text says."""
    stated = need.stated_length.low if need.stated_length and need.stated_length.has_floor else 0.0
    through = need.shortest_mm if need.shortest_mm and (need.diameter or need.bore_mm) else 0.0
    return max(stated, through)


def _measures(template: str, size: Quantity | None, absent: str) -> Phrase:
    return Phrase(template, {"size": str(size)}) if size else Phrase(absent)


def _brush_candidate(need: BrushNeed, brush: Brush) -> Candidate:
    diameter = amount(brush.diameter, "mm") if brush.diameter else 0.0
    length = amount(brush.length, "mm") if brush.length else 0.0
    aim = need.diameter.number if need.diameter else need.bore_mm or 0.0
    remarks = (
        (Remark(SIZE_FROM_BORE, {"brush": brush.name, "bore": f"{need.bore_mm:g} mm"}),)
        if need.bore_mm
        else ()
    )
    uses = []
    if need.diameter:
        uses.append(ChosenFigure(required=need.diameter.figure, use=brush.diameter))
    if need.stated_length:
        uses.append(ChosenFigure(required=need.stated_length.figure, use=brush.length))
    return Candidate(
        bindings=(bound(ResourceKind.brush, brush.id, brush.name),),
        why=Phrase("{brush} fits", {"brush": brush.name}),
        uses=tuple(uses),
        remarks=remarks,
        # The nearest diameter first, then the shortest that reaches; for surfaces a bench brush.
        excess=abs(diameter - aim) * 1_000.0 + max(0.0, length - _shortest_mm(need)) / 1_000.0,
    )


def appraise_lubricant(need: LubricantNeed, department: Department) -> Appraisal:
    """The lubricants: base, and whether steam passes through it."""
    found = Appraisal(purchase=_buy(need))
    for lubricant in department.lubricants:
        faults = tuple(_lubricant_faults(need, lubricant))
        if faults:
            found.refusals.append(Refusal(lubricant.id, lubricant.name, faults))
        else:
            found.candidates.append(
                Candidate(
                    bindings=(bound(ResourceKind.lubricant, lubricant.id, lubricant.name),),
                    why=Phrase(
                        "{lubricant} is {base}", {"lubricant": lubricant.name, "base": Phrase(lubricant.base)}
                    ),
                    excess=0.0 if lubricant.steam_permeable else 1.0,
                )
            )
    return found


def _lubricant_faults(need: LubricantNeed, lubricant: Lubricant) -> Iterable[Words]:
    if lubricant.base not in need.bases:
        yield Phrase("its base is {base}", {"base": Phrase(lubricant.base)})
    if need.steam_permeable and not lubricant.steam_permeable:
        yield Phrase("steam does not pass through it")


def appraise_air(need: AirNeed, department: Department) -> Appraisal:
    """The air lines: grade, and a pressure that can be set within what is stated."""
    found = Appraisal(purchase=_buy(need))
    for line in department.air:
        faults = tuple(_air_faults(need, line))
        if faults:
            found.refusals.append(Refusal(line.id, line.name, faults))
        else:
            found.candidates.append(_air_candidate(need, line))
    return found


def _air_faults(need: AirNeed, line: Air) -> Iterable[Words]:
    if need.medical and line.grade != "medical":
        yield Phrase("it is {grade} air", {"grade": Phrase(line.grade)})
    if need.pressure and not need.pressure.meets(*_span_from_zero(line)):
        yield Phrase("it delivers {range}", {"range": range_words(line.pressure)})


def _span_from_zero(line: Air) -> tuple[float, float]:
    low, high = span(line.pressure, "bar")
    return max(low, 0.0), high


def _air_candidate(need: AirNeed, line: Air) -> Candidate:
    window = need.pressure
    bindings = (bound(ResourceKind.air, line.id, line.name),)
    why = Phrase("{air} is {grade} air", {"air": line.name, "grade": Phrase(line.grade)})
    if window is None:
        return Candidate(bindings=bindings, why=why)
    _, top = _span_from_zero(line)
    set_down = top > window.high
    use = _stated_top(window) if set_down else line.pressure.max
    remarks = (
        (Remark(AIR_SET_DOWN, {"air": line.name, "pressure": str(use)}),)
        if set_down and use is not None
        else ()
    )
    return Candidate(
        bindings=bindings,
        why=why,
        uses=(ChosenFigure(required=window.figure, use=use),),
        remarks=remarks,
        excess=max(0.0, min(top, 1e6) - window.high),
    )


def _stated_top(window: Window) -> Quantity | None:
    top = window.figure.max if window.figure.max is not None else window.figure.value
    return None if top is None else Quantity(top, window.figure.unit)


def appraise_tool(need: ToolNeed, department: Department) -> Appraisal:
    """The tools of a kind that reach the stated figure, and that go into the lumen where they must."""
    found = Appraisal(purchase=_buy(need))
    for tool in department.tools:
        if tool.kind != need.kind:
            continue
        faults = tuple(_tool_faults(need, tool))
        if faults:
            found.refusals.append(Refusal(tool.id, tool.name, faults))
        else:
            found.candidates.append(_tool_candidate(need, tool))
    return found


def _tool_faults(need: ToolNeed, tool: Tool) -> Iterable[Words]:
    if need.reach and not _reaches(need.reach, tool):
        reach = Phrase("it reaches {range}", {"range": range_words(tool.range)}) if tool.range else None
        yield reach or Phrase("it states no reach")
    if need.bore_mm and tool.diameter and amount(tool.diameter, "mm") >= need.bore_mm:
        yield Phrase("it is {size} across", {"size": str(tool.diameter)})
    if need.through_mm and tool.length and amount(tool.length, "mm") < need.through_mm:
        yield Phrase("its length is {size}", {"size": str(tool.length)})


def _reaches(reach: Window, tool: Tool) -> bool:
    """Whether the tool can be set or read at the stated figure: a stronger lens does for a weaker one."""
    if tool.range is None:
        return False
    low, high = span(tool.range, reach.unit)
    if tool.kind == "lens":
        strongest = high if math.isfinite(high) else low
        return reach.admits_at_least(strongest)
    return reach.meets(low, high)


def _tool_candidate(need: ToolNeed, tool: Tool) -> Candidate:
    uses = (
        (ChosenFigure(required=need.reach.figure, use=_reach_used(need.reach, tool)),) if need.reach else ()
    )
    return Candidate(
        bindings=(bound(ResourceKind.tool, tool.id, tool.name),),
        why=Phrase("{tool} at hand", {"tool": tool.name}),
        uses=uses,
        excess=0.0 if _is_named(need, tool) else 1.0,
    )


def _is_named(need: ToolNeed, tool: Tool) -> bool:
    """Whether a tool fits what the step names: a Luer adaptor where it says Luer."""
    said = need.said.casefold()
    return any(fitting.casefold() in said for fitting in tool.fits)


def _reach_used(reach: Window, tool: Tool) -> Quantity | None:
    if tool.kind == "lens" and tool.range:
        return tool.range.max or tool.range.min
    return reach.with_lowest()
