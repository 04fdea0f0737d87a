"""The tray from above as SVG, and the list beside it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from sinkside.sets.layout import Layout, lay_out, tray_lines, tray_map_svg
from sinkside.sets.layout.document import Basket
from support.tray_sets import a_layout, a_piece, a_set_of_twelve

_SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def twelve() -> Layout:
    """Twelve devices laid out."""
    return lay_out(a_set_of_twelve())


def test_letters_of_list_and_drawing_are_the_same(twelve: Layout) -> None:
    """Each piece of the list is one group of the drawing, with its letter written on it."""
    root = ET.fromstring(tray_map_svg(twelve))  # noqa: S314 # our own drawing
    drawn = {
        str(group.get("data-piece")): group for group in root.iter(f"{_SVG}g") if group.get("data-piece")
    }
    listed = [name for line in tray_lines(twelve) for name in line.ids]
    assert sorted(drawn) == sorted(listed)
    assert len(listed) == 12
    for name, group in drawn.items():
        assert name in [text.text for text in group.iter(f"{_SVG}text")]


def test_the_drawing_is_in_millimetres_and_always_the_same(twelve: Layout) -> None:
    """A file of its own is in life size; the same layout gives the same bytes."""
    drawn = tray_map_svg(twelve, stands_alone=True)
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="\S+ \S+ ([\d.]+) ([\d.]+)"', drawn)
    assert size is not None
    assert size.group(1, 2) == size.group(3, 4)
    assert drawn == tray_map_svg(Layout.model_validate_json(twelve.model_dump_json()), stands_alone=True)


def test_the_drawing_is_safe_in_black_and_white_and_told_in_words(twelve: Layout) -> None:
    """On a page it has no colour but the text's and white; its description names every piece and its side."""
    drawn = tray_map_svg(twelve)
    assert set(re.findall(r'(?:fill|stroke)="([^"]+)"', drawn)) <= {"currentColor", "none", "#fff"}
    described = re.search("<desc[^>]*>([^<]*)</desc>", drawn)
    assert described is not None
    for line in tray_lines(twelve):
        for name in line.ids:
            assert f"{name}: {line.name}, " in described[1]
    assert "working end to the back" in described[1]


def test_names_that_look_like_markup_stay_names() -> None:
    """A name with the signs of markup is text in the drawing."""
    layout = a_layout(a_piece(member="<b>&\"'"), set="<script>")
    root = ET.fromstring(tray_map_svg(layout, key='"><x'))  # noqa: S314 # our own drawing
    assert root.findtext(f"{_SVG}title") == "<script>: fine-mesh tray from above"


def test_the_list_has_one_line_a_letter() -> None:
    """Several alike are one line with a count; position, holder, turn, order and mass stand in it."""
    pair: dict[str, Any] = {
        "member": "sinus forceps",
        "lies": {"jaw": "open", "part": "assembled"},
        "order": 2,
        "holder": "bar",
    }
    layout = a_layout(
        a_piece("A1", letter="A", turn=270, **pair),
        a_piece("A2", letter="A", turn=90, **pair),
        a_piece("B", holder="small", size=(10.0, 5.0)),
        baskets=(Basket(holder="small", x=400, y=200),),
    )
    first, second = tray_lines(layout)
    assert (first.letter, first.count, first.lies, first.holder) == ("A", 2, "jaw open", "bar")
    assert (first.turn, first.order, first.mass_kg, first.ids) == ("270°, 90°", 2, 0.05, ("A1", "A2"))
    assert (second.holder, second.turn) == ("closed basket", "")
    assert ">B</text>" in tray_map_svg(layout)


def test_what_lies_outside_stays_in_sight() -> None:
    """Near the tray the drawing grows around it; far away it stands at the edge, each with a word."""
    near, far = a_piece("A", x=-60, y=100), a_piece("B", x=2000, y=100)
    drawn = tray_map_svg(a_layout(near, far))
    left, _, wide, _ = (float(one) for one in re.search('viewBox="([^"]+)"', drawn)[1].split())  # type: ignore[index]
    for name in ("A", "B"):
        at = re.search(f'data-piece="{name}"[^>]*translate\\(([-0-9.]+) ', drawn)
        assert at is not None
        assert left < float(at[1]) < left + wide
    assert drawn.count("■ outside") == 2
    assert "outside the tray" in drawn
    assert "outside" not in tray_map_svg(a_layout(a_piece("A", x=240, y=100)))
