"""The route line as a drawing."""

from __future__ import annotations

from sinkside.aids.drawing import Element, add, markup, svg
from sinkside.aids.route_line import MARKS, RouteLine, Stop
from sinkside.findings import Level
from sinkside.language import render

_COLUMN = 112.0

#: A line of few stops stretches to this, so that its letters stay as large as those of a long one.
_SHORTEST = 8 * _COLUMN
_RAIL = 34.0
_LINE_HEIGHT = 18.0
_FIRST_FIGURE = _RAIL + 34.0


def route_line_svg(line: RouteLine, *, key: str, language: str = "en") -> str:
    """The route line as an inline SVG; the style sheet of the page gives it its colours.

    Args:
        line: the stops.
        key: what makes its ids unique on the page.
        language: of title and words.
    """
    rows = max((len(_under(stop, language)) for stop in line.stops), default=0)
    count = max(len(line.stops), 1)
    column = max(_COLUMN, _SHORTEST / count)
    width = column * count
    root = svg(
        width=width,
        height=_FIRST_FIGURE + _LINE_HEIGHT * rows,
        key=key,
        title=render("Route line", {}, language),
        description=line.sentence,
        classes="route-line",
    )
    add(root, "line", class_="rail", x1=column / 2, y1=_RAIL, x2=width - column / 2, y2=_RAIL)
    for index, stop in enumerate(line.stops):
        _draw_stop(root, stop, x=column * (index + 0.5), language=language)
    return markup(root)


def stop_mark_svg(level: Level | None) -> str:
    """The mark of one stop alone, for lists; words beside it say the same."""
    root = Element("svg", {"viewBox": "-12 -12 24 24", "class": "stop-mark", "aria-hidden": "true"})
    _draw_mark(root, level, 0.0, 0.0)
    return markup(root)


def _draw_stop(root: Element, stop: Stop, *, x: float, language: str) -> None:
    add(root, "text", text=stop.label, class_="label", x=x, y=_RAIL - 20, text_anchor="middle")
    _draw_mark(root, stop.mark, x, _RAIL)
    for row, text in enumerate(_under(stop, language)):
        y = _FIRST_FIGURE + _LINE_HEIGHT * row
        is_mark = row >= len(stop.figures)
        classes = f"mark {stop.mark.value}" if is_mark and stop.mark else "figure"
        add(root, "text", text=text, class_=classes, x=x, y=y, text_anchor="middle")


def _under(stop: Stop, language: str) -> list[str]:
    """What stands under a stop: its figures, then what is wrong in a mark and a word."""
    if stop.mark is None or stop.mark is Level.note:
        return list(stop.figures)
    mark, word = MARKS[stop.mark]
    return [*stop.figures, f"{mark} {render(word, {}, language)}"]


def _draw_mark(root: Element, level: Level | None, x: float, y: float) -> None:
    """A ring; a square with a sign in it where work stops; a triangle where there is concern."""
    if level is Level.stop:
        add(root, "rect", class_="stop", x=x - 10, y=y - 10, width=20.0, height=20.0)
        add(root, "text", text="!", class_="sign", x=x, y=y + 5.5, text_anchor="middle")
    elif level is Level.concern:
        add(root, "path", class_="concern", d=f"M{x - 10:g} {y + 8:g}L{x:g} {y - 10:g}L{x + 10:g} {y + 8:g}Z")
    else:
        add(root, "circle", class_="ring", cx=x, cy=y, r=8.0)
