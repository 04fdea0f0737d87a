"""What is tapped as a whole row lies on its own row: a link that fills more opens something else."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import sinkside.web

TEMPLATES: Final = sorted((Path(sinkside.web.__file__).parent / "templates").rglob("*.html"))


def test_rows_that_are_tapped_are_children_of_what_holds_them() -> None:
    """A link as large as its row needs a row that it is measured by: lists or bodies of tables."""
    assert len(TEMPLATES) > 100
    wrong = [one.name for one in TEMPLATES if re.search(r'<table class="[^"]*taps\b', one.read_text("utf-8"))]
    assert wrong == []
