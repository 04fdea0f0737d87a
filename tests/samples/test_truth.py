"""The truth beside the sample documents of our own, held against the documents themselves."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

OWN = Path(__file__).parent / "own"
TRUTHS = sorted(OWN.glob("*/*.json"))
_FEWEST_WORDS = 2


def _text(truth: Path) -> str:
    """What the document beside a truth file says, as its letters stand there."""
    plain = truth.with_suffix(".txt")
    if plain.exists():
        return plain.read_text(encoding="utf-8")
    pages = pypdfium2.PdfDocument(truth.with_suffix(".pdf"))
    return "\n".join(page.get_textpage().get_text_range() for page in pages)


def _folded(text: str) -> str:
    """Text without its line ends, and without the hyphens a line may end in."""
    return re.sub(r"[-\u00ad\ufffe\u0002]\s*", "", " ".join(text.split()))


def _stands(quote: str, text: str) -> bool:
    """Whether a quote stands in a text, at most once interrupted by the end of a column or page."""
    if quote in text:
        return True
    words = quote.split()
    return any(
        " ".join(words[:cut]) in text and " ".join(words[cut:]) in text
        for cut in range(_FEWEST_WORDS, len(words) - _FEWEST_WORDS + 1)
    )


def _quotes(truth: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every quote of a truth file, with the name of its place there."""
    for step in truth["steps"]:
        yield f"step {step['n']}", step["quote"]
    for number, warning in enumerate(truth["warnings"], 1):
        yield f"warning {number}", warning["quote"]
    for defect in truth["planted_defects"]:
        for quote in defect["quotes"]:
            yield f"defect {defect['id']}", quote
    for number, decoy in enumerate(truth["decoys_do_not_flag"], 1):
        yield f"decoy {number}", decoy["quote"]


def _listed() -> dict[str, int]:
    """Planted defects by document, as the README lists them."""
    rows = re.findall(
        r"^\| (\w+) \| `(\w+)` \|.*\| ([^|]+) \|$", (OWN / "README.md").read_text("utf-8"), re.MULTILINE
    )
    return {f"{half}/{name}": 0 if said.startswith("none") else int(said) for half, name, said in rows}


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_every_quote_stands_in_its_document(path: Path) -> None:
    """Each quote of a truth file is found in the text of its document; only places are named, not words."""
    text = _folded(_text(path))
    truth = json.loads(path.read_text(encoding="utf-8"))
    assert [place for place, quote in _quotes(truth) if not _stands(_folded(quote), text)] == []


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_every_figure_is_written_in_its_step(path: Path) -> None:
    """Each figure of a step is found in the words of that step, and its least is not above its most."""
    truth = json.loads(path.read_text(encoding="utf-8"))
    figures = [(step, figure) for step in truth["steps"] for figure in step["parameters"]]
    # In newspaper columns a sentence goes on below its quote, over what stands beside it.
    around = _text(path) if path.stem.endswith("_two_columns") else ""
    strangers = [(step, figure) for step, figure in figures if figure["as_written"] not in step["quote"]]
    assert [step["n"] for step, figure in strangers if figure["as_written"] not in around] == []
    ranges = [(step["n"], figure) for step, figure in figures if "min" in figure and "max" in figure]
    assert [number for number, figure in ranges if figure["min"] > figure["max"]] == []


def test_the_readme_lists_what_is_planted() -> None:
    """Every document is listed in the README of its halves with as many defects as its truth names."""
    planted = {
        f"{path.parent.name}/{path.stem}": len(json.loads(path.read_text("utf-8"))["planted_defects"])
        for path in TRUTHS
    }
    assert planted == _listed()


def test_printed_samples_keep_their_source_and_stay_small() -> None:
    """Every printed sample lies beside the source it is set from and takes less than 150 kB."""
    printed = sorted(OWN.glob("*/*.pdf"))
    assert [path.stem for path in printed] == [path.stem for path in sorted(OWN.glob("*/*.typ"))]
    assert [path.stem for path in printed if path.stat().st_size >= 150_000] == []
