"""A photo with letters as paper and pages draw it: letters at their points, and words for who sees none."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from sinkside.aids.lettered_photo import LetteredPhoto, PhotoPoint, lettered_photo_svg

_SVG = "{http://www.w3.org/2000/svg}"


def _photo(*points: PhotoPoint) -> LetteredPhoto:
    return LetteredPhoto("Quarl 5 punch", 800, 400, points)


@pytest.mark.parametrize(
    ("x", "y"), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (0.5, 0.5), (0.25, 0.9)]
)
def test_a_letter_is_never_cut_off_and_its_ring_is_where_it_was_placed(x: float, y: float) -> None:
    """The ring stands at the point and the letter's square lies whole within the photo, even at a corner."""
    drawn = lettered_photo_svg(_photo(PhotoPoint("A", "tip", x, y)), "photo.jpg", key="p")
    root = ET.fromstring(drawn)  # noqa: S314 # our own drawing
    rings = root.findall(f".//{_SVG}circle")
    assert {(float(one.attrib["cx"]), float(one.attrib["cy"])) for one in rings} == {(800 * x, 400 * y)}
    square = root.find(f".//{_SVG}rect")
    assert square is not None
    left, top, side = (float(square.attrib[name]) for name in ("x", "y", "width"))
    assert left >= 0
    assert left + side <= 800
    assert top >= 0
    assert top + side <= 400


def test_words_say_what_each_letter_is_and_where() -> None:
    """The description tells letter, thing and place in thirds; what people wrote is escaped."""
    photo = _photo(PhotoPoint("A", "rod <thin>", 0.1, 0.1), PhotoPoint("B", "jaw", 0.9, 0.5))
    words = "Photo of Quarl 5 punch. A: rod <thin>, left, at the top; B: jaw, right, half way down."
    assert photo.alternative == words
    drawn = lettered_photo_svg(photo, "/a?b=1&c=2", key="p", lit=["B"])
    assert "<thin>" not in drawn
    root = ET.fromstring(drawn)  # noqa: S314 # our own drawing
    told = root.find(f"{_SVG}desc")
    assert told is not None
    assert told.text == words
    lit = [one.attrib["data-letter"] for one in root.iter(f"{_SVG}g") if "here" in one.attrib["class"]]
    assert lit == ["B"]
    assert _photo().alternative == "Photo of Quarl 5 punch, without letters."
