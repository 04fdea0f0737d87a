"""Drawings as a whole: positions show, words say all that is drawn, the same device gives the same bytes."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.instruction import POSITIONS, Device
from sinkside.shapes import Drawing, draw, svg
from sinkside.shapes.cast import Form, cast_of
from sinkside.shapes.moving import can_draw
from support.drawn_devices import DEVICES, devices, feature, parts, positions

SVG = "{http://www.w3.org/2000/svg}"


def _strokes(drawing: Drawing) -> set[object]:
    """What is drawn, without ghosts, which stand for another position."""
    return {replace(one, moves="") for one in drawing.shape.strokes if one.line not in {"ghost", "axis"}}


@settings(max_examples=200, deadline=None)
@given(device=devices(), stated=positions(), mover=st.sampled_from(sorted(POSITIONS)))
def test_a_changed_position_changes_the_drawing(device: Device, stated: dict[str, str], mover: str) -> None:
    """Whatever can be drawn in its positions looks different in each of them, and the words differ too."""
    if not can_draw(cast_of(device), mover):
        return
    drawings = [draw(device, {**stated, mover: position}, with_flow=False) for position in POSITIONS[mover]]
    assert len({frozenset(_strokes(one)) for one in drawings}) == len(drawings)
    assert len({one.description for one in drawings}) == len(drawings)


@settings(max_examples=200, deadline=None)
@given(device=devices(), stated=positions(), shown=st.floats(8.0, 420.0), flow=st.booleans())
def test_everything_lies_inside_the_page(
    device: Device, stated: dict[str, str], shown: float, *, flow: bool
) -> None:
    """Boxes have room inside; every line, letter and lead lies within the frame."""
    drawing = draw(device, stated, shown_mm=shown, with_flow=flow)
    frame = drawing.frame
    assert frame.width > 0
    assert frame.height > 0
    for box in (drawing.shape.box(), *(letter.box(drawing.letter_height) for letter in drawing.letters)):
        assert frame.left <= box.left < box.right <= frame.right
        assert frame.top <= box.top < box.bottom <= frame.bottom


@settings(max_examples=200, deadline=None)
@given(device=devices(), stated=positions())
def test_words_name_every_part_and_every_feature(device: Device, stated: dict[str, str]) -> None:
    """The alternative text names each part and feature, drawn or not, and each position asked for."""
    drawing = draw(device, stated, with_flow=True)
    for part in device.parts:
        assert part.name in drawing.description
    for one in device.features:
        assert one.name or one.kind.value.replace("-", " ") in drawing.description
    for mover, position in stated.items():
        assert f"{'parts' if mover == 'part' else mover} {position}" in drawing.description
    for letter, name in drawing.key:
        assert f"{name} ({letter})" in drawing.description
    assert [letter.letter for letter in drawing.letters] == [letter for letter, _ in drawing.key]


@settings(max_examples=100, deadline=None)
@given(device=devices(), stated=positions(), shown=st.sampled_from([8.0, 60.0, 140.0, 420.0]))
def test_the_same_device_gives_the_same_bytes_of_good_xml(
    device: Device, stated: dict[str, str], shown: float
) -> None:
    """Twice the same bytes; an XML parser reads title and description back, whatever they hold."""
    written = [svg(draw(device, stated, shown_mm=shown), key="k") for _ in range(2)]
    assert written[0] == written[1]
    root = ET.fromstring(written[0])  # noqa: S314 # our own drawing
    drawing = draw(device, stated, shown_mm=shown)
    assert root.findtext(f"{SVG}title") == drawing.title
    assert root.findtext(f"{SVG}desc") == drawing.description
    assert root.get("role") == "img"


@pytest.mark.parametrize("name", list(DEVICES))
def test_lines_take_the_colour_of_the_text_round_them(name: str) -> None:
    """Strokes are the current colour or none, fills paper or none, so that dark and light both work."""
    root = ET.fromstring(svg(draw(DEVICES[name]), key="k"))  # noqa: S314 # our own drawing
    paths = root.findall(f".//{SVG}path")
    assert {path.get("stroke") for path in paths} <= {"currentColor", "none"}
    assert {path.get("fill") for path in paths} <= {"#fff", "none"}
    assert all(path.get("class") == "body" for path in paths if path.get("fill") == "#fff")


@pytest.mark.parametrize(("shown", "has_letters"), [(8.0, False), (30.0, False), (60.0, True), (420.0, True)])
def test_small_drawings_leave_out_what_would_run_together(shown: float, *, has_letters: bool) -> None:
    """At 8 mm there are only edges, at least 0.3 mm wide as shown; from 40 mm on there are letters."""
    drawing = draw(DEVICES["shaft"], {"jaw": "open"}, shown_mm=shown)
    root = ET.fromstring(svg(drawing, key="k"))  # noqa: S314 # our own drawing
    assert bool(root.findall(f".//{SVG}text")) is has_letters
    assert bool(drawing.key) is has_letters
    widths = {float(path.get("stroke-width", "0")) for path in root.findall(f".//{SVG}path")} - {0.0}
    if not has_letters:
        assert min(widths) / drawing.millimetre >= 0.3
    assert max(widths) / drawing.millimetre == pytest.approx(
        max(0.34, 0.5 * max(1.0, shown / 140.0)), abs=0.2
    )


def test_a_file_of_its_own_brings_light_and_dark() -> None:
    """Standing alone, a drawing has a width and both colour schemes; in a page it has neither."""
    drawing = draw(DEVICES["needle"])
    alone, inside = svg(drawing, key="k", stands_alone=True), svg(drawing, key="k")
    assert "prefers-color-scheme:dark" in alone
    assert 'width="140mm"' in alone
    assert "<style>" not in inside


@pytest.mark.parametrize(
    ("name", "form"),
    [
        ("forceps", Form.forceps), ("scissors", Form.forceps), ("spring", Form.forceps),
        ("shaft", Form.shaft), ("one piece", Form.shaft), ("sleeve", Form.shaft),
        ("sliding tube", Form.shaft), ("tube", Form.tube), ("punch", Form.punch), ("needle", Form.needle),
        ("unknown", Form.blocks),
    ],
)  # fmt: skip
def test_features_and_names_decide_the_form(name: str, form: Form) -> None:
    """Common practice, no source: the trade's words and the listed features tell what is drawn."""
    assert cast_of(DEVICES[name]).form is form


