"""Whether cleaning, rinsing and drying reach every lumen, joint, thread and port."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure, Place
from sinkside.instruction import Action, Feature, FeatureKind, FigureRole, Stage, Step
from sinkside.quantities import FigureQuantity, Quantity
from sinkside.review.case import Case, Passage, place_of, words
from sinkside.review.lexicon import bans, says
from sinkside.review.lumens import Brush, Lumen, brushes, lumens, lumens_for
from sinkside.review.named import is_perhaps_of_another
from sinkside.review.plausible import WIDEST_BRUSH_TO_BORE
from sinkside.review.rule import Theme, Trip, Unjudged, book, rule

_SIZE = re.compile(r"\d+(?:[.,]\d+)?(?=\s?mm\b)")
_TAKES_NO_BRUSH = re.compile(
    r"\b(?:takes?|needs?|admits?|allows?) no brush|\b(?:cannot|not) be brushed|\bnot brushable", re.IGNORECASE
)
_REACHES_INSIDE = frozenset({Action.flush, Action.brush, Action.fill, Action.connect})
_CLEANS = frozenset({Stage.cleaning, Stage.disinfection})
_MOVES = frozenset({FeatureKind.joint, FeatureKind.jaw, FeatureKind.ratchet, FeatureKind.sliding_sleeve})
_HOLDS_SOIL = frozenset(
    {
        FeatureKind.thread,
        FeatureKind.joint,
        FeatureKind.ratchet,
        FeatureKind.spring,
        FeatureKind.sliding_sleeve,
    }
)

#: "The 0.5 mm channel", "the rinsing channel".
_CHANNEL = re.compile(
    r"(\d+(?:[.,]\d+)?(?=\s*mm)|[a-z]+)(?:\s*mm)?\s+(?:channel|lumen|bore|tube|cannula)\b", re.IGNORECASE
)
_NO_NAMES = frozenset(
    {"the", "a", "an", "each", "every", "its", "this", "one", "any", "inner", "no", "and", "of", "brush"}
)


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too wide for the lumen it is to clean.",
    message="A brush of {brush} does not go into a bore of {bore}.",
    remedy="Ask the maker for the brush diameter.",
)
def brush_too_wide(case: Case) -> Iterator[Trip | Unjudged]:
    """The widest lumen that a brush could be meant for."""
    for brush in brushes(case):
        meant = lumens_for(case, brush)
        sized = [lumen for lumen in meant if lumen.bore]
        if brush.diameter is None:
            continue
        if not sized:
            if meant:
                yield Unjudged(case.place(brush.step), "the bore of the lumen")
            continue
        widest = max(sized, key=lambda lumen: _in_mm(lumen.bore))
        if brush.diameter.to("mm") > WIDEST_BRUSH_TO_BORE * _in_mm(widest.bore):
            yield _misfit(case, brush, widest, name="bore")


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too thin to touch the wall of the lumen.",
    message="A brush of {brush} does not touch the wall of a bore of {bore}.",
    remedy="Ask the maker for the brush diameter.",
)
def brush_too_thin(case: Case) -> Iterator[Trip]:
    """The narrowest lumen that a brush could be meant for."""
    for brush in brushes(case):
        sized = [lumen for lumen in lumens_for(case, brush) if lumen.bore]
        if sized and brush.diameter:
            narrowest = min(sized, key=lambda lumen: _in_mm(lumen.bore))
            if brush.diameter.to("mm") < _in_mm(narrowest.bore):
                yield _misfit(case, brush, narrowest, name="bore")


@rule(
    Theme.reach,
    Level.concern,
    title="A brush is too short for the lumen it is to clean.",
    message="A brush of {brush} does not pass through a lumen of {length}.",
    remedy="Ask the maker for the brush length, or whether the lumen is brushed from both ends.",
)
def brush_too_short(case: Case) -> Iterator[Trip]:
    """The shortest lumen that a brush could be meant for; from both ends half of it will do."""
    for brush in brushes(case):
        sized = [lumen for lumen in lumens_for(case, brush) if lumen.length]
        if sized and brush.length:
            shortest = min(sized, key=lambda lumen: _in_mm(lumen.length))
            share = 0.5 if says(words(brush.step), "both-ends") else 1.0
            if brush.length.to("mm") < share * _in_mm(shortest.length):
                yield _misfit(case, brush, shortest, name="length")


@rule(
    Theme.reach,
    Level.note,
    title="A lumen is brushed, and nothing says with how thick a brush.",
    message="{lumen} is brushed, and no brush size is given.",
    remedy="Ask the maker for the diameter and the length of the brush.",
    source=book("iso-17664-1"),
)
def brush_size_untold(case: Case) -> Iterator[Trip]:
    """Brushing inside a lumen of known bore, with no size of brush anywhere."""
    asked = list(brushes(case))
    sized = any(brush.diameter or brush.length for brush in asked)
    inside = [lumen for lumen in lumens(case) if lumen.bore]
    if asked and inside and not sized and not case.mentions("brush-fits"):
        yield Trip(case.place(asked[0].step), {"lumen": inside[0].name.capitalize()})


@rule(
    Theme.reach,
    Level.concern,
    title="A lumen that cannot be brushed is to be brushed.",
    message="The text says that {lumen} cannot be brushed, and brushes it here.",
    remedy="Ask the maker whether the inside is brushed or flushed.",
)
def brush_meets_rod(case: Case) -> Iterator[Trip]:
    """Brushing of a lumen that is named and told to be filled by its rod."""
    closed = {lumen.feature.id: lumen for lumen in lumens(case) if lumen.feature.brushable is False}
    for brush in brushes(case):
        for lumen_id in set(brush.step.on) & set(closed):
            said = words(brush.step)
            if says(said, "too-narrow") or bans(said, "use-of-brushes"):
                continue
            place = closed[lumen_id].place
            sized = [
                p.text for p in case.sentences if _TAKES_NO_BRUSH.search(p.text) and _SIZE.search(p.text)
            ]
            if any(_is_of_another_size(text, said) for text in sized):
                continue
            evidence: Evidence = {"lumen": closed[lumen_id].name}
            unknown = _is_one_of_several(case, said) or (bool(sized) and not _SIZE.search(said))
            yield Trip(case.place(brush.step), evidence, (place,) if place else (), doubtful=unknown)


def _is_of_another_size(ban: str, said: str) -> bool:
    """Whether what takes no brush is told by its size, and a brushing names another size or thing."""
    sizes, named = _SIZE.findall(ban), _SIZE.findall(said)
    return bool(sizes) and not set(sizes) & set(named) and (bool(named) or not says(said, "lumen-words"))


@rule(
    Theme.reach,
    Level.concern,
    title="Less liquid is flushed than the lumen holds.",
    message="{volume} is flushed through {lumen}, which holds {holds:.1}.",
    remedy="Ask the maker for the volume of the flush.",
)
def flush_smaller_than_lumen(case: Case) -> Iterator[Trip]:
    """The whole volume of each flush against what fits into the smallest lumen it can be meant for."""
    for step in case.doing(Action.flush, Action.rinse, Action.fill):
        if step.action is not Action.flush and not (step.on or says(words(step), "through-lumen")):
            continue
        volumes = list(step.figures_of(FigureQuantity.volume))
        holding = [(lumen.volume_ml, lumen) for lumen in lumens(case, step) if lumen.volume_ml]
        if not volumes or not holding:
            continue
        most = max(volumes, key=lambda volume: volume.number("mL"))
        counts = [c.number() for c in step.figures_of(FigureQuantity.counted, FigureRole.repeats)]
        flushed = most.number("mL") * (1.0 if most.role == FigureRole.total else max(counts, default=1.0))
        holds, lumen = min(holding, key=lambda pair: pair[0] or 0.0)
        if holds and flushed < holds:
            evidence: Evidence = {
                "volume": Measure(value=flushed, unit="mL"),
                "lumen": lumen.name,
                "holds": Measure(value=holds, unit="mL"),
            }
            yield Trip(case.place(step), evidence, (lumen.place,) if lumen.place else ())


@rule(
    Theme.reach,
    Level.stop,
    title="Nothing cleans the inside of a lumen.",
    message="No step flushes, brushes or connects {lumen}.",
    remedy="Ask the maker in writing how the inside is cleaned.",
)
def lumen_not_cleaned(case: Case) -> Iterator[Trip]:
    """Lumens that no flushing, brushing, filling or connecting step reaches; words that may are a doubt."""
    inside = [
        step
        for step in case.steps
        if step.action in _REACHES_INSIDE or says(words(step), "through-lumen")
        if step.stage not in {Stage.point_of_use, Stage.transport}
    ]
    if any(step.stage in _CLEANS for step in case.steps):
        for lumen in _unreached(case, inside):
            spoken_of = any(
                says(passage.text, "goes-inside") and says(passage.text, "through-lumen")
                for passage in case.passages
                if passage.step is None or passage.step.stage in _CLEANS
            )
            place = lumen.place or case.heading_for(Stage.cleaning)
            yield Trip(place, {"lumen": lumen.name}, doubtful=spoken_of)


@rule(
    Theme.reach,
    Level.concern,
    title="Nothing dries the inside of a lumen.",
    message="The device is dried, but no step blows through {lumen} or says how its inside dries.",
    remedy="Ask the maker how the inside is dried: with what air, at what pressure, for how long.",
)
def lumen_not_dried(case: Case) -> Iterator[Trip]:
    """Lumens that no drying step and no words on drying reach, where there are drying steps."""
    drying = [
        step
        for step in case.doing(Action.dry, Action.blow, Action.wipe)
        if step.stage is not Stage.sterilization
        and (step.action is not Action.wipe or case.stage_of_heading(step) is Stage.drying)
    ]
    inside = [s for s in drying if s.action is Action.blow or _dries_inside(words(s))]
    spoken_of = any(_speaks_of_drying(passage) for passage in case.passages)
    if drying:
        for lumen in _unreached(case, inside):
            # A machine that flushes a connected lumen blows through it too.
            is_connected = bool(case.doing(Action.connect)) or case.mentions("connecting") is not None
            by_hand = (*drying, *case.doing(Action.wipe))
            outside = [step for step in by_hand if says(words(step), "outside-dry")]
            by_air = any(step.action is not Action.wipe for step in drying)
            doubtful = spoken_of or (is_connected and by_air and not outside)
            yield Trip(case.place((outside or drying)[0]), {"lumen": lumen.name}, doubtful=doubtful)


@rule(
    Theme.reach,
    Level.note,
    title="A lumen goes into a machine, and nothing connects it.",
    message="A machine washes the device, and nothing connects {lumen} to it.",
    remedy="Ask the maker how the inside is flushed in the machine.",
    source=book("iso-17664-1"),
)
def lumen_not_connected(case: Case) -> Iterator[Trip]:
    """Machine washing of a device with lumens, in a text without a connection or a flow."""
    washes = [step for step in case.doing(Action.wash) if step.stage is Stage.cleaning]
    inside = lumens(case)
    connects = case.doing(Action.connect) or any(
        step.positions.get("port") == "connected" for step in case.steps
    )
    if washes and inside and not connects and not case.mentions("connecting", "irrigation"):
        yield Trip(case.place(washes[0]), {"lumen": inside[0].name})


@rule(
    Theme.reach,
    Level.note,
    title="Moving parts are never moved while they are cleaned.",
    message="The {feature} moves, and no cleaning step moves it.",
    remedy="Ask the maker whether the {feature} is worked in the cleaning solution, and how often.",
    source=book("iso-17664-1"),
)
def joint_not_moved(case: Case) -> Iterator[Trip]:
    """Joints, jaws, ratchets and sleeves in a text whose cleaning never moves anything."""
    moving = [f for f in case.instruction.device.features if f.kind in _MOVES]
    cleaning = [passage for passage in case.passages if passage.step and passage.step.stage in _CLEANS]
    moved = any(
        passage.step and (passage.step.action is Action.actuate or passage.step.positions)
        for passage in cleaning
    )
    if moving and cleaning and not moved and not case.mentions("moving", among=cleaning):
        name = moving[0].name or moving[0].kind.value
        yield Trip(_place(case, moving[0]), {"feature": name})


@rule(
    Theme.reach,
    Level.note,
    title="A place that holds soil is never brushed.",
    message="The {feature} holds soil, and no step brushes it or anything.",
    remedy="Ask the maker how the {feature} is cleaned by hand.",
    source=book("iso-17664-1"),
)
def nothing_brushed(case: Case) -> Iterator[Trip]:
    """Threads, joints, ratchets, springs and sleeves in a text that never brushes."""
    holding = [f for f in case.instruction.device.features if f.kind in _HOLDS_SOIL]
    cleans = any(step.stage in _CLEANS for step in case.steps)
    brushed = case.doing(Action.brush) or case.mentions("brushing")
    if holding and cleans and not brushed:
        name = holding[0].name or holding[0].kind.value
        yield Trip(_place(case, holding[0]), {"feature": name})


def _is_one_of_several(case: Case, said: str) -> bool:
    """Whether what cannot be brushed is one of several channels, and some words do not name it."""
    closed = [p for p in case.passages if bans(p.text, "use-of-brushes") or says(p.text, "too-narrow")]
    closed += [p for p in case.passages if says(p.text, "takes-no-brush")]
    mine = _channels_called(said)
    others = [_channels_called(passage.text) for passage in closed]
    if any(theirs and not theirs & mine for theirs in others) and _has_several_channels(case):
        return True
    return any(is_perhaps_of_another(case, passage, passage.text, said) for passage in closed)


def _channels_called(text: str) -> set[str]:
    """What words call a channel by: its size, or the word in front of it."""
    return {match.lower().replace(",", ".") for match in _CHANNEL.findall(text)} - _NO_NAMES


def _has_several_channels(case: Case) -> bool:
    return len(set().union(*(_channels_called(p.text) for p in case.passages))) > 1


def _speaks_of_drying(passage: Passage) -> bool:
    """Whether words tell how an inside dries; a rule that it must be dried tells no more than that."""
    is_rule = passage.step is None and says(passage.text, "demanding") and not passage.figures
    return says(passage.text, "drying") and _dries_inside(passage.text) and not is_rule


def _dries_inside(said: str) -> bool:
    return says(said, "through-lumen") or says(said, "inside")


def _unreached(case: Case, steps: list[Step]) -> list[Lumen]:
    """Lumens that no step works on; a step that names no lumen or part reaches them all."""
    found = lumens(case)
    named = {lumen.feature.id for lumen in found} | {part.id for part in case.instruction.device.parts}
    reached: set[str] = set()
    for step in steps:
        on = set(step.on) & named
        reached |= {
            lumen.feature.id
            for lumen in found
            if not on or on & {lumen.feature.id, lumen.feature.part or lumen.feature.id}
        }
    return [lumen for lumen in found if lumen.feature.id not in reached]


def _misfit(case: Case, brush: Brush, lumen: Lumen, *, name: str) -> Trip:
    size, of_brush = (lumen.bore, brush.diameter) if name == "bore" else (lumen.length, brush.length)
    evidence: Evidence = {}
    if of_brush and size:
        evidence["brush"] = Measure(value=of_brush.value, unit=of_brush.unit)
        evidence[name] = Measure(value=size.value, unit=size.unit)
    return Trip(case.place(brush.step), evidence, (lumen.place,) if lumen.place else ())


def _place(case: Case, feature: Feature) -> Place:
    return place_of(feature.origin) if feature.origin else case.heading_for(Stage.cleaning)


def _in_mm(size: Quantity | None) -> float:
    return size.to("mm") if size else 0.0


RULES = (
    brush_too_wide,
    brush_too_thin,
    brush_too_short,
    brush_size_untold,
    brush_meets_rod,
    flush_smaller_than_lumen,
    lumen_not_cleaned,
    lumen_not_dried,
    lumen_not_connected,
    joint_not_moved,
    nothing_brushed,
)
