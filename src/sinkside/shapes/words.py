"""A drawing in words, for those who hear it: parts, positions, the way of the water, what is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sinkside.instruction import POSITIONS
from sinkside.shapes.cast import Cast, Form, Grip
from sinkside.shapes.flow import FlowPath
from sinkside.shapes.lines import Line, Opening, Shape, of_part
from sinkside.shapes.moving import can_draw
from sinkside.shapes.stance import Stance

_FORMS = {
    Form.forceps: "two crossing halves on a joint",
    Form.shaft: "an instrument on a shaft",
    Form.tube: "a tube",
    Form.punch: "a punch of two bars, one sliding on the other",
    Form.needle: "a needle on a hub",
}
_GRIPS = {
    Grip.rings: "with rings for the fingers",
    Grip.pistol: "with a pistol grip",
    Grip.plain: "with two grips, whose shape is not stated",
    Grip.spring: "with a spring handle",
}


def names_of(cast: Cast, shape: Shape) -> dict[str, str]:
    """Name by id of every part and feature that is drawn, parts first; the only part needs no letter."""
    drawn = {name for anchor in shape.anchors for name in anchor.names}
    parts = {of_part(one.id): one.name for one in cast.device.parts if of_part(one.id) in drawn}
    features = {
        one.id: one.name or one.kind.value.replace("-", " ")
        for one in cast.device.features
        if one.id in drawn
    }
    return {**({} if _is_one_piece(cast) else parts), **features}


def _is_one_piece(cast: Cast) -> bool:
    """Whether the only part is the whole device, which then needs no letter."""
    return len(cast.device.parts) == 1 and cast.has("whole")


def described(
    cast: Cast, shape: Shape, letters: Mapping[str, str], *, stated: Mapping[str, str], path: FlowPath | None
) -> str:
    """The alternative text of a drawing.

    Args:
        cast: the device.
        shape: what is drawn of it.
        letters: letter by id of what is drawn; empty where it has none.
        stated: the positions that somebody stated.
        path: the way of a flush, where it is drawn.
    """
    sentences = [_what(cast), *_lists(cast, letters), *_positions(cast, stated)]
    if path:
        sentences += _water(path)
    sentences += _unknown(cast, shape, letters)
    return " ".join(sentences)


def _what(cast: Cast) -> str:
    if cast.form is Form.blocks:
        return f"{cast.device.name}. Its shape is not known: each part is a plain box."
    grip = f" {_GRIPS[cast.grip]}" if cast.form in {Form.forceps, Form.shaft, Form.punch} else ""
    return f"{cast.device.name}, drawn in general form and not to scale: {_FORMS[cast.form]}{grip}."


def _lists(cast: Cast, letters: Mapping[str, str]) -> list[str]:
    parts = [
        _lettered(one.name, letters[of_part(one.id)])
        for one in cast.device.parts
        if of_part(one.id) in letters
    ]
    features = [
        _lettered(one.name or one.kind.value.replace("-", " "), letters[one.id])
        for one in cast.device.features
        if one.id in letters
    ]
    if _is_one_piece(cast):
        parts = [cast.device.parts[0].name]
    return [f"{head}: {_and(names)}." for head, names in (("Parts", parts), ("Features", features)) if names]


def _lettered(name: str, letter: str) -> str:
    return f"{name} ({letter})" if letter else name


def _positions(cast: Cast, stated: Mapping[str, str]) -> list[str]:
    stance = Stance.of(stated)
    shown = [f"{_called(one)} {stance[one]}" for one in POSITIONS if one in stated and can_draw(cast, one)]
    hidden = [
        f"{_called(one)} {stance[one]}" for one in POSITIONS if one in stated and not can_draw(cast, one)
    ]
    at_rest = [
        f"{_called(one)} {stance[one]}" for one in POSITIONS if one not in stated and can_draw(cast, one)
    ]
    sentences = [f"Position: {_and(shown)}."] if shown else []
    if at_rest:
        sentences.append(f"No position is stated for these, which are drawn at rest: {_and(at_rest)}.")
    if hidden:
        sentences.append(f"Asked for and not drawn, because it is not known what moves so: {_and(hidden)}.")
    return sentences


def _called(mover: str) -> str:
    return "parts" if mover == "part" else mover


def _water(path: FlowPath) -> list[str]:
    if not (path.inlet or path.outlets or path.shut):
        return ["No way for a flush is stated."]
    sentences = [f"Water {_way_in(path)} and {_way_out(path)}."]
    if path.shut:
        sentences.append(f"Shut: {_and(_words(path.shut))}.")
    return sentences


def _way_in(path: FlowPath) -> str:
    if path.inlet:
        return f"goes in at the {path.inlet.words}"
    shut = any(one.port for one in path.shut)
    return "has no way in that is open" if shut else "goes in at a place that is not stated"


def _way_out(path: FlowPath) -> str:
    if path.outlets:
        return f"leaves at the {_and(_words(path.outlets))}"
    return "has no way out that is open" if path.shut else "leaves at a place that is not stated"


def _words(openings: Iterable[Opening]) -> list[str]:
    return [one.words for one in openings]


def _unknown(cast: Cast, shape: Shape, letters: Mapping[str, str]) -> list[str]:
    sentences = []
    unknown = {stroke.part for stroke in shape.strokes if stroke.line is Line.unknown}
    boxes = [part.name for part in cast.device.parts if part.id in unknown]
    if boxes and cast.form is not Form.blocks:
        sentences.append(f"Drawn as a box, because shape and place are not known: {_and(boxes)}.")
    missing = [
        *(one.name for one in cast.device.parts if of_part(one.id) not in letters),
        *(
            one.name or one.kind.value.replace("-", " ")
            for one in cast.device.features
            if one.id not in letters
        ),
    ]
    if _is_one_piece(cast):
        missing.remove(cast.device.parts[0].name)
    if missing:
        sentences.append(f"Not drawn, because shape or place is not known: {_and(missing)}.")
    return sentences


def _and(names: Iterable[str]) -> str:
    *most, last = list(names)
    return f"{', '.join(most)} and {last}" if most else last
