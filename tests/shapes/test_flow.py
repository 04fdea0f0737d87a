"""The way of a flush: which openings it goes through, and what shuts them. Common practice, no source."""

from __future__ import annotations

import pytest

from sinkside.shapes import draw, flow_path
from sinkside.shapes.lines import Line
from support.drawn_devices import DEVICES


def _words(name: str, positions: dict[str, str]) -> str:
    return draw(DEVICES[name], positions, with_flow=True).description


@pytest.mark.parametrize(
    ("name", "positions", "sentence"),
    [
        ("shaft", {"jaw": "open", "port": "connected"}, "Water goes in at the port and leaves at the jaw."),
        ("shaft", {"jaw": "closed"}, "Water goes in at the port and has no way out that is open. Shut: jaw."),
        ("shaft", {"part": "apart"}, "Water goes in at the port and leaves at the far end."),
        (
            "shaft",
            {"port": "capped", "jaw": "open"},
            "Water has no way in that is open and leaves at the jaw.",
        ),
        ("sleeve", {}, "Water goes in at the port and leaves at a place that is not stated."),
        ("needle", {"part": "apart"}, "Water goes in at the back of the hub and leaves at the far end."),
        ("needle", {}, "Water has no way in that is open and has no way out that is open."),
        ("tube", {"part": "apart"}, "Water goes in at the port and leaves at the far end and rear port."),
        ("tube", {}, "Water goes in at the port and leaves at the rear port. Shut: far end."),
        ("forceps", {}, "No way for a flush is stated."),
    ],
)
def test_words_tell_the_way_of_the_water(name: str, positions: dict[str, str], sentence: str) -> None:
    """In at a port that is not capped, out at the far end unless a closed jaw or a stylet shuts it."""
    assert sentence in _words(name, positions)


def test_arrows_point_in_at_the_port_and_out_at_the_far_end() -> None:
    """The arrow at the port above the shaft runs down; the one at the jaw runs away to the right."""
    drawing = draw(DEVICES["shaft"], {"jaw": "open", "port": "connected"}, with_flow=True)
    shafts = [one.points for one in drawing.shape.strokes if one.line is Line.flow and len(one.points) == 2]
    (into, out) = shafts
    assert into[0][1] < into[1][1]
    assert into[0][0] == pytest.approx(into[1][0])
    assert out[0][0] < out[1][0]
    assert out[0][1] == pytest.approx(out[1][1])


def test_a_deflected_end_turns_its_way_out_along() -> None:
    """With the far end bent down by 32 degrees, water leaves in that direction."""
    drawing = draw(DEVICES["shaft"], {"knob": "deflected", "jaw": "open"})
    (outlet,) = flow_path(drawing.shape.openings).outlets
    assert outlet.outward == pytest.approx((0.848, 0.530), abs=0.002)


def test_without_being_asked_there_are_no_arrows() -> None:
    """A drawing shows the way of a flush only where a step asks for one."""
    plain = draw(DEVICES["shaft"], {"jaw": "open"})
    assert not any(one.line is Line.flow for one in plain.shape.strokes)
    assert "Water" not in plain.description
