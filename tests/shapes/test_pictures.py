"""The drawings in docs/gallery/devices are those that the program makes."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree as ET

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "docs" / "gallery" / "devices"
SVG = "{http://www.w3.org/2000/svg}"


def _tool() -> ModuleType:
    path = ROOT / "tools" / "device_pictures.py"
    spec = importlib.util.spec_from_file_location("device_pictures", path)
    assert spec is not None
    assert spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    sys.modules["device_pictures"] = tool
    spec.loader.exec_module(tool)
    return tool


def test_the_gallery_shows_what_the_program_draws() -> None:
    """Page and files are in step with the program: words, letters and number of lines agree."""
    tool = _tool()
    drawn = list(tool.pictures())
    assert (FOLDER / "README.md").read_text("utf-8") == tool.page(drawn)
    for picture in drawn:
        root = ET.parse(FOLDER / picture.file).getroot()  # noqa: S314 # our own drawing
        assert root.findtext(f"{SVG}desc") == picture.drawing.description
        letters = [one.text for one in root.findall(f".//{SVG}text")]
        assert letters == [one.letter for one in picture.drawing.letters]
        leads = sum(one.lead[0] != one.lead[1] for one in picture.drawing.letters)
        assert len(root.findall(f".//{SVG}path")) == len(picture.drawing.shape.strokes) + leads


def test_the_gallery_is_small() -> None:
    """Fifteen drawings, each in lines of text, together less than 400 kB."""
    files = sorted(FOLDER.glob("*.svg"))
    assert len(files) == 15
    assert sum(file.stat().st_size for file in files) < 400_000
