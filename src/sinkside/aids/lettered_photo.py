"""A department's own photo of a device with lettered points on it: plain values, and the drawing of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sinkside.aids.drawing import Element, add, markup, svg

#: A letter's square beside its point, and how far from it, as shares of the photo's mean side.
_SQUARE: Final = 0.07
_AWAY: Final = 0.03
_DOT: Final = 0.009
_HALF: Final = 0.5
#: The base line of a letter lies so much of the square's side below its middle.
_BELOW_MIDDLE: Final = 0.33
_LETTER: Final = 0.86
_INK: Final = "#15202b"


@dataclass(frozen=True)
class PhotoPoint:
    """A point on a photo: its letter, what is there, and how far from the left and the top, from 0 to 1."""

    letter: str
    what: str
    x: float
    y: float


@dataclass(frozen=True)
class LetteredPhoto:
    """A photo with its points.

    Attributes:
        device: what it shows.
        width: in pixels.
        height: in pixels.
        points: in the order of their letters.
        jpeg: the photo itself, for paper; empty where a page fetches it by its address.
    """

    device: str
    width: int
    height: int
    points: tuple[PhotoPoint, ...]
    jpeg: bytes = b""

    @property
    def alternative(self) -> str:
        """What the photo shows, in words, for whoever does not see it.

        >>> LetteredPhoto("Punch", 400, 300, (PhotoPoint("A", "inner rod", 0.2, 0.5),)).alternative
        'Photo of Punch. A: inner rod, left, half way down.'
        """
        if not self.points:
            return f"Photo of {self.device}, without letters."
        told = "; ".join(f"{one.letter}: {one.what}, {_where(one)}" for one in self.points)
        return f"Photo of {self.device}. {told}."


def lettered_photo_svg(photo: LetteredPhoto, href: str, *, key: str, lit: Iterable[str] = ()) -> str:
    """The photo with its letters as SVG: each point a ring, its letter in a square beside it.

    Args:
        photo: the photo and its points.
        href: where the photo itself is: an address, or a `data:` URI of its JPEG for paper.
        key: what makes the ids of title and description unique on a page.
        lit: the letters that matter here; they are drawn with a heavier square.
    """
    root = svg(
        width=photo.width,
        height=photo.height,
        key=key,
        title=f"Photo of {photo.device}",
        description=photo.alternative,
        classes="lettered-photo",
    )
    add(root, "image", href=href, x=0.0, y=0.0, width=float(photo.width), height=float(photo.height))
    wanted = set(lit)
    for point in photo.points:
        _add_point(root, photo, point, lit=point.letter in wanted)
    return markup(root)


def _add_point(root: Element, photo: LetteredPhoto, point: PhotoPoint, *, lit: bool) -> None:
    """One point: a ring where it is, a line, and the letter in a square towards the middle of the photo."""
    size = (photo.width + photo.height) / 2.0
    side = _SQUARE * size
    x, y = point.x * photo.width, point.y * photo.height
    # Towards the middle there is always room, so that no letter is cut off at an edge.
    across = _AWAY * size + side / 2.0
    middle_x = x + (across if point.x < _HALF else -across)
    middle_y = y + (across if point.y < _HALF else -across)
    group = add(root, "g", class_="photo-point here" if lit else "photo-point", data_letter=point.letter)
    # A white halo under each dark line, so that it stands out on bright and on dark.
    for ink, width in (("#ffffff", side / 5.0), (_INK, side / 12.0)):
        add(group, "line", x1=x, y1=y, x2=middle_x, y2=middle_y, stroke=ink, stroke_width=width)
        add(group, "circle", cx=x, cy=y, r=_DOT * size, fill="none", stroke=ink, stroke_width=width)
    add(
        group,
        "rect",
        x=middle_x - side / 2.0,
        y=middle_y - side / 2.0,
        width=side,
        height=side,
        rx=side / 8.0,
        fill="#ffffff",
        stroke=_INK,
        stroke_width=side / (7.0 if lit else 14.0),
    )
    add(
        group,
        "text",
        text=point.letter,
        x=middle_x,
        y=middle_y + _BELOW_MIDDLE * side,
        fill=_INK,
        font_size=_LETTER * side,
        font_weight="700",
        text_anchor="middle",
    )


def _where(point: PhotoPoint) -> str:
    """Where a point is, in words that need no picture."""
    thirds = (1.0 / 3.0, 2.0 / 3.0)
    across = "left" if point.x < thirds[0] else "right" if point.x > thirds[1] else "in the middle"
    down = (
        "at the top" if point.y < thirds[0] else "at the bottom" if point.y > thirds[1] else "half way down"
    )
    return f"{across}, {down}"
