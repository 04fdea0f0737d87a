"""Rules of protection, each with what must trip it and what must not; distances against plain arithmetic.

The figures themselves are common practice without a source, as the layout says of each; what is checked here
is that distances between boxes come out as school geometry has them.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from pydantic import ValidationError

from sinkside.errors import BadInput, NotThere
from sinkside.findings import Finding, Measure
from sinkside.sets.layout import Clearances, Layout, Tray, check_layout, moved
from sinkside.sets.layout.document import Basket, KeptApart, LaidPiece, LeftOut, Mates
from sinkside.sets.layout.figures import NOTES
from sinkside.sets.layout.judging_pieces import fall_deg, raise_for
from sinkside.sets.layout.nearest import least_of, nearest_of
from support.tray_sets import TRAY, a_layout, a_piece

DELICATE = {"delicate": "a tip", "holder": "mat"}


def _of(layout: Layout, rule: str) -> list[Finding]:
    return [one for one in check_layout(layout) if one.rule == f"tray-{rule}"]


def _mm(finding: Finding, name: str) -> float:
    found = finding.evidence[name]
    assert isinstance(found, Measure)
    return found.value


def _pair(gap: float, **second: Any) -> Layout:
    """Two boxes of 100 by 20 mm, one below the other with a gap between, far from the walls."""
    return a_layout(a_piece("A", x=200, y=80), a_piece("B", x=200, y=100 + gap, **second))


def test_a_calm_tray_has_no_finding() -> None:
    """Two pieces, clear of each other and of the walls, break no rule."""
    assert check_layout(_pair(30.0)) == ()


@pytest.mark.parametrize(("gap", "trips"), [(5.0, False), (4.995, False), (4.9, True), (0.5, True)])
def test_a_clearance_is_kept_to_the_millimetre(gap: float, trips: bool) -> None:
    """The distance of two boxes is the gap between their sides; the margin is what is missing."""
    found = _of(_pair(gap), "clearance")
    assert bool(found) is trips
    for one in found:
        assert _mm(one, "distance") == pytest.approx(gap, abs=0.01)
        assert _mm(one, "margin") == pytest.approx(gap - 5.0, abs=0.01)


def test_corners_are_as_far_apart_as_pythagoras_says() -> None:
    """Boxes off by 3 mm across and 4 mm along their corners are 5 mm apart, turned ones by their corner."""
    layout = a_layout(a_piece("A", x=100, y=100), a_piece("B", x=203, y=123.9))
    assert _mm(_of(layout, "clearance")[0], "distance") == pytest.approx(math.hypot(3, 3.9), abs=0.01)
    turned = a_layout(
        a_piece("A", x=100, y=100), a_piece("B", size=(20, 20), turn=45, x=100, y=114 + 10 * math.sqrt(2))
    )
    assert _mm(_of(turned, "clearance")[0], "distance") == pytest.approx(4.0, abs=0.01)


def test_nothing_touches_and_nothing_lies_on_another() -> None:
    """Touching and overlapping are one stop each, with the area that two share."""
    assert [one.level for one in _of(_pair(0.0), "touching")] == ["stop"]
    assert _mm(_of(_pair(-10.0), "touching")[0], "shared") == pytest.approx(1000.0)


def test_walls_are_kept_off_and_nothing_sticks_out() -> None:
    """Near a wall, beyond it by so much, and a tip that needs more room than the rest."""
    near = a_layout(a_piece("A", x=53, y=100))
    assert _mm(_of(near, "wall")[0], "distance") == pytest.approx(3.0)
    out = a_layout(a_piece("A", x=450, y=100))
    assert _mm(_of(out, "outside")[0], "by") == pytest.approx(20.0)
    tip = a_layout(a_piece("A", x=422, y=100, **DELICATE))
    assert _mm(_of(tip, "tip-near-wall")[0], "distance") == pytest.approx(8.0)
    assert _of(a_layout(a_piece("A", x=422, y=100, turn=180, **DELICATE)), "tip-near-wall") == []


def test_heavy_things_lie_below_and_away_from_delicate_ones() -> None:
    """A heavy piece near a delicate one is a concern, above anything a stop; a light one is neither."""
    assert _of(_pair(19.0, **DELICATE), "heavy-near-delicate") == []
    heavy = a_layout(a_piece("A", x=200, y=80, mass_kg=0.15), a_piece("B", x=200, y=119, **DELICATE))
    assert _mm(_of(heavy, "heavy-near-delicate")[0], "margin") == pytest.approx(-1.0)
    two = TRAY.model_copy(update={"layers": 2})
    above = a_layout(a_piece("A", x=200, y=80, mass_kg=0.3, layer=1), a_piece("B", x=200, y=85), tray=two)
    assert [one.level for one in _of(above, "heavy-above")] == ["stop"]
    below = a_layout(a_piece("A", x=200, y=80, mass_kg=0.3), a_piece("B", x=200, y=85, layer=1), tray=two)
    assert _of(below, "heavy-above") == []


def test_what_must_not_lie_beside_each_other_is_far_apart() -> None:
    """Kept apart with its reason; the same two in one basket are a stop too."""
    pair = KeptApart(one="hook A", other="hook B", why="an edge harms tips")
    near = _pair(29.0).model_copy(update={"apart": (pair,)})
    found = _of(near, "kept-apart")
    assert "an edge harms tips" in found[0].message
    assert _mm(found[0], "margin") == pytest.approx(-1.0)
    assert _of(_pair(30.0).model_copy(update={"apart": (pair,)}), "kept-apart") == []
    small = {"size": (10.0, 5.0), "holder": "small"}
    together = a_layout(
        a_piece("A", **small),
        a_piece("B", **small),
        apart=(pair,),
        baskets=(Basket(holder="small", x=200, y=100),),
    )
    assert "Both lie in the closed basket" in _of(together, "kept-apart")[0].message


def test_mates_lie_beside_each_other() -> None:
    """Two that belong together may be 40 mm apart, and no more."""
    pair = (Mates(one="hook A", other="hook B"),)
    assert _of(_pair(40.0).model_copy(update={"mates": pair}), "mates-parted") == []
    assert _mm(_of(_pair(41.0).model_copy(update={"mates": pair}), "mates-parted")[0], "margin") == -1.0


def test_a_jaw_lies_as_steam_needs_it() -> None:
    """Closed where the text wants it open is a stop; what the text does not tell is asked for."""
    wrong = a_piece("A", x=200, y=80, lies={"jaw": "closed"}, needed={"jaw": "open"})
    right = a_piece("B", x=200, y=150, lies={"jaw": "open"}, needed={"jaw": "open"}, untold=("ratchet",))
    layout = a_layout(wrong, right)
    assert [one.evidence["piece"] for one in _of(layout, "position")] == ["A"]
    assert "how the ratchet must be" in _of(layout, "position-untold")[0].message


@pytest.mark.parametrize(
    ("slope", "lowest", "turn", "raised", "fall"),
    [
        (0.0, "front", 270, 0.0, 0.0),
        (2.0, "back", 270, 0.0, 2.0),
        (2.0, "front", 270, 0.0, -2.0),
        (2.0, "right", 60, 0.0, 1.0),
        (0.0, "front", 0, 100 * math.tan(math.radians(1.0)), 1.0),
    ],
)
def test_a_lumen_falls_as_trigonometry_says(
    slope: float, lowest: str, turn: float, raised: float, fall: float
) -> None:
    """Slope times cosine, plus arcus tangent of raise over length; raised as told it is enough."""
    tray = Tray.model_validate({**TRAY.model_dump(), "slope_deg": slope, "lowest": lowest})
    piece = a_piece("A", x=240, y=125, turn=turn, raised_mm=raised, hollow="lumen")
    layout = a_layout(piece, tray=tray)
    assert fall_deg(layout, piece) == pytest.approx(fall, abs=1e-9)
    assert bool(_of(layout, "lumen-level")) is (fall < 0.995)
    enough = piece.model_copy(update={"raised_mm": raise_for(layout, piece)})
    assert _of(a_layout(enough, tray=tray), "lumen-level") == []


def test_water_runs_out() -> None:
    """A cup that opens upwards and a floor without openings are told; turned over the cup is not."""
    up = a_layout(a_piece("A", x=200, y=80, hollow="cup", faces="up"))
    assert [one.level for one in _of(up, "cup-holds-water")] == ["stop"]
    assert _of(a_layout(a_piece("A", x=200, y=80, hollow="cup")), "cup-holds-water") == []
    assert _of(a_layout(tray=TRAY.model_copy(update={"drain": "none"})), "no-drain")


def test_steam_reaches_everything() -> None:
    """What lies over another on an upper level covers so much of it; over a cup it is nested."""
    two = TRAY.model_copy(update={"layers": 2})
    over = a_layout(a_piece("A", x=200, y=80), a_piece("B", x=230, y=80, layer=1), tray=two)
    assert _mm(_of(over, "covered")[0], "share") == pytest.approx(70.0)
    cup = a_layout(a_piece("A", x=200, y=80, hollow="cup"), a_piece("B", x=200, y=80, layer=1), tray=two)
    assert [one.level for one in _of(cup, "nested")] == ["stop"]
    assert _of(cup, "covered") == []


def test_the_order_of_use_reads_from_left_to_right() -> None:
    """One that is used later but lies farther left is named; in the right order nobody is."""
    wrong = a_layout(a_piece("A", x=80, y=80, order=2), a_piece("B", x=300, y=80, order=1))
    assert [one.evidence["piece"] for one in _of(wrong, "order-of-use")] == ["A"]
    right = a_layout(a_piece("A", x=80, y=80, order=1), a_piece("B", x=300, y=80, order=2))
    assert _of(right, "order-of-use") == []
    behind = a_layout(a_piece("A", x=200, y=180, order=1), a_piece("B", x=200, y=80, order=2))
    assert [one.evidence["piece"] for one in _of(behind, "order-of-use")] == ["B"]


def test_delicate_and_small_pieces_have_a_holder() -> None:
    """Delicate without a holder, small and loose, too long for its basket, raised above the rim."""
    loose = a_layout(a_piece("A", x=200, y=80, delicate="a tip"), a_piece("B", x=200, y=150, size=(34, 5)))
    assert [one.evidence["piece"] for one in _of(loose, "no-holder")] == ["A"]
    assert [one.evidence["piece"] for one in _of(loose, "small-loose")] == ["B"]
    basket = (Basket(holder="small", x=400, y=200),)
    held = a_layout(a_piece("A", size=(34, 5), holder="small"), baskets=basket)
    assert check_layout(held) == ()
    long = a_layout(a_piece("A", size=(120, 5), holder="small"), baskets=basket)
    assert _mm(_of(long, "basket-too-small")[0], "by") == pytest.approx(120 - math.hypot(100, 60), abs=0.01)
    assert _of(a_layout(a_piece("A", x=200, y=80, raised_mm=60)), "too-high")


def test_single_use_is_never_in_the_tray() -> None:
    """Thrown away at the point of use or opened sterile: a stop; new at assembly may lie there."""
    for use, trips in (("discard-after-use", True), ("sterile-at-field", True), ("new-at-assembly", False)):
        assert bool(_of(a_layout(a_piece("A", x=200, y=80, use=use)), "single-use")) is trips


def test_what_does_not_fit_is_named_with_its_millimetres() -> None:
    """A piece that was left out says why and by how much, one of unknown size that nobody knows it."""
    left = (
        LeftOut(piece=a_piece("A"), why="it is larger than the tray", by_mm=12.34),
        LeftOut(piece=a_piece("B", outline=()), why="nobody knows its size"),
    )
    layout = a_layout(left_out=left)
    assert "by 12\xa0mm" in _of(layout, "does-not-fit")[0].message
    assert "hook B" in _of(layout, "size-unknown")[0].message


def test_every_figure_has_a_note_and_a_least() -> None:
    """Each figure says how it is found, its source and range, and what this tray leaves of it."""
    layout = _pair(12.5, hollow="lumen", raised_mm=10.0)
    assert set(NOTES) == set(Clearances.model_fields) == set(least_of(layout))
    assert all(one.name and one.how and one.source and one.covers for one in NOTES.values())
    least = least_of(layout)
    assert least["pieces_mm"] == pytest.approx(12.5)
    assert least["wall_mm"] == pytest.approx(70.0)
    assert least["fall_deg"] == pytest.approx(math.degrees(math.atan(0.1)))
    assert least["apart_mm"] is None
    assert nearest_of(layout)["A"].to == "B (hook B)"
    assert nearest_of(layout)["A"].mm == pytest.approx(12.5)


def test_a_moved_piece_is_judged_anew() -> None:
    """Moved too near it is a finding; what is no place, level or piece is refused in words."""
    layout = _pair(30.0)
    near = moved(layout, "B", y=102.0)
    assert [one.rule for one in near.findings] == ["tray-clearance"]
    assert moved(near, "B", y=130.0).findings == ()
    basket = a_layout(baskets=(Basket(holder="small", x=200, y=100),))
    assert moved(basket, "small", x=20.0).findings[0].rule == "tray-outside"
    with pytest.raises(NotThere):
        moved(layout, "C", x=1.0)
    for bad in ({"x": math.nan}, {"layer": 1}):
        with pytest.raises(BadInput):
            moved(layout, "B", **bad)


@pytest.mark.parametrize(
    "broken",
    [
        {"pieces": (a_piece("A"), a_piece("A"))},
        {"pieces": (a_piece("A", holder="nothing"),)},
        {"baskets": (Basket(holder="nothing", x=0, y=0),)},
        {"clearances": {"pieces_mm": -1.0}},
        {"tray": {"name": "t", "length_mm": 0, "width_mm": 10}},
    ],
)
def test_a_layout_that_contradicts_itself_is_no_layout(broken: dict[str, Any]) -> None:
    """Ids that stand twice, holders that are none, and sizes that cannot be are refused on reading."""
    with pytest.raises(ValidationError):
        a_layout(**broken)
    with pytest.raises(ValidationError):
        LaidPiece(id="A", letter="A", member="x", outline=((0, 0), (1, 1)))
