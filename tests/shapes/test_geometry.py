"""Lines and outlines against shapely: what is closed is a proper polygon, what is apart does not touch."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from shapely import LineString, Polygon
from shapely import box as shapely_box
from shapely.geometry import Point as ShapelyPoint

from sinkside.errors import BadInput
from sinkside.instruction import Device
from sinkside.shapes import draw, outlines
from sinkside.shapes.cast import cast_of
from sinkside.shapes.lines import Line, Shape, band, ring, smooth
from sinkside.shapes.posing import built
from sinkside.shapes.sizes import drawn_sizes, life_sizes
from sinkside.shapes.stance import Stance
from sinkside.shapes.tubes import bent
from support.drawn_devices import DEVICES, devices, positions

SHAPED = [name for name in DEVICES if name != "unknown"]
STANCES: tuple[dict[str, str], ...] = (
    {},
    {"jaw": "open", "port": "connected"},
    {"jaw": "open", "ratchet": "engaged"},
    {"sleeve": "back", "knob": "deflected", "port": "capped", "ratchet": "engaged"},
    {"part": "apart", "jaw": "open"},
)


@pytest.mark.parametrize("positions", STANCES, ids=str)
@pytest.mark.parametrize("name", SHAPED)
def test_every_body_is_a_proper_polygon(name: str, positions: dict[str, str]) -> None:
    """No body crosses itself, in life size and as drawn, by shapely's rules of a valid polygon."""
    cast = cast_of(DEVICES[name])
    life = life_sizes(cast)
    for sizes in (life, drawn_sizes(life, cast.form)):
        bodies = [one for one in built(cast, sizes, Stance.of(positions)).strokes if one.is_body]
        assert [one.line for one in bodies if not Polygon(one.points).is_valid] == []
        assert all(Polygon(one.points).area > 0 for one in bodies)


@pytest.mark.parametrize("positions", STANCES, ids=str)
@pytest.mark.parametrize("name", SHAPED)
def test_outlines_for_the_tray_are_simple_and_closed(name: str, positions: dict[str, str]) -> None:
    """Each outline is one valid polygon with room inside, and its pieces lie within its box."""
    for points in outlines(DEVICES[name], positions).values():
        polygon = Polygon(points)
        assert polygon.is_valid
        assert polygon.exterior.is_simple
        assert polygon.area > 10.0


@settings(max_examples=150, deadline=None)
@given(device=devices(), stated=positions())
def test_random_devices_have_proper_outlines(device: Device, stated: dict[str, str]) -> None:
    """Whatever parts, features and sizes a text lists, each outline and each body is a valid polygon."""
    assert all(Polygon(points).is_valid for points in outlines(device, stated).values())
    bodies = [one for one in draw(device, stated).shape.strokes if one.is_body]
    assert [one for one in bodies if not Polygon(one.points).is_valid] == []


def test_an_outline_has_the_stated_length() -> None:
    """A shaft with a lumen of 330 mm gives a part at least so long, and no longer than its jaw adds."""
    outline = Polygon(outlines(DEVICES["shaft"], {"part": "apart"})["b"])
    left, _, right, _ = outline.bounds
    assert right - left == pytest.approx(330.0, abs=0.2)


def test_taken_apart_every_part_has_its_outline() -> None:
    """One polygon a part of known shape; the part of unknown shape has none, rather than a wrong one."""
    assert set(outlines(DEVICES["punch"], {"part": "apart"})) == set("abcdef")
    assert list(outlines(DEVICES["punch"], {"part": "assembled"})) == [""]
    assert outlines(DEVICES["unknown"]) == {}


@pytest.mark.parametrize("name", ["forceps", "scissors", "spring", "shaft", "one piece", "sleeve"])
def test_closed_jaws_touch_and_do_not_overlap(name: str) -> None:
    """Closed, the two jaws share no area; open, their far ends stand apart."""
    closed, opened = _jaws(name, "closed"), _jaws(name, "open")
    assert closed[0].intersection(closed[1]).area == pytest.approx(0.0, abs=1e-6)
    assert closed[0].distance(closed[1]) == pytest.approx(0.0, abs=1e-6)
    tips = [max(jaw.exterior.coords, key=lambda point: point[0]) for jaw in opened]
    assert math.dist(*tips) > 5.0


