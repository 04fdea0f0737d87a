"""Whether cleaning, rinsing and drying reach every lumen."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level, Measure, Place
from sinkside.instruction import Action, Feature, FeatureKind, FigureRole, Stage, Step
from sinkside.quantities import FigureQuantity, Quantity
from sinkside.review.case import Case, place_of, words
from sinkside.review.lexicon import says
from sinkside.review.plausible import WIDEST_BRUSH_TO_BORE
from sinkside.review.rule import Theme, Trip, Unjudged, rule

_REACHES_INSIDE = frozenset({Action.flush, Action.brush, Action.fill, Action.connect})


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too wide for the lumen it is to clean.",
    message="A brush of {brush} does not go into a bore of {bore}.",
    remedy="Ask the maker for the brush diameter.",
)
def brush_too_wide(case: Case) -> Iterator[Trip | Unjudged]:
    """The widest lumen that a brush could be meant for."""
    for step, brush in _brushes(case, FigureRole.brush_diameter):
        lumens = [lumen for lumen in _lumens(case, step) if lumen.bore]
        if not lumens:
            if _lumens(case, step):
                yield Unjudged(case.place(step), "the bore of the lumen")
            continue
        widest = max(lumens, key=lambda lumen: _in_mm(lumen.bore))
        if brush.to("mm") > WIDEST_BRUSH_TO_BORE * _in_mm(widest.bore):
            yield _misfit(case, step, widest, brush=brush, name="bore")


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too thin to touch the wall of the lumen.",
    message="A brush of {brush} does not touch the wall of a bore of {bore}.",
    remedy="Ask the maker for the brush diameter.",
)
def brush_too_thin(case: Case) -> Iterator[Trip]:
    """The narrowest lumen that a brush could be meant for."""
    for step, brush in _brushes(case, FigureRole.brush_diameter):
        lumens = [lumen for lumen in _lumens(case, step) if lumen.bore]
        if lumens:
            narrowest = min(lumens, key=lambda lumen: _in_mm(lumen.bore))
            if brush.to("mm") < _in_mm(narrowest.bore):
                yield _misfit(case, step, narrowest, brush=brush, name="bore")


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too short for the lumen it is to clean.",
    message="A brush of {brush} does not pass through a lumen of {length}.",
    remedy="Ask the maker for the brush length, or whether the lumen is brushed from both ends.",
)
def brush_too_short(case: Case) -> Iterator[Trip]:
    """The shortest lumen that a brush could be meant for; from both ends half of it will do."""
    for step, brush in _brushes(case, FigureRole.brush_length):
        lumens = [lumen for lumen in _lumens(case, step) if lumen.length]
        if lumens:
            shortest = min(lumens, key=lambda lumen: _in_mm(lumen.length))
            share = 0.5 if says(words(step), "both-ends") else 1.0
            if brush.to("mm") < share * _in_mm(shortest.length):
                yield _misfit(case, step, shortest, brush=brush, name="length")


@rule(
    Theme.reach,
    Level.stop,
    title="Nothing cleans the inside of a lumen.",
    message="No step flushes, brushes or connects {lumen}.",
    remedy="Ask the maker in writing how the inside is cleaned.",
)
def lumen_not_cleaned(case: Case) -> Iterator[Trip]:
    """Lumens that no flushing, brushing, filling or connecting step reaches."""
    inside = [
        step
        for step in case.steps
        if step.action in _REACHES_INSIDE or says(words(step), "through-lumen")
        if step.stage not in {Stage.point_of_use, Stage.transport}
    ]
    if any(step.stage in {Stage.cleaning, Stage.disinfection} for step in case.steps):
        for lumen in _unreached(case, inside):
            yield Trip(_place_of_lumen(case, lumen, Stage.cleaning), {"lumen": lumen.name or lumen.id})


@rule(
    Theme.reach,
    Level.concern,
    title="Nothing dries the inside of a lumen.",
    message="The device is dried, but no step blows through {lumen} or says how its inside dries.",
    remedy="Ask the maker how the inside is dried: with what air, at what pressure, for how long.",
)
def lumen_not_dried(case: Case) -> Iterator[Trip]:
    """Lumens that no drying step reaches, where there are drying steps."""
    drying = [step for step in case.doing(Action.dry, Action.blow) if step.stage is not Stage.sterilization]
    inside = [s for s in drying if s.action is Action.blow or says(words(s), "through-lumen")]
    if drying:
        for lumen in _unreached(case, inside):
            yield Trip(case.place(drying[0]), {"lumen": lumen.name or lumen.id})


def _brushes(case: Case, role: FigureRole) -> Iterator[tuple[Step, Quantity]]:
    """Each step that brushes an inside, with the size that it asks of its brush."""
    lumens = {lumen.id for lumen in _lumens(case)}
    for step in case.doing(Action.brush):
        if lumens & set(step.on) or says(words(step), "inside"):
            for figure in step.figures_of(FigureQuantity.length, role):
                yield step, Quantity(figure.number(), figure.unit)


def _lumens(case: Case, step: Step | None = None) -> list[Feature]:
    """The device's lumens; with a step, those it works on, or all where it names none."""
    lumens = [feature for feature in case.instruction.device.features if feature.kind is FeatureKind.lumen]
    meant = [lumen for lumen in lumens if step and {lumen.id, lumen.part} & set(step.on)]
    return meant or lumens


def _unreached(case: Case, steps: list[Step]) -> list[Feature]:
    """Lumens that no step works on; a step that names no lumen or part reaches them all."""
    lumens = _lumens(case)
    named = {lumen.id for lumen in lumens} | {part.id for part in case.instruction.device.parts}
    reached: set[str] = set()
    for step in steps:
        on = set(step.on) & named
        reached |= {lumen.id for lumen in lumens if not on or on & {lumen.id, lumen.part or lumen.id}}
    return [lumen for lumen in lumens if lumen.id not in reached]


def _place_of_lumen(case: Case, lumen: Feature, stage: Stage) -> Place:
    return place_of(lumen.origin) if lumen.origin else case.heading_for(stage)


def _misfit(case: Case, step: Step, lumen: Feature, *, brush: Quantity, name: str) -> Trip:
    size = lumen.bore if name == "bore" else lumen.length
    evidence = {"brush": Measure(value=brush.value, unit=brush.unit)}
    if size:
        evidence[name] = Measure(value=size.value, unit=size.unit)
    return Trip(case.place(step), evidence, (place_of(lumen.origin),) if lumen.origin else ())


def _in_mm(size: Quantity | None) -> float:
    return size.to("mm") if size else 0.0


RULES = (brush_too_wide, brush_too_thin, brush_too_short, lumen_not_cleaned, lumen_not_dried)
