"""A drawing as SVG: black lines that take the colour of the text round them, and paper between them."""

from __future__ import annotations

import html

from sinkside.shapes.drawing import SMALL_MM, Drawing
from sinkside.shapes.lines import Line, Point, Stroke

#: Widths of lines and lengths of dashes, in shown mm for a drawing 140 mm wide.
_WIDTHS = {
    Line.edge: 0.5, Line.fine: 0.26, Line.hidden: 0.24, Line.ghost: 0.22, Line.hatch: 0.16,
    Line.axis: 0.16, Line.flow: 0.62, Line.unknown: 0.3, Line.bare: 0.0,
}  # fmt: skip
_DASHES = {
    Line.hidden: (1.5, 0.9), Line.ghost: (1.0, 0.8), Line.axis: (5.0, 1.0, 0.9, 1.0),
    Line.unknown: (1.8, 1.2),
}  # fmt: skip
_SMALL_EDGE = 0.34
#: Lines grow with drawings wider than this, in shown mm.
_GROWS_FROM = 140.0

#: How wide a drawing must be shown, in mm, for such lines not to run together.
_SHOWN_FROM = {
    Line.edge: 0.0, Line.bare: 0.0, Line.flow: 0.0, Line.unknown: 0.0, Line.axis: SMALL_MM,
    Line.fine: SMALL_MM, Line.ghost: SMALL_MM, Line.hidden: 70.0, Line.hatch: 90.0,
}  # fmt: skip

_STYLE = (
    "svg{color:#15202b;--paper:#fff}"
    "@media (prefers-color-scheme:dark){svg{color:#e9eaea;--paper:#14181c}}"
    ".body{fill:var(--paper)}"
)


def svg(drawing: Drawing, *, key: str, stands_alone: bool = False) -> str:
    """The drawing as an SVG element, the same bytes for the same drawing.

    Lines are `currentColor`; where the page's paper is not white it sets the fill of `.body`.

    Args:
        drawing: what is drawn.
        key: what makes its ids unique on the page.
        stands_alone: whether it is a file of its own, which brings light and dark with it.
    """
    frame = drawing.frame
    name = html.escape(key)
    size = f' width="{drawing.shown_mm:g}mm"' if stands_alone else ""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="device-drawing" role="img"{size}'
        f' viewBox="{_short(frame.left)} {_short(frame.top)} {_short(frame.width)} {_short(frame.height)}"'
        f' aria-labelledby="{name}-title {name}-desc">'
        f'<title id="{name}-title">{html.escape(drawing.title)}</title>'
        f'<desc id="{name}-desc">{html.escape(drawing.description)}</desc>'
    )
    style = f"<style>{_STYLE}</style>" if stands_alone else ""
    lines = "".join(_lines(drawing))
    return f"{head}{style}{lines}{_letters(drawing)}</svg>\n"


def _lines(drawing: Drawing) -> list[str]:
    return [
        _path(stroke, drawing)
        for stroke in drawing.shape.strokes
        if drawing.shown_mm >= _SHOWN_FROM[stroke.line]
    ]


def _path(stroke: Stroke, drawing: Drawing) -> str:
    width = _width(stroke.line, drawing)
    if stroke.line is Line.bare:
        drawn = 'stroke="none"'
    else:
        drawn = f'stroke="currentColor" stroke-width="{_short(width)}"'
        dashes = _DASHES.get(stroke.line)
        if dashes:
            by = _scale(drawing)
            drawn += f' stroke-dasharray="{" ".join(_short(dash * by) for dash in dashes)}"'
    fill = 'class="body" fill="#fff"' if stroke.is_body else 'fill="none"'
    ends = "Z" if stroke.is_body else ""
    return (
        f'<path {fill} {drawn} stroke-linejoin="round" stroke-linecap="round"'
        f' d="M{_points(stroke.points)}{ends}"/>'
    )


def _letters(drawing: Drawing) -> str:
    if not drawing.letters:
        return ""
    height = drawing.letter_height
    width = _short(_width(Line.axis, drawing))
    leads = "".join(
        f'<path fill="none" stroke="currentColor" stroke-width="{width}" d="M{_points(one.lead)}"/>'
        for one in drawing.letters
        if one.lead[0] != one.lead[1]
    )
    texts = "".join(
        f'<text x="{_short(x)}" y="{_short(y + height * 0.36)}">{html.escape(one.letter)}</text>'
        for one in drawing.letters
        for x, y in (one.middle,)
    )
    face = (
        f'<g fill="currentColor" font-size="{_short(height)}" font-weight="600" text-anchor="middle"'
        ' font-family="\'Source Sans Pro\', sans-serif" aria-hidden="true">'
    )
    return f"{leads}{face}{texts}</g>"


def _width(line: Line, drawing: Drawing) -> float:
    if drawing.shown_mm < SMALL_MM:
        return _SMALL_EDGE * drawing.millimetre
    return _WIDTHS[line] * _scale(drawing)


def _scale(drawing: Drawing) -> float:
    """Units of the drawing for a millimetre of line, which grows with the paper."""
    return drawing.millimetre * max(1.0, drawing.shown_mm / _GROWS_FROM)


def _points(points: tuple[Point, ...]) -> str:
    return "L".join(f"{_short(x)} {_short(y)}" for x, y in points)


def _short(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