@pytest.mark.parametrize("name", ["scissors", "shaft", "sliding tube", "tube", "punch", "needle"])
def test_parts_apart_do_not_touch(name: str) -> None:
    """In the exploded view no body of one part meets a body of another."""
    drawing = draw(DEVICES[name], {"part": "apart", "jaw": "open"})
    bodies: dict[str, list[Polygon]] = {}
    for stroke in drawing.shape.strokes:
        if stroke.is_body:
            bodies.setdefault(stroke.part, []).append(Polygon(stroke.points))
    assert len(bodies) > 1
    for one, other in itertools.combinations(bodies, 2):
        assert min(a.distance(b) for a in bodies[one] for b in bodies[other]) > 5.0


@pytest.mark.parametrize("positions", STANCES, ids=str)
@pytest.mark.parametrize("name", list(DEVICES))
def test_letters_stand_clear(name: str, positions: dict[str, str]) -> None:
    """No letter touches another, and no drawn line comes nearer to a letter's middle than half its height."""
    drawing = draw(DEVICES[name], positions, with_flow=True)
    height = drawing.letter_height
    boxes = [letter.box(height) for letter in drawing.letters]
    rooms = [shapely_box(one.left, one.top, one.right, one.bottom) for one in boxes]
    assert all(not one.intersects(other) for one, other in itertools.combinations(rooms, 2))
    for letter in drawing.letters:
        middle = ShapelyPoint(letter.middle)
        for line in _lines(drawing.shape):
            # Curves are looked at in steps while letters are placed, which may cost a fifth of the clearance.
            assert line.distance(middle) > 0.5 * height


def test_a_bend_keeps_the_length_of_the_middle_line() -> None:
    """Along the middle, a bent shaft is as long as a straight one; its end points 32 degrees down."""
    cast = cast_of(DEVICES["shaft"])
    sizes = drawn_sizes(life_sizes(cast), cast.form)
    straight = [(sizes.length * step / 2000, 0.0) for step in range(2001)]
    curved = LineString([bent(sizes)(point) for point in straight])
    assert curved.length == pytest.approx(sizes.length, rel=1e-4)
    (ax, ay), (bx, by) = curved.coords[-2], curved.coords[-1]
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(32.0, abs=0.05)


def test_a_ring_is_round() -> None:
    """The polygon of a ring has the area of its circle to 0.5 %, and shapely's own circle covers it."""
    polygon = Polygon(ring((3.0, -2.0), 10.0))
    assert polygon.area == pytest.approx(math.pi * 100.0, rel=0.005)
    assert ShapelyPoint(3.0, -2.0).buffer(10.001, quad_segs=90).covers(polygon)


def test_a_bar_is_as_wide_as_asked() -> None:
    """A straight bar of 40 mm, 6 mm wide, has the area of that box and half a disc, to 1 %."""
    polygon = Polygon(band(((0.0, 0.0), (20.0, 0.0), (40.0, 0.0)), 6.0, 6.0))
    assert polygon.area == pytest.approx(240.0 + math.pi * 9.0 / 2.0, rel=0.01)


def test_a_smooth_curve_goes_through_its_points() -> None:
    """A Catmull-Rom curve interpolates: each of the points it is made of lies on it, and it has no loops."""
    points = ((0.0, 0.0), (10.0, 5.0), (11.0, 30.0), (40.0, 31.0))
    curve = LineString(smooth(points))
    assert curve.is_simple
    assert max(curve.distance(ShapelyPoint(point)) for point in points) == pytest.approx(0.0, abs=1e-9)


def test_words_that_are_no_positions_are_refused() -> None:
    """An unknown feature, an unknown position and an impossible width each say what was expected."""
    with pytest.raises(BadInput, match="open or closed"):
        draw(DEVICES["forceps"], {"jaw": "ajar"})
    with pytest.raises(BadInput, match="expected one of jaw"):
        draw(DEVICES["forceps"], {"lid": "open"})
    with pytest.raises(BadInput, match="8 to 420 mm"):
        draw(DEVICES["forceps"], shown_mm=3.0)


def _jaws(name: str, position: str) -> list[Polygon]:
    cast = cast_of(DEVICES[name])
    shape = built(cast, life_sizes(cast), Stance(jaw=position))
    return [Polygon(one.points) for one in shape.strokes if one.moves == "jaw" and one.is_body]


def _lines(shape: Shape) -> list[LineString]:
    """Every line that a letter must keep off: all but the light hatch."""
    return [
        LineString((*one.points, one.points[0]) if one.is_body else one.points)
        for one in shape.strokes
        if one.line is not Line.hatch
    ]
