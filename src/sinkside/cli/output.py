"""How the command line speaks: results on standard output, everything else on standard error."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from pydantic import BaseModel

Item = TypeVar("Item")

#: Levels by mark and word, never by colour alone.
MARKS = {"stop": "■", "concern": "▲", "note": "●"}


def show(text: str) -> None:
    """Print a result on standard output."""
    sys.stdout.write(text + "\n")


def say(text: str) -> None:
    """Tell the person something on standard error."""
    sys.stderr.write(f"sinkside: {text}\n")


def show_document(document: BaseModel, *, compact: bool = False) -> None:
    """Print a document as JSON on standard output."""
    from sinkside.documents import to_json

    show(to_json(document, compact=compact))


def with_progress(items: Iterable[Item], *, total: int, doing: str) -> Iterable[Item]:
    """Pass items on with a progress bar on standard error; without a screen, silently."""
    if not sys.stderr.isatty() or total == 1:
        yield from items
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(items, description=doing, total=total, console=Console(stderr=True), transient=True)
