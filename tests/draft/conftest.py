"""Documents of the tests: the samples with their truth and scorer, and PDFs set on the spot."""

from __future__ import annotations

import importlib.util
import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
import typst

SAMPLES = Path(__file__).parent.parent / "samples"

_TYPESETTING = """
#let doc = json("doc.json")
#set page(paper: "a4", margin: 2.2cm, columns: doc.columns,
  header: text(size: 8pt, doc.header),
  footer: context text(size: 8pt)[
    #doc.footer #h(1fr) Page #counter(page).display() of #counter(page).final().first()
  ])
#set text(size: 10pt, hyphenate: doc.columns > 1)
#set par(justify: doc.columns > 1)
#for block-of in doc.blocks {
  if block-of.kind == "table" {
    let rule = if doc.ruled { 0.5pt } else { none }
    table(stroke: rule, columns: block-of.columns, ..block-of.cells.map(cell => text(size: 7pt, cell)))
  } else { block(block-of.text) }
}
"""


@pytest.fixture(scope="session")
def scorer() -> ModuleType:
    """The measuring scorer that lies beside the samples."""
    spec = importlib.util.spec_from_file_location("score", SAMPLES / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def truth_of() -> Callable[[str], dict[str, Any]]:
    """The truth of a sample by its name."""

    def read(name: str) -> dict[str, Any]:
        truth: dict[str, Any] = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
        return truth

    return read


def _blocks(text: str) -> list[dict[str, Any]]:
    blocks: list[dict[str, Any]] = []
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("|") and not set(line) <= set("|- "):
            if not blocks or blocks[-1]["kind"] != "table":
                blocks.append({"kind": "table", "columns": len(cells), "cells": []})
            blocks[-1]["cells"].extend(cells)
        elif line.strip() and not line.startswith("|"):
            blocks.append({"kind": "text", "text": line.strip()})
    return blocks


@pytest.fixture
def set_pdf(tmp_path: Path) -> Callable[..., Path]:
    """Set a text as a PDF with running header, footer and page numbers; tables with strokes become ruled."""

    def typeset(text: str, *, columns: int = 1, ruled: bool = True) -> Path:
        document = {
            "ruled": ruled,
            "columns": columns,
            "header": "Draft for review, printed copies are not controlled",
            "footer": "Quality form 7",
            "blocks": _blocks(text),
        }
        (tmp_path / "doc.json").write_text(json.dumps(document), encoding="utf-8")
        (tmp_path / "main.typ").write_text(_TYPESETTING, encoding="utf-8")
        out = tmp_path / f"set{columns}.pdf"
        typst.compile(str(tmp_path / "main.typ"), output=str(out))
        return out

    return typeset
