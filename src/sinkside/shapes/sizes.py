"""How long and wide the pieces of a drawing are: as the device is, or as a small picture shows it."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.errors import BadQuantity
from sinkside.instruction import Feature, FeatureKind
from sinkside.quantities import Quantity
from sinkside.shapes.cast import Cast, Form

#: Common sizes where the text states none, in mm; common practice, no source.
_COMMON_LENGTH = {Form.needle: 120.0, Form.tube: 180.0, Form.punch: 180.0, Form.forceps: 150.0}
_COMMON_SHAFT = 200.0
_COMMON_WIDTH = 5.0
_WALL = 0.6
_THINNEST, _LONGEST = 0.05, 3000.0


@dataclass(frozen=True)
class Sizes:
    """Measures of the pieces in mm.

    Attributes:
        width: of the shaft.
        length: of the shaft, from the handle to the joint or the opening.
        bore: of its lumen; 0 without.
        rod: in the lumen; 0 without.
        jaw: length of jaws or blades.
        hand: how much larger or smaller than life the handle is.
        is_shortened: whether the shaft is drawn shorter than it is.
    """

    width: float
    length: float
    bore: float = 0.0
    rod: float = 0.0
    jaw: float = 18.0
    hand: float = 1.0
    is_shortened: bool = False


def life_sizes(cast: Cast) -> Sizes:
    """The sizes as stated; common ones where nothing is stated."""
    lumens = cast.features(FeatureKind.lumen)
    bore = _longest(lumens, "bore")
    length = _longest(lumens, "length") or _COMMON_LENGTH.get(cast.form, _COMMON_SHAFT)
    width = bore + 2 * _WALL if bore else _COMMON_WIDTH
    if cast.form is Form.needle and not bore:
        width = _COMMON_WIDTH / 2
    return Sizes(
        width=width,
        length=length,
        bore=bore or (width - 2 * _WALL if lumens else 0.0),
        rod=_longest(lumens, "rod"),
        jaw=max(2.4 * width, 8.0) if cast.form is not Form.forceps else 36.0,
    )


def drawn_sizes(life: Sizes, form: Form) -> Sizes:
    """The sizes for a picture: thin things thicker, long things shorter, their order kept."""
    width = 7.0 + 7.0 * life.width / (life.width + 6.0)
    by = width / life.width
    length = 95.0 + 130.0 * life.length / (life.length + 260.0)
    jaw = {Form.forceps: 36.0, Form.punch: 20.0}.get(form, 30.0)
    return Sizes(
        width=width,
        length=length,
        bore=life.bore * by,
        rod=life.rod * by,
        jaw=jaw,
        hand=0.8,
        is_shortened=form is not Form.forceps and life.length * by > length,
    )


def _longest(lumens: tuple[Feature, ...], measure: str) -> float:
    """The largest stated measure of some lumens in mm; 0 where none is stated that can be one."""
    return max((_millimetres(getattr(lumen, measure)) for lumen in lumens), default=0.0)


def _millimetres(stated: Quantity | None) -> float:
    if stated is None:
        return 0.0
    try:
        length = stated.to("mm")
    except BadQuantity:
        return 0.0
    # A figure that no instrument can have was misread; it must not stretch the drawing.
    return length if _THINNEST <= length <= _LONGEST else 0.0
