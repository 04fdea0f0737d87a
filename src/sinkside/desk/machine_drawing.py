"""The days of a machine as a line: one stop a day, what is wrong marked where it happened."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sinkside.aids.drawing import Element, add, markup, svg
from sinkside.desk.machine_pages import DayState, MachineDay

_STEP: Final = 33.0
_EDGE: Final = 22.0
_RAIL: Final = 26.0
_HEIGHT: Final = 74.0
_HALF: Final = 8.5
_WEEK: Final = 7

#: What a mark on the line means, in the order of the legend.
DAY_WORDS: Final[dict[DayState, str]] = {
    "passed": "all that was checked passed",
    "failed": "a check did not pass",
    "unchecked": "it ran unchecked",
    "still": "nothing was kept",
}


def days_svg(days: Sequence[MachineDay], *, key: str, name: str) -> str:
    """The days as a drawing, from the left to today.

    Args:
        days: one after another.
        key: what makes its ids unique on the page.
        name: of the machine.
    """
    width = 2 * _EDGE + _STEP * max(len(days) - 1, 1)
    root = svg(
        width=width,
        height=_HEIGHT,
        key=key,
        title=f"The last {len(days)} days of {name}",
        description=_described(days),
        classes="days-line",
    )
    add(root, "line", class_="rail", x1=_EDGE, y1=_RAIL, x2=width - _EDGE, y2=_RAIL)
    for place, day in enumerate(days):
        x = _EDGE + place * _STEP
        _draw_mark(root, day.state, x)
        back = len(days) - 1 - place
        if back % _WEEK == 0:
            words = "today" if back == 0 else day.day.isoformat()[5:]
            add(root, "line", class_="tick", x1=x, y1=_RAIL + 14, x2=x, y2=_RAIL + 22)
            anchor = "end" if back == 0 else "middle"
            shift = _EDGE - 4 if back == 0 else 0
            add(root, "text", text=words, x=x + shift, y=_RAIL + 39, text_anchor=anchor)
    return markup(root)


def mark_svg(state: DayState) -> str:
    """One mark by itself, for the legend."""
    root = svg(
        width=2 * _EDGE,
        height=2 * _RAIL,
        key=f"mark-{state}",
        title=DAY_WORDS[state],
        description="",
        classes="days-mark",
    )
    _draw_mark(root, state, _EDGE)
    return markup(root)


def _draw_mark(root: Element, state: DayState, x: float) -> None:
    if state == "failed":
        size = 2 * _HALF
        add(root, "rect", class_="stop", x=x - _HALF, y=_RAIL - _HALF, width=size, height=size)
        add(root, "text", text="!", class_="sign", x=x, y=_RAIL + 5.5, text_anchor="middle")
    elif state == "unchecked":
        top, low = _RAIL - 10, _RAIL + 8
        add(root, "path", class_="concern", d=f"M{x:.1f} {top}L{x + 10:.1f} {low}L{x - 10:.1f} {low}Z")
    elif state == "passed":
        add(root, "circle", class_="done", cx=x, cy=_RAIL, r=6)
    else:
        add(root, "line", class_="pause", x1=x - 6, y1=_RAIL, x2=x + 6, y2=_RAIL)


def _described(days: Sequence[MachineDay]) -> str:
    counted = {state: sum(day.state == state for day in days) for state in DAY_WORDS}
    failed = ", ".join(day.day.isoformat() for day in days if day.state == "failed")
    words = "; ".join(f"{DAY_WORDS[state]} on {count} days" for state, count in counted.items() if count)
    return f"{words}." + (f" A check did not pass on {failed}." if failed else "")
