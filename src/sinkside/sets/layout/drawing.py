"""The tray from above as SVG, in mm, safe in black and white: letters as in the list beside it."""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from sinkside.sets.layout.document import HolderKind, LaidPiece, Layout, Side, Tray
from sinkside.sets.layout.drawn_area import MARGIN, Area, drawn_area, overlaps
from sinkside.sets.layout.geometry import Body, basket_body, piece_body, turned, wall_distance
from sinkside.sets.layout.lines import basket_contents

if TYPE_CHECKING:
    from shapely import Polygon

_WALL: Final = 2.4
_RING: Final = 7.0
_FACE: Final = "font-family=\"'Source Sans Pro', sans-serif\""
_SCALE_MM: Final = 50
_RULED: Final = 10
_MAT: Final = 3.5
_GUARD: Final = 2.2
_STANDING_STYLE: Final = (
    "svg{color:#15202b;--paper:#fff}"
    "@media (prefers-color-scheme:dark){svg{color:#e9eaea;--paper:#14181c}}"
    ".body{fill:var(--paper)}"
)

#: Where along it a piece may be held, as shares of its length from its middle: behind and before.
_HELD_AT: Final = ((-0.3, -0.25, -0.2, -0.15, -0.1, -0.05), (0.35, 0.3, 0.25, 0.2))

#: Where along its working line a letter may stand: first where there is most room.
_ALONG: Final = (0.0, -0.2, 0.2, -0.35, 0.35, -0.1, 0.1, -0.45, 0.45)


def tray_map_svg(
    layout: Layout, *, key: str = "tray", stands_alone: bool = False, front: str = "front"
) -> str:
    """The tray from above, every piece with its letter; the same bytes for the same layout.

    Lines are `currentColor`; where the page's paper is not white it sets the fill of `.body`. A piece is a
    group with its id as `data-piece`, moved by `transform`, so that a page can move it.

    Args:
        layout: what lies where.
        key: what makes its ids unique on the page.
        stands_alone: whether it is a file of its own, in life size, which brings light and dark with it.
        front: the word at its front edge; empty where the page says it below the drawing.
    """
    tray = layout.tray
    name = html.escape(key)
    area = drawn_area(layout)
    wide, high = area.right - area.left, area.front - area.back
    size = f' width="{_short(wide)}mm" height="{_short(high)}mm"' if stands_alone else ""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tray-map" role="img"{size}'
        f' viewBox="{_short(area.left)} {_short(area.back)} {_short(wide)} {_short(high)}"'
        f' aria-labelledby="{name}-title {name}-desc">'
        f'<title id="{name}-title">{html.escape(f"{layout.set}: {tray.name} from above")}</title>'
        f'<desc id="{name}-desc">{html.escape(described(layout))}</desc>'
    )
    style = f"<style>{_STANDING_STYLE}</style>" if stands_alone else ""
    things = "".join([*_baskets(layout, area), *_pieces(layout, area), *_overlaps(layout)])
    return f"{head}{style}{_tray(tray, front)}{things}</svg>\n"


def described(layout: Layout) -> str:
    """The tray in words: its size, then what lies where, by letter."""
    tray = layout.tray
    told = [f"The tray from above, {tray.length_mm:g} by {tray.width_mm:g} mm, its front at the bottom."]
    for piece in layout.pieces:
        if layout.in_basket(piece):
            holder = layout.holder(piece.holder)
            told.append(f"{piece.id}: {piece.name}, in the {holder.name if holder else 'basket'}.")
        elif piece.outline:
            told.append(f"{piece.id}: {piece.name}, {_where(tray, piece)}.")
    return " ".join(told)


def _where(tray: Tray, piece: LaidPiece) -> str:
    """Where a piece lies, and to which side its working end points, in words."""
    across = ("left", "middle", "right")[min(int(3 * max(piece.x, 0.0) / tray.length_mm), 2)]
    down = ("at the back", "in the middle", "at the front")[
        min(int(3 * max(piece.y, 0.0) / tray.width_mm), 2)
    ]
    outside = ", outside the tray" if wall_distance(tray, piece_body(piece).shape) < 0.0 else ""
    quarter = round(piece.turn / 90.0) % 4
    points = (Side.right, Side.front, Side.left, Side.back)[quarter]
    layer = f", level {piece.layer + 1}" if tray.layers > 1 else ""
    return f"{across} {down}{outside}{layer}, working end to the {points.value}"