@pytest.mark.parametrize(
    ("name", "features"),
    [
        ("Needle holder", ()),
        ("Retractor", (feature("j", "joint"),)),
        ("Bone punch", (feature("e", "cutting-edge"),)),
        ("Forceps", (feature("j", "jaw"),)),
        ("Flexible scope", (feature("l", "lumen"), feature("k", "knob"), feature("j", "jaw"))),
        ("Drill", (feature("e", "cutting-edge"), feature("l", "lumen"))),
        ("Hand dermatome", (feature("e", "cutting-edge"), feature("l", "lumen"), feature("j", "joint"))),
        ("Shaver handpiece", (feature("e", "cutting-edge"), feature("l", "lumen", name="sleeve bore"))),
        ("Trial handle", (feature("l", "lumen", name="cannulated"), feature("r", "ratchet"))),
    ],
)
def test_what_is_not_known_is_not_drawn(name: str, features: tuple[object, ...]) -> None:
    """Where neither handle nor way of moving is stated there is a plain box, and the words say so."""
    device = Device.model_validate({"name": name, "parts": parts("body"), "features": features})
    drawing = draw(device, {"jaw": "open"})
    assert {stroke.line for stroke in drawing.shape.strokes} == {"unknown"}
    assert "Its shape is not known" in drawing.description
    assert not drawing.is_known
    assert "jaw open" in drawing.description


def test_a_part_and_a_feature_of_the_same_id_are_two_things() -> None:
    """A sleeve that is a part and a feature has two letters."""
    device = Device(
        name="Dissector",
        parts=(*parts("handle"), parts("x", "outer sleeve")[1].model_copy(update={"id": "sleeve"})),
        features=(feature("sleeve", "insulation", "sleeve"), feature("jaw", "jaw", "sleeve")),
    )
    assert [name for _, name in draw(device).key] == ["handle", "outer sleeve", "insulation", "jaw"]


def test_a_small_part_alone_does_not_stand_for_the_device() -> None:
    """Where a text lists a seal and nothing else, the device is drawn and the seal is a box beside it."""
    device = Device(
        name="Laparoscopic grasper",
        parts=parts("sealing cap"),
        features=(feature("jaw", "jaw"), feature("ring", "joint", name="sealing ring")),
    )
    drawing = draw(device)
    boxed = {stroke.part for stroke in drawing.shape.strokes if stroke.line == "unknown"}
    assert boxed == {"a"}
    assert {stroke.part for stroke in drawing.shape.strokes if stroke.is_body} == {""}
    assert "Drawn as a box, because shape and place are not known: sealing cap." in drawing.description
    assert "two grips, whose shape is not stated" in drawing.description
    plain = draw(device, with_letters=False)
    assert {stroke.line for stroke in plain.shape.strokes}.isdisjoint({"unknown"})
    assert "Not drawn, because shape or place is not known: sealing cap." in plain.description
    assert not plain.letters
    assert not plain.key


def test_a_handle_that_nobody_lists_is_no_part() -> None:
    """A text that lists the jaw insert alone says nothing of the handle, which is then no listed part."""
    device = Device(
        name="Laparoscopic dissector",
        parts=parts("jaw insert", "protector"),
        features=(feature("jaw", "jaw", "a"), feature("lumen", "lumen")),
    )
    bodies = [one for one in draw(device).shape.strokes if one.is_body and one.line != "bare"]
    assert {one.part for one in bodies if max(x for x, _ in one.points) <= 0.0} == {""}
