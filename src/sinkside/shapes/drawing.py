"""A drawing of a device in some positions: lines, letters, what the letters name, and the same in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from sinkside.errors import BadInput
from sinkside.instruction import Device
from sinkside.shapes.cast import Cast, Form, cast_of
from sinkside.shapes.flow import FlowPath, flow_arrows, flow_path
from sinkside.shapes.letters import Letter, letter_of, lettered
from sinkside.shapes.lines import Box, Shape, of_part
from sinkside.shapes.posing import posed, with_boxes
from sinkside.shapes.sizes import drawn_sizes, life_sizes
from sinkside.shapes.stance import Stance
from sinkside.shapes.words import described, names_of

#: Narrower than this there are no letters and no fine lines.
SMALL_MM = 40.0
NARROWEST_MM, WIDEST_MM = 8.0, 420.0
_LEAST_OF_BOXES = 240.0


@dataclass(frozen=True)
class Drawing:
    """What is to be seen, in millimetres of the drawing.

    Attributes:
        title: the device's name.
        description: the alternative text: what is drawn, in which position, what is not known.
        shape: the lines from back to front.
        letters: where each letter stands.
        key: letter and name, in order, for the list beside.
        frame: the box that holds everything.
        letter_height: in units of the drawing.
        shown_mm: how wide the drawing is meant to be shown.
        is_known: whether the device has a form that can be drawn; else there are boxes alone.
    """

    title: str
    description: str
    shape: Shape
    letters: tuple[Letter, ...]
    key: tuple[tuple[str, str], ...]
    frame: Box
    letter_height: float
    shown_mm: float
    is_known: bool

    @property
    def millimetre(self) -> float:
        """One shown millimetre, in units of the drawing."""
        return self.frame.width / self.shown_mm


def draw(
    device: Device,
    positions: Mapping[str, str] | None = None,
    *,
    shown_mm: float = 140.0,
    with_flow: bool = False,
    with_letters: bool = True,
    with_numbers: bool = False,
) -> Drawing:
    """A device drawn in the positions that a step needs.

    Args:
        device: of an instruction.
        positions: by the vocabulary; what is not stated is drawn at rest, and the words say so.
        shown_mm: how wide it will be shown, 8 to 420 mm.
        with_flow: whether arrows show where a flush goes in and out.
        with_letters: whether parts and features are lettered, for a list beside it, and parts of unknown
            shape have a box; never below 40 mm.
        with_numbers: whether they are numbered 1, 2, 3 instead, each thing once, where letters name steps.

    Raises:
        BadInput: if a position is none of the vocabulary, or the width lies outside its range.

    >>> from sinkside.instruction import Device, Feature, FeatureKind
    >>> features = (Feature(id="j", kind=FeatureKind.jaw), Feature(id="r", kind=FeatureKind.ratchet))
    >>> draw(Device(name="Clamp forceps", features=features), {"jaw": "open"}).key
    (('A', 'jaw'), ('B', 'ratchet'))
    """
    if not NARROWEST_MM <= shown_mm <= WIDEST_MM:
        raise BadInput(f"{shown_mm:g} mm cannot be drawn; expected {NARROWEST_MM:g} to {WIDEST_MM:g} mm")
    stated = dict(positions or {})
    stance = Stance.of(stated)
    cast = cast_of(device)
    shape = posed(cast, drawn_sizes(life_sizes(cast), cast.form), stance, stated)
    is_lettered = with_letters and shown_mm >= SMALL_MM
    if is_lettered:
        shape = with_boxes(cast, shape)
    mark = (_number_of if with_numbers else letter_of) if is_lettered else None
    path = flow_path(shape.openings) if with_flow else None
    if path:
        shape += flow_arrows(path)
    return _finished(cast, shape, stated=stated, path=path, shown_mm=shown_mm, mark=mark)


def _finished(
    cast: Cast,
    shape: Shape,
    *,
    stated: Mapping[str, str],
    path: FlowPath | None,
    shown_mm: float,
    mark: Callable[[int], str] | None,
) -> Drawing:
    """The drawing with its letters, its frame and its words."""
    named = names_of(cast, shape)
    if mark is _number_of:
        named = _each_once(cast, named)
    letter = {name: mark(index) if mark else "" for index, name in enumerate(named)}
    height = _letter_height(_width(cast, shape), shown_mm)
    letters = lettered(shape, letter, height=height) if mark else ()
    return Drawing(
        title=cast.device.name,
        description=described(cast, shape, letter, stated=stated, path=path),
        shape=shape,
        letters=letters,
        key=tuple((letter[name], words) for name, words in named.items() if mark),
        frame=_frame(shape, letters, height, least=_width(cast, shape)),
        letter_height=height,
        shown_mm=shown_mm,
        is_known=cast.form is not Form.blocks,
    )


def _number_of(index: int) -> str:
    return str(index + 1)


def _each_once(cast: Cast, named: Mapping[str, str]) -> dict[str, str]:
    """Names without features that only say again what their part is called: the screw of a locking screw."""
    parts = {part.id: part.name.casefold() for part in cast.device.parts if of_part(part.id) in named}
    again = {
        one.id
        for one in cast.device.features
        if one.part in parts
        and f" {parts[one.part]}".endswith(f" {(one.name or one.kind.value.replace('-', ' ')).casefold()}")
    }
    return {name: words for name, words in named.items() if name not in again}


def _width(cast: Cast, shape: Shape) -> float:
    """How wide the drawing is; boxes alone are never blown up."""
    width = shape.box().width
    return max(width, _LEAST_OF_BOXES) if cast.form is Form.blocks else width


def _letter_height(width: float, shown_mm: float) -> float:
    """The height of letters in units of a drawing so wide: 3.2 mm as shown, more on large paper."""
    return max(3.2, 0.024 * shown_mm) * width / shown_mm


def _frame(shape: Shape, letters: tuple[Letter, ...], height: float, *, least: float) -> Box:
    drawn = shape.box()
    boxes = [
        replace(drawn, right=drawn.left + max(least, drawn.width)),
        *(letter.box(height) for letter in letters),
    ]
    whole = Box(
        min(one.left for one in boxes),
        min(one.top for one in boxes),
        max(one.right for one in boxes),
        max(one.bottom for one in boxes),
    )
    return whole.grown(0.02 * whole.width)
