"""The lumens of a device with their sizes, and the brushes that steps ask for."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Place
from sinkside.instruction import Action, Feature, FeatureKind, FigureRole, Stage, Step
from sinkside.quantities import Figure, FigureQuantity, Quantity
from sinkside.review.case import Case, Passage, place_of, words
from sinkside.review.lexicon import says
from sinkside.review.told_lumens import told_for

_BRUSH_ROLES = frozenset({FigureRole.brush_diameter, FigureRole.brush_length})
_TWO_SIZES = 2

_WITH_A_BRUSH = re.compile(r"\b(?:with|by|using)\b(?=.{0,40}?\bbrush)", re.IGNORECASE)

#: What is wider than this beside its brush is no bore but a length.
_WIDEST_BORE_TO_BRUSH = 5.0

#: '"Tube" means the steel tube, bore 6.5 mm', 'Suction guide (B): …'.
_DEFINED = re.compile(
    r"^\W*(?P<term>[A-Z][\w-]*(?: [A-Z]?[\w-]+){0,2})[\"\u201d\u2019']?\s+(?:means|is defined as|denotes)\b"
)

#: A lumen is longer than it is wide; where it is not, one of its sizes was read from somewhere else.
_SLIMMEST = 1.5

#: Two bores that differ by more are two lumens.
_SAME_BORE_MM = 0.3


@dataclass(frozen=True)
class Lumen:
    """A lumen with what the text tells of its size."""

    feature: Feature
    bore: Quantity | None
    length: Quantity | None
    place: Place | None

    @property
    def name(self) -> str:
        """What the text calls it."""
        return self.feature.name or self.feature.id

    @property
    def volume_ml(self) -> float | None:
        """What fits into it, in mL."""
        if self.bore is None or self.length is None:
            return None
        return math.pi / 4.0 * self.bore.to("cm") ** 2 * self.length.to("cm")


@dataclass(frozen=True)
class Brush:
    """A brush that a step asks for inside a lumen, and the lumen's own sizes where the step tells them."""

    step: Step
    diameter: Quantity | None
    length: Quantity | None
    bore: Quantity | None = None
    reach: Quantity | None = None


def lumens(case: Case, step: Step | None = None) -> list[Lumen]:
    """The device's lumens; with a step, those it works on, or all where it names none.

    A device that comes in sizes has one lumen for each bore that the text gives.
    """
    features = [f for f in case.instruction.device.features if f.kind is FeatureKind.lumen]
    if not features:
        return _by_words(case)
    meant = [f for f in features if step and {f.id, f.part} & set(step.on)]
    is_alone = len(features) == 1
    return [lumen for feature in meant or features for lumen in _sized(case, feature, is_alone=is_alone)]


def brushes(case: Case) -> Iterator[Brush]:
    """Each step that brushes an inside, with the sizes that it asks of its brush."""
    inside = {feature.id for feature in case.instruction.device.features if feature.kind is FeatureKind.lumen}
    for step in case.steps:
        if step.action is not Action.brush and not _clears_an_inside(step):
            continue
        lengths = step.figures_of(FigureQuantity.length)
        sizes = [f for f in lengths if f.role in _BRUSH_ROLES or step.action is not Action.brush]
        # Only a brush for an inside is told by thickness and length.
        is_inside = inside & set(step.on) or says(words(step), "inside") or len(sizes) == _TWO_SIZES
        if is_inside:
            yield _in_two_halves(step) or _by_roles(step, sizes)


def _clears_an_inside(step: Step) -> bool:
    """Whether a step clears a lumen by its words, with a wire or the like of two sizes."""
    said = words(step)
    told = len(step.figures_of(FigureQuantity.length)) == _TWO_SIZES
    return (
        told and says(said, "clears-a-lumen") and says(said, "inside-words") and step.stage is Stage.cleaning
    )


def _in_two_halves(step: Step) -> Brush | None:
    """A brush told behind its lumen: "the bore (3 mm, 200 mm long) with a brush of 3.3 mm and 300 mm"."""
    said = words(step)
    tools = list(_WITH_A_BRUSH.finditer(said))
    sizes = [f for f in step.figures_of(FigureQuantity.length) if f.as_written and f.as_written in said]
    if not tools:
        return None
    at = tools[-1].start()
    of_lumen = sorted((f for f in sizes if said.find(f.as_written) < at), key=_in_mm)
    of_brush = sorted((f for f in sizes if said.find(f.as_written) > at), key=_in_mm)
    if not of_lumen or not of_brush:
        return None
    diameter = _quantity(of_brush[0])
    length, behind = _nearest_brush(step, of_brush[1:])
    if len(of_lumen) > 1:
        return Brush(step, diameter, length, _quantity(of_lumen[0]), _quantity(of_lumen[-1]))
    is_bore = _in_mm(of_lumen[0]) < _WIDEST_BORE_TO_BRUSH * diameter.to("mm")
    only = _quantity(of_lumen[0])
    return Brush(step, diameter, length, only if is_bore else None, behind if is_bore else only)


def _by_roles(step: Step, sizes: list[Figure]) -> Brush:
    roles = {size.role for size in sizes}
    if len(sizes) == _TWO_SIZES and len(roles) == 1:
        # Both were read as one kind: a brush is longer than it is thick.
        thin, long = sorted(sizes, key=_in_mm)
        return Brush(step, _quantity(thin), _quantity(long))
    diameter, bore = _nearest_brush(step, [s for s in sizes if s.role == FigureRole.brush_diameter])
    length, reach = _nearest_brush(step, [s for s in sizes if s.role == FigureRole.brush_length])
    return Brush(step, diameter, length, bore, reach)


