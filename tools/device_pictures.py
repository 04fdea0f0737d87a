"""Writes docs/gallery/devices, invented devices in their positions: `python tools/device_pictures.py`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sinkside import documents
from sinkside.instruction import Device
from sinkside.shapes import Drawing, draw, svg

FOLDER = Path(__file__).parents[1] / "docs" / "gallery" / "devices"

_FORCEPS = {
    "name": "Alder 16 tissue forceps",
    "parts": [{"id": "forceps", "name": "forceps"}],
    "features": [
        {"id": "jaw", "kind": "jaw"}, {"id": "joint", "kind": "joint"}, {"id": "ratchet", "kind": "ratchet"},
    ],
}  # fmt: skip
_DISSECTOR = {
    "name": "Brendal 5 dissector",
    "parts": [
        {"id": "handle", "name": "pistol handle"}, {"id": "sleeve", "name": "insulated sleeve"},
        {"id": "insert", "name": "jaw insert"},
    ],
    "features": [
        {"id": "bore", "kind": "lumen", "part": "sleeve", "bore": "3.5 mm", "length": "330 mm"},
        {"id": "port", "kind": "port", "part": "sleeve", "name": "flush port"},
        {"id": "coat", "kind": "insulation", "part": "sleeve"},
        {"id": "jaw", "kind": "jaw", "part": "insert"}, {"id": "joint", "kind": "joint", "part": "insert"},
        {"id": "ratchet", "kind": "ratchet", "part": "handle"},
        {"id": "knob", "kind": "knob", "part": "handle", "name": "deflection knob"},
        {"id": "plug", "kind": "connector", "part": "handle", "name": "plug"},
    ],
}  # fmt: skip
_TUBE = {
    "name": "Corrin 4 suction tube with side holes",
    "parts": [{"id": "tube", "name": "suction tube"}, {"id": "stylet", "name": "stylet"}],
    "features": [
        {"id": "bore", "kind": "lumen", "part": "tube", "bore": "3 mm", "length": "180 mm"},
        {"id": "port", "kind": "port", "part": "tube", "name": "side port"},
    ],
}  # fmt: skip
_PUNCH = {
    "name": "Dorvik 3 bone punch",
    "parts": [
        {"id": "base", "name": "base shaft"}, {"id": "slide", "name": "sliding shaft"},
        {"id": "rear", "name": "rear handle"}, {"id": "front", "name": "front handle"},
        {"id": "spring", "name": "leaf spring"}, {"id": "screw", "name": "screw"},
    ],
    "features": [
        {"id": "edge", "kind": "cutting-edge", "part": "slide"},
        {"id": "leaves", "kind": "spring", "part": "spring"},
        {"id": "thread", "kind": "thread", "part": "screw"},
    ],
}  # fmt: skip
_NEEDLE = {
    "name": "Ennick 14 cm needle",
    "parts": [{"id": "needle", "name": "needle"}, {"id": "stylet", "name": "stylet"}],
    "features": [
        {"id": "bore", "kind": "lumen", "part": "needle", "bore": "1.2 mm", "length": "140 mm"},
        {"id": "port", "kind": "port", "part": "needle", "name": "side port"},
        {"id": "tip", "kind": "tip", "part": "needle"},
    ],
}  # fmt: skip


@dataclass(frozen=True)
class Picture:
    """One drawing, its file, and what it shows in a few words."""

    file: str
    words: str
    drawing: Drawing


def pictures() -> Iterator[Picture]:
    """Five devices in three positions each."""
    yield from _three(
        "forceps", _FORCEPS,
        {"jaw": "closed", "ratchet": "engaged"}, {"jaw": "closed", "ratchet": "released"},
        {"jaw": "open", "ratchet": "released"},
    )  # fmt: skip
    yield from _three(
        "dissector", _DISSECTOR,
        {"jaw": "open", "ratchet": "released", "port": "connected"},
        {"jaw": "closed", "ratchet": "engaged", "port": "capped", "knob": "deflected"},
        {"part": "apart", "jaw": "open", "port": "open"},
    )  # fmt: skip
    yield from _three(
        "suction-tube", _TUBE,
        {"part": "assembled", "port": "open"}, {"part": "apart", "port": "capped"},
        {"part": "apart", "port": "connected"},
    )  # fmt: skip
    yield from _three(
        "punch", _PUNCH,
        {"part": "assembled", "jaw": "closed"}, {"part": "assembled", "jaw": "open"},
        {"part": "apart", "jaw": "open"},
    )  # fmt: skip
    yield from _three(
        "needle", _NEEDLE,
        {"part": "assembled", "port": "capped"}, {"part": "apart", "port": "open"},
        {"part": "apart", "port": "connected"},
    )  # fmt: skip


def page(all_pictures: list[Picture]) -> str:
    """The page that shows them, each with the list that its letters belong to."""
    lines = [
        "# Devices",
        "",
        "Every drawing here is made by the program from the list of parts and features of an invented",
        "device, as an instruction holds it. It is a general form and not a picture of a product: features",
        "and names decide what is drawn, stated bores and lengths its proportions, and what is not stated is",
        "not drawn. The words under a drawing are its alternative text. Lines take the colour of the page,",
        "so that one file serves light, dark and paper. Drawn anew by `python tools/device_pictures.py`.",
    ]
    title = ""
    for picture in all_pictures:
        if picture.drawing.title != title:
            title = picture.drawing.title
            lines += ["", f"## {title}"]
        key = ", ".join(f"{letter} {name}" for letter, name in picture.drawing.key)
        lines += [
            "",
            f"![{title}: {picture.words}]({picture.file})",
            "",
            f"**{key}**",
            "",
            picture.drawing.description,
        ]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Write the drawings and their page."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    drawn = list(pictures())
    for picture in drawn:
        written = svg(picture.drawing, key=picture.file.removesuffix(".svg"), stands_alone=True)
        (FOLDER / picture.file).write_text(written, encoding="utf-8")
    (FOLDER / "README.md").write_text(page(drawn), encoding="utf-8")
    print(f"{len(drawn)} drawings in {FOLDER}")
    return 0


def _three(file: str, fields: dict[str, Any], *stances: dict[str, str]) -> Iterator[Picture]:
    device = documents.validate(Device, fields, resource=file)
    for number, positions in enumerate(stances, start=1):
        words = ", ".join(f"{feature} {position}" for feature, position in positions.items())
        with_flow = positions.get("port") == "connected"
        yield Picture(f"{file}-{number}.svg", words, draw(device, positions, with_flow=with_flow))


if __name__ == "__main__":
    sys.exit(main())