def _tray(tray: Tray, front: str) -> str:
    """Walls, a grid that tells its floor, the front, a scale, and the lowest side of a sloped one."""
    long, wide = tray.length_mm, tray.width_mm
    ruled = "".join(
        f"M{_short(x)} 0V{_short(wide)}" for x in range(_RULED * 5, int(long), _RULED * 5)
    ) + "".join(f"M0 {_short(y)}H{_short(long)}" for y in range(_RULED * 5, int(wide), _RULED * 5))
    foot, word = wide + 13.0, html.escape(front)
    frame = (
        f'<rect class="body" fill="#fff" x="{-_WALL}" y="{-_WALL}" width="{_short(long + 2 * _WALL)}"'
        f' height="{_short(wide + 2 * _WALL)}" rx="7" stroke="currentColor" stroke-width="1.2"/>'
        f'<rect fill="none" width="{_short(long)}" height="{_short(wide)}" rx="5" stroke="currentColor"'
        ' stroke-width="0.4"/>'
        f'<path d="{ruled}" stroke="currentColor" stroke-width="0.2" stroke-dasharray="1 3" opacity="0.55"/>'
    )
    below = (
        f'<path fill="none" stroke="currentColor" stroke-width="0.8"'
        f' d="M0 {_short(foot - 3)}v3h{_SCALE_MM}v-3"/>'
        f'<g fill="currentColor" font-size="8.5" {_FACE} aria-hidden="true">'
        f'<text x="{_SCALE_MM + 4}" y="{_short(foot + 1)}">{_SCALE_MM} mm</text>'
        f'<text x="{_short(long / 2)}" y="{_short(foot + 1)}" text-anchor="middle">{word}</text>'
        f'<text x="{_short(long)}" y="{_short(foot + 1)}" text-anchor="end">{_short(long)} × {_short(wide)}'
        " mm</text></g>"
    )
    return frame + below + (_slope(tray) if tray.slope_deg else "")


def _slope(tray: Tray) -> str:
    """An arrow at the lowest side."""
    x, y, turn = {
        Side.left: (-MARGIN + 4.0, tray.width_mm / 2, 90.0),
        Side.right: (tray.length_mm + MARGIN - 4.0, tray.width_mm / 2, -90.0),
        Side.back: (tray.length_mm * 0.75, -MARGIN + 4.0, 180.0),
        Side.front: (tray.length_mm * 0.75, tray.width_mm + 8.0, 0.0),
    }[tray.lowest]
    return (
        f'<path transform="translate({_short(x)} {_short(y)}) rotate({turn:g})" d="M-5 -3L0 3L5 -3Z"'
        ' fill="currentColor"><title>the lowest side</title></path>'
    )


def _baskets(layout: Layout, area: Area) -> Iterator[str]:
    for basket in layout.baskets:
        body, holder = basket_body(layout, basket), layout.holder(basket.holder)
        long, wide = (holder.length_mm or 0.0, holder.width_mm or 0.0) if holder else (0.0, 0.0)
        letters = ", ".join(dict.fromkeys(one.id for one in basket_contents(layout, basket.holder)))
        left, _, right, _ = body.shape.bounds
        there = area.at(basket.x, basket.y)
        size = min(10.0, 1.7 * (right - left - 6.0) / max(len(letters), 1))
        yield (
            f'<g class="basket" data-piece="{html.escape(basket.holder)}"'
            f' transform="translate({_short(there[0])} {_short(there[1])})">'
            f"{_path(body.shape, -basket.x, -basket.y, 0.9)}"
            f'<path fill="none" stroke="currentColor" stroke-width="0.5"'
            f' transform="rotate({_short(basket.turn)})" d="{_lid(long, wide)}"/>'
            f'<text y="{_short(size * 0.36)}" text-anchor="middle" font-size="{_short(size)}"'
            f' font-weight="600" fill="currentColor" {_FACE}>{html.escape(letters)}</text></g>'
        )


def _overlaps(layout: Layout) -> Iterator[str]:
    """What two things share, hatched above both, so that neither hides it."""
    for areas, lines in overlaps(layout):
        drawn = "".join(_outline(points, 0.0, 0.0) for points in areas)
        drawn += "".join("M" + "L".join(f"{_short(x)} {_short(y)}" for x, y in line) for line in lines)
        yield (
            '<path class="overlap" fill="none" stroke="currentColor" stroke-width="0.8"'
            f' pointer-events="none" d="{drawn}"/>'
        )