def lumens_for(case: Case, brush: Brush) -> list[Lumen]:
    """The lumens that a brush can be meant for, with the sizes that its own step tells where it does."""
    meant = [lumen for lumen in lumens(case, brush.step) if not _is_of_another_part(lumen, brush.step)]
    told = told_for(case, words(brush.step)) if brush.bore is None else None
    if told and (told[1] or not any(lumen.bore for lumen in meant)):
        inside = Feature(id="inside", kind=FeatureKind.lumen, name="inside")
        length = told[0].length or _length_of(meant, told[0].bore) or brush.reach
        return [Lumen(inside, told[0].bore, length, told[0].place)]
    if not meant and (brush.bore or brush.reach):
        inside = Feature(id="inside", kind=FeatureKind.lumen, name="inside")
        return [Lumen(inside, brush.bore, brush.reach, None)]
    if len(meant) != 1 or not (brush.bore or brush.reach):
        return meant
    known = meant[0]
    if brush.bore and known.bore and abs(brush.bore.to("mm") - known.bore.to("mm")) > _SAME_BORE_MM:
        # "The stopcock bore of 3 mm with a brush of 3.2 mm": the step has a lumen of its own.
        return [Lumen(known.feature, brush.bore, brush.reach, None)]
    return [Lumen(known.feature, known.bore or brush.bore, known.length or brush.reach, known.place)]


def _length_of(meant: list[Lumen], bore: Quantity | None) -> Quantity | None:
    """How long the one way of a bore is, where the words that tell the bore do not say it."""
    same = [one for one in meant if bore and one.bore and one.bore.to("mm") == bore.to("mm")]
    return same[0].length if len(same) == 1 else None


def _is_of_another_part(lumen: Lumen, step: Step) -> bool:
    """Whether a definition gives a lumen to one part ('"Tube" means …') and the step brushes another."""
    defined = _DEFINED.match(lumen.place.text) if lumen.place else None
    if defined is None:
        return False
    brushed = words(step).casefold()
    return defined["term"].casefold() not in brushed and "inside" not in brushed


def _nearest_brush(step: Step, sizes: list[Figure]) -> tuple[Quantity | None, Quantity | None]:
    """Of some sizes the one that stands nearest to the word brush, and the first of the others."""
    said = words(step)
    at = said.lower().rfind("brush")
    ranked = sorted(sizes, key=lambda size: abs(said.find(size.as_written) - at) if size.as_written else 0)
    quantities: list[Quantity | None] = [_quantity(size) for size in ranked]
    return (*quantities, None, None)[0], (*quantities, None, None)[1]


def _sized(case: Case, feature: Feature, *, is_alone: bool) -> list[Lumen]:
    place = place_of(feature.origin) if feature.origin else None
    bore, length = feature.bore, feature.length
    if bore and length and length.to("mm") < _SLIMMEST * bore.to("mm"):
        bore = length = None
    if bore is not None and length is not None:
        return [Lumen(feature, bore, length, place)]
    for passage in _about(case, feature, is_alone=is_alone):
        lengths = _lengths(passage)
        if len(lengths) == _TWO_SIZES:
            thin, long = sorted(lengths, key=lambda size: size.number("mm"))
            return [Lumen(feature, _quantity(thin), _quantity(long), passage.place)]
    if bore is None and length is None and is_alone:
        return _of_cards(case, feature) or [Lumen(feature, feature.bore, feature.length, place)]
    return [Lumen(feature, bore, length, place)]


def _by_words(case: Case) -> list[Lumen]:
    """The lumen that a sentence tells the inner width and the length of, where none was read as a feature."""
    for passage in case.sentences:
        lengths = sorted(_lengths(passage), key=_in_mm)
        is_told = passage.step is None or passage.step.action is not Action.brush
        if is_told and len(lengths) == _TWO_SIZES and says(passage.text, "inner-size"):
            thin, long = lengths
            if _in_mm(long) > _SLIMMEST * _in_mm(thin):
                inside = Feature(id="inside", kind=FeatureKind.lumen, name="inside")
                return [Lumen(inside, _quantity(thin), _quantity(long), passage.place)]
    return []


def _about(case: Case, feature: Feature, *, is_alone: bool) -> Iterator[Passage]:
    """The words that a lumen was read from, and the sentences that can only be about it."""
    for passage in case.passages:
        is_origin = feature.origin is not None and passage.text == feature.origin.text
        if is_origin or (is_alone and passage.step is None and says(passage.text, "inside")):
            yield passage


def _of_cards(case: Case, feature: Feature) -> list[Lumen]:
    """Lumens whose bores and length stand on lines of their own: "Bore, size 7: 1.5 mm"."""
    single = [p for p in _about(case, feature, is_alone=True) if len(_lengths(p)) == 1]
    long = [_quantity(_lengths(passage)[0]) for passage in single if says(passage.text, "lengthwise")]
    thin = [passage for passage in single if not says(passage.text, "lengthwise")]
    length = long[0] if len(long) == 1 else None
    return [Lumen(feature, _quantity(_lengths(p)[0]), length, p.place) for p in thin]


def _lengths(passage: Passage) -> list[Figure]:
    return [figure for figure in passage.figures if figure.quantity is FigureQuantity.length]


def _in_mm(figure: Figure) -> float:
    return figure.number("mm")


def _quantity(figure: Figure) -> Quantity:
    return Quantity(figure.number(), figure.unit)
