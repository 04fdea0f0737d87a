"""The demo's makers' documents: set reproducibly, marked as invented, wrong only where that is meant."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from sinkside.documents import load, parse, to_yaml, validate
from sinkside.instruction import STAGES, Instruction, Stage
from sinkside.science.steam import saturation_pressure_at_c

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "src" / "sinkside" / "demo"
DOCUMENTS = DEMO / "documents"
ON_FILE = sorted((DEMO / "data" / "instructions").glob("*.yaml"))
MARK = "Invented document for a demonstration. Not for clinical use."
LARGEST_PDF_BYTES = 100_000


def _pages(name: str) -> list[str]:
    import pdfplumber

    with pdfplumber.open(DOCUMENTS / name) as pdf:
        return [page.extract_text() for page in pdf.pages]


def test_the_pdfs_are_made_of_their_sources(tmp_path: Path) -> None:
    """Setting the sources again gives the committed bytes, and each file stays small."""
    subprocess.run([sys.executable, str(ROOT / "tools" / "demo_documents.py"), str(tmp_path)], check=True)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {path.name: path.read_bytes() for path in DOCUMENTS.glob("*.pdf")}
    assert max(map(len, made.values())) < LARGEST_PDF_BYTES


@pytest.mark.parametrize("name", ["sinus-forceps.pdf", "suction-punch.pdf"])
def test_every_page_says_that_it_is_invented(name: str) -> None:
    """The mark stands in the header of every page, where it can be read."""
    pages = _pages(name)
    assert len(pages) >= 2
    assert [MARK in page for page in pages] == [True] * len(pages)


def test_the_text_and_the_instructions_on_file_say_so_too() -> None:
    """The plain text carries the mark in its head, and the instructions on file in their first line."""
    assert MARK in (DOCUMENTS / "bone-punch.txt").read_text("utf-8").splitlines()[:8]
    assert len(ON_FILE) == 2
    assert all("Not for clinical use." in path.read_text("utf-8").splitlines()[0] for path in ON_FILE)


def test_one_pair_of_temperatures_disagrees() -> None:
    """Of all °F (°C) pairs, 180 °F (90 °C) alone is off by more than rounding; °C = (°F - 32) / 1.8."""
    text = " ".join(" ".join(_pages("suction-punch.pdf")).split())
    pairs = [
        (float(f), float(c))
        for ends in re.findall(r"(?:(\d+) to )?(\d+) °F \((?:(\d+) to )?(\d+) °C\)", text)
        for f, c in ((ends[0], ends[2]), (ends[1], ends[3]))
        if f
    ]
    assert len(pairs) >= 10
    assert [(f, c) for f, c in pairs if abs((f - 32) / 1.8 - c) > 0.6] == [(180.0, 90.0)]


def test_the_swapped_digits_betray_themselves() -> None:
    """The absolute pressure printed beside 143 °C is that of saturated steam of 134 °C (IAPWS-IF97)."""
    assert "3 pulses 143 °C 3.04 bar 5 min" in _pages("sinus-forceps.pdf")[1]
    assert saturation_pressure_at_c(134.0) == pytest.approx(3.04e5, rel=0.005)


@pytest.mark.parametrize("path", ON_FILE, ids=lambda path: path.stem)
def test_the_instructions_on_file_are_whole(path: Path) -> None:
    """They load, survive writing and reading, cover every stage, and name only what the device has."""
    instruction = load(Instruction, path)
    again = validate(
        Instruction, parse(to_yaml(instruction), resource=path.name, is_yaml=True), resource=path.name
    )
    assert again == instruction
    assert {step.stage for step in instruction.steps} == set(STAGES)
    device = instruction.device
    known = {part.id for part in device.parts} | {feature.id for feature in device.features}
    assert [(step.id, name) for step in instruction.steps for name in step.on if name not in known] == []


@pytest.mark.parametrize("path", ON_FILE, ids=lambda path: path.stem)
def test_the_figures_on_file_stand_in_the_words_they_were_read_from(path: Path) -> None:
    """Every figure's words are part of its origin, and origins run on through the pages."""
    instruction = load(Instruction, path)
    strays = [
        (step.id, figure.as_written)
        for step in instruction.steps
        for figure in step.figures
        if figure.as_written not in step.origin.text
    ]
    assert strays == []
    places = [(step.origin.page, step.origin.line) for step in instruction.steps]
    assert places == sorted(set(places))
    assert instruction.stage(Stage.sterilization)[0].air_removal is not None