def _lid(long: float, wide: float) -> str:
    """Corners of a lid, so that a closed basket is told from an open place."""
    half, side, cut = long / 2, wide / 2, 7.0
    return "".join(
        f"M{_short(x * (half - cut))} {_short(y * side)}L{_short(x * half)} {_short(y * (side - cut))}"
        for x in (-1, 1)
        for y in (-1, 1)
    )


def _pieces(layout: Layout, area: Area) -> Iterator[str]:
    rings: list[tuple[float, float]] = []
    stopped = {
        str(one.evidence.get(name))
        for one in layout.findings
        for name in ("piece", "other")
        if one.level == "stop"
    }
    lying = [one for one in layout.pieces if one.outline and not layout.in_basket(one)]
    for piece in sorted(lying, key=lambda one: one.layer):
        body = piece_body(piece)
        there = area.at(piece.x, piece.y)
        ring = _ring_at(body, rings) if there == (piece.x, piece.y) else (piece.x, piece.y)
        rings.append(ring)
        mark = _mark(layout, body, there[0], is_stopped=piece.id in stopped)
        yield _piece(layout, piece, body, ring=ring, there=there, mark=mark)


def _mark(layout: Layout, body: Body, x: float, *, is_stopped: bool) -> tuple[str, int]:
    """What stands beside a letter, in a word where it sticks out; and on which side there is room for it."""
    is_outside = wall_distance(layout.tray, body.shape) < 0.0
    words = "■ outside" if is_outside else "■" if is_stopped else ""
    return words, 1 if x < layout.tray.length_mm / 2 else -1


def _piece(
    layout: Layout,
    piece: LaidPiece,
    body: Body,
    *,
    ring: tuple[float, float],
    there: tuple[float, float],
    mark: tuple[str, int],
) -> str:
    x, y = ring[0] - piece.x, ring[1] - piece.y
    size = 10.0 if len(piece.id) == 1 else 8.0 if len(piece.id) == 2 else 6.0  # noqa: PLR2004 # letters in a ring
    words, side = mark
    beside = (
        f'<text x="{_short(x + side * (_RING + 2))}" y="{_short(y + 3.2)}" font-size="9"'
        f' text-anchor="{"start" if side > 0 else "end"}">{words}</text>'
        if words
        else ""
    )
    upper = ' stroke-dasharray="4 1.4"' if piece.layer else ""
    return (
        f'<g class="piece" data-piece="{html.escape(piece.id)}" data-x="{_short(piece.x)}"'
        f' data-y="{_short(piece.y)}" data-turn="{_short(piece.turn)}"'
        f' transform="translate({_short(there[0])} {_short(there[1])})">'
        f"{_holder(layout, piece, body)}{_path(body.shape, -piece.x, -piece.y, 0.8, upper)}"
        f"{_tip(body, piece)}"
        f'<circle class="body" fill="#fff" cx="{_short(x)}" cy="{_short(y)}" r="{_RING}"'
        f' stroke="currentColor" stroke-width="0.7"/>'
        f'<g fill="currentColor" text-anchor="middle" font-weight="700" {_FACE} aria-hidden="true">'
        f'<text x="{_short(x)}" y="{_short(y + size * 0.35)}" font-size="{size:g}">'
        f"{html.escape(piece.id)}</text>"
        f"{beside}</g></g>"
    )


def _holder(layout: Layout, piece: LaidPiece, body: Body) -> str:
    """What holds a piece: a mat under it, bars or a comb across it, pins beside it, a guard on its tip."""
    holder = layout.holder(piece.holder)
    kind = holder.kind if holder else None
    about = f'fill="none" stroke="currentColor" transform="translate({_short(-piece.x)} {_short(-piece.y)})"'
    if kind is HolderKind.mat:
        return (
            f'<path {about} stroke-width="0.5" stroke-dasharray="0.6 1.6" d="{_rounded(body.shape, _MAT)}"/>'
        )
    if kind is HolderKind.tip_protector:
        tip = body.tip
        return f'<path {about} stroke-width="0.9" d="{_rounded(tip, _GUARD)}"/>' if tip is not None else ""
    if kind in {HolderKind.bar, HolderKind.comb, HolderKind.pin}:
        ways = (min(_cuts(piece, shares), key=lambda cut: cut[2] - cut[1]) for shares in _HELD_AT)
        return "".join(_across(piece, cut, as_pins=kind is HolderKind.pin) for cut in ways)
    return ""


