"""`sinkside questions`."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from sinkside.cli.app import run
from sinkside.desk.schemas import schema

#: The steam temperature has a slip: 143 for 134 °C.
TEXT = """LARKSPUR GRASPER
Maker: Quillfen Instruments

Cleaning
Soak the instrument in an enzymatic cleaner for 10 minutes.
Rinse under running water for 1 minute.

Drying
Dry with compressed air for 30 seconds at 2 bar.

Packaging
Pack in a pouch.

Sterilization
Steam sterilize with pre-vacuum at 143 °C for 4 minutes. Drying time 20 minutes.
"""


@pytest.fixture
def document(tmp_path: Path) -> Path:
    """An invented maker's text with a slip in its steam temperature."""
    path = tmp_path / "grasper.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_the_letter_is_printed(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The slip is asked about, in English unless told, with the maker's words."""
    assert run(["questions", str(document)]) == 0
    printed = capsys.readouterr().out
    assert "QUESTIONS ABOUT YOUR PROCESSING INSTRUCTION" in printed
    assert "at 143 °C for 4 minutes" in printed


def test_the_letter_as_data_fits_its_schema(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--json` prints what `sinkside schema questions` describes, and nothing else."""
    assert run(["questions", str(document), "--json", "--language", "fr"]) == 0
    data = json.loads(capsys.readouterr().out)
    jsonschema.validate(data, schema("questions"))
    assert data["format"] == "sinkside/questions-1"
    assert data["language"] == "fr"
    assert data["questions"][0]["reference_matter"]


def test_the_letter_is_written_to_a_file(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--out` writes the text; `--alone` leaves the English out; `--reply-to` stands at its end."""
    out = document.with_name("fragen.txt")
    told = ["--language", "de", "--alone", "--reply-to", "AEMP, Haus Tal", "--out", str(out)]
    assert run(["questions", str(document), *told]) == 0
    written = out.read_text("utf-8")
    assert "FRAGEN ZU IHRER AUFBEREITUNGSANLEITUNG" in written
    assert "AEMP, Haus Tal" in written
    assert "[en]" not in written
    assert str(out) in capsys.readouterr().out


def test_an_unknown_language_is_refused(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Status 2 and one sentence that names the languages."""
    assert run(["questions", str(document), "--language", "xx"]) == 2
    assert "'de'" in capsys.readouterr().err
