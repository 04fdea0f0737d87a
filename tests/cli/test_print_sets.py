"""`sinkside print`: count sheet, labels and the paper pack, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.cli.app import run
from sinkside.documents import save
from sinkside.sets import read_set
from support.pdf_words import text_of, without_gaps
from support.routing import a_department, a_program, a_sterilizer
from support.set_house import a_device
from support.square_codes import pictures_of, read_square


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A set of one device, its text, and a department that can sterilize it."""
    save(a_device("Quarl 3 hook", mass="40 g"), tmp_path / "hook.yaml")
    members = [{"instruction": "hook", "count": 2}]
    save(read_set({"name": "Hand set", "members": members, "packaging_mass": "2 kg"}), tmp_path / "set.yaml")
    save(a_department(a_sterilizer(a_program("134 °C", "5 min", "25 min"))), tmp_path / "site.yaml")
    return tmp_path


def printed(folder: Path, kind: str, *words: str) -> int:
    """The exit status of printing into out.pdf."""
    paths = [str(folder / word) if word.endswith(".yaml") else word for word in words]
    return run(["print", kind, *paths, "--out", str(folder / "out.pdf")])


def test_labels_say_what_was_typed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The code of the printed label reads as the GIAI and the load that were given."""
    words = ("set.yaml", "hook.yaml", "--department", "site.yaml", "--giai", "9521234SET7", "--load", "12")
    assert printed(folder, "labels", *words, "--copies", "2") == 0
    assert capsys.readouterr().out.startswith("2 labels of 76x51 mm, Hand set → ")
    pdf = (folder / "out.pdf").read_bytes()
    pictures = pictures_of(pdf)
    assert len(pictures) == 2
    assert read_square(pictures[0]) == "^80049521234SET7^9112"
    assert without_gaps("2 pieces, 2.08 kg") in without_gaps(text_of(pdf))


def test_a_wrong_check_digit_prints_nothing(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A GTIN with a wrong last digit is refused by one sentence, and no file is written."""
    assert printed(folder, "labels", "set.yaml", "--gtin", "9501101530004") == 2
    assert "the check digit of GTIN 09501101530004 is 4; expected 3" in capsys.readouterr().err
    assert not (folder / "out.pdf").exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("count-sheet", "set.yaml", "hook.yaml", "--size", "letter"), "Hand set"),
        (("load-label", "--machine", "Sterilizer 1", "--load", "12", "--number", "S1-12"), "Load 12"),
        (("downtime", "--department", "site.yaml"), "Paper pack for downtime"),
    ],
)
def test_the_other_papers_are_printed(folder: Path, words: tuple[str, ...], told: str) -> None:
    """Count sheet, load label and paper pack come out as PDFs that say what they are."""
    assert printed(folder, *words) == 0
    assert without_gaps(told) in without_gaps(text_of((folder / "out.pdf").read_bytes()))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("labels", "set.yaml", "--number", "7", "--use-by", "31.12.2026"), "'31.12.2026' is no day"),
        (("labels", "set.yaml", "--number", "7", "--use-by", "31.12.2026"), "such as 2026-12-31"),
        (("labels", "set.yaml", "--number", "7", "--use-by", "2001-02-03"), "2001-02-03 is past on the day"),
        (("load-label", "--machine", "", "--load", "", "--number", "5"), "a machine without a word"),
        (("load-label", "--machine", "S 1", "--load", " ", "--number", "5"), "a load without a word"),
        (("poster", "hook.yaml", "--department", "site.yaml", "--language", "xx"), "no language 'xx'"),
    ],
)
def test_what_cannot_be_meant_prints_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    """A day that is none or past, a load without words, an unknown language: one sentence, and no file."""
    assert printed(folder, *words) == 2
    assert told in capsys.readouterr().err
    assert not (folder / "out.pdf").exists()