def _cuts(piece: LaidPiece, shares: Iterable[float]) -> Iterator[tuple[float, float, float]]:
    """Where a piece could be held: places along it, with its back and front there."""
    from shapely import LineString

    shape = turned(piece.outline, 0.0)
    _, back, _, front = shape.bounds
    for at in (share * piece.length_mm for share in shares):
        cut = shape.intersection(LineString([(at, back - 1.0), (at, front + 1.0)]))
        yield (at, back, front) if cut.is_empty else (at, cut.bounds[1], cut.bounds[3])


def _across(piece: LaidPiece, cut: tuple[float, float, float], *, as_pins: bool) -> str:
    """A bar across a piece at a place along it, or a pin on either side of it."""
    at, low, high = cut[0], cut[1] - 3.0, cut[2] + 3.0
    if as_pins:
        drawn = f"M{_short(at)} {_short(low)}h0M{_short(at)} {_short(high)}h0"
        width, cap = 3.2, "round"
    else:
        drawn = f"M{_short(at)} {_short(low)}V{_short(high)}"
        width, cap = 2.0, "butt"
    return (
        f'<path transform="rotate({_short(piece.turn)})" fill="none" stroke="currentColor" d="{drawn}"'
        f' stroke-width="{width}" stroke-linecap="{cap}"/>'
    )


def _tip(body: Body, piece: LaidPiece) -> str:
    """The working end of a delicate piece in black: it must touch nothing."""
    tip = body.tip
    if tip is None:
        return ""
    return f'<path fill="currentColor" d="{_outline(tip.exterior.coords, -piece.x, -piece.y)}"/>'


def _ring_at(body: Body, rings: list[tuple[float, float]]) -> tuple[float, float]:
    """Where the letter of a piece stands: on it, where it is widest, clear of other letters."""
    from shapely import maximum_inscribed_circle

    piece = body.piece
    middle = maximum_inscribed_circle(body.shape, tolerance=1.0).coords[0]
    candidates = [(float(middle[0]), float(middle[1]))]
    if piece is not None:
        line = turned(piece.outline, 0.0)
        candidates += [
            _on_the_floor(piece, share * piece.length_mm, _middle_of(line, share * piece.length_mm))
            for share in _ALONG
        ]
    free = (
        point
        for point in candidates
        if all((point[0] - x) ** 2 + (point[1] - y) ** 2 > (2.1 * _RING) ** 2 for x, y in rings)
    )
    return next(free, candidates[0])


def _middle_of(shape: Polygon, at: float) -> float:
    """The middle of the widest cut across a shape at a place of its length."""
    from shapely import LineString

    _, back, _, front = shape.bounds
    cut = shape.intersection(LineString([(at, back - 1.0), (at, front + 1.0)]))
    parts = [one for one in getattr(cut, "geoms", [cut]) if one.length]
    if not parts:
        return 0.0
    widest = max(parts, key=lambda one: float(one.length))
    return float((widest.bounds[1] + widest.bounds[3]) / 2)


def _on_the_floor(piece: LaidPiece, x: float, y: float) -> tuple[float, float]:
    from shapely import Point, affinity

    there = affinity.rotate(Point(x, y), piece.turn, origin=(0.0, 0.0))
    return float(there.x) + piece.x, float(there.y) + piece.y


def _path(shape: Polygon, dx: float, dy: float, width: float, more: str = "") -> str:
    return (
        f'<path class="body" fill="#fff" stroke="currentColor" stroke-width="{width:g}"'
        f' stroke-linejoin="round"{more} d="{_outline(shape.exterior.coords, dx, dy)}"/>'
    )


def _rounded(shape: Polygon, by_mm: float) -> str:
    return _outline(shape.buffer(by_mm).simplify(0.1).exterior.coords, 0.0, 0.0)


def _outline(points: Iterable[tuple[float, float]], dx: float, dy: float) -> str:
    return "M" + "L".join(f"{_short(x + dx)} {_short(y + dy)}" for x, y in list(points)[:-1]) + "Z"


def _short(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
