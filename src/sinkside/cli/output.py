"""How the command line speaks: results on standard output, everything else on standard error."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

import typer

from sinkside.errors import BadDocument, UnreadableFile

if TYPE_CHECKING:
    from pydantic import BaseModel

    from sinkside.department import DepartmentChange
    from sinkside.sets import SetChange

    Told = DepartmentChange | SetChange

Item = TypeVar("Item")


class Tell(Protocol):
    """Told what is being done, how much of it is done, and how much there is."""

    def __call__(self, doing: str, done: int, total: int) -> None:
        """Say so."""


#: Levels by mark and word, never by colour alone.
MARKS = {"stop": "■", "concern": "▲", "note": "●"}


#: What could steer a terminal or turn its line around; line feed and tab are ours.
_STEERING = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def show(text: str) -> None:
    """Print a result on standard output.

    Raises:
        UnreadableFile: if there is no standard output, or it takes no more.
    """
    if sys.stdout is None:
        raise UnreadableFile("it is closed", resource="standard output")
    try:
        sys.stdout.write(_safe(text, sys.stdout.encoding) + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        raise UnreadableFile(
            f"it cannot be written ({error.strerror})", resource="standard output"
        ) from error


def say(text: str) -> None:
    """Tell the person something on standard error, in one line; where there is none, nobody is told."""
    if sys.stderr is None:
        return
    one_line = text.replace("\n", "\\n")
    with suppress(OSError):
        sys.stderr.write(f"sinkside: {_safe(one_line, sys.stderr.encoding)}\n")
        sys.stderr.flush()


def has_screen() -> bool:
    """Whether somebody watches standard error."""
    return sys.stderr is not None and sys.stderr.isatty()


def let_go_of_output() -> None:
    """Send what is still unwritten nowhere, so that Python does not try again while it ends."""
    with suppress(OSError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def _safe(text: str, encoding: str | None) -> str:
    """Text without signs that steer a terminal, or that it cannot take; the escapes hold in JSON too."""
    text = _STEERING.sub(_escaped, text)
    try:
        text.encode(encoding or "utf-8")
    except UnicodeEncodeError:
        return re.sub(r"[^\x00-\x7f]", _escaped, text)
    return text


def _escaped(found: re.Match[str]) -> str:
    return json.dumps(found[0])[1:-1] if found[0] != "\x7f" else "\\u007f"


def show_document(document: BaseModel, *, compact: bool = False) -> None:
    """Print a document as JSON on standard output."""
    from sinkside.documents import to_json

    show(to_json(document, compact=compact))


def show_changes(changes: Sequence[Told], *, json: bool) -> None:
    """Print what changed between two files, a line each, in words or as JSON."""
    for change in changes:
        if json:
            show_document(change, compact=True)
        else:
            show(change.sentence)
    if not changes and not json:
        show("nothing changed")


@contextmanager
def faults_line_by_line(table: Path) -> Iterator[None]:
    """Tell every fault of a spreadsheet on a line of its own, and end with status 2."""
    try:
        yield
    except BadDocument as error:
        for fault in error.faults:
            say(f"{table}: {fault}")
        raise typer.Exit(2) from error


def with_progress(items: Iterable[Item], *, total: int, doing: str) -> Iterable[Item]:
    """Pass items on with a progress bar on standard error; without a screen, silently."""
    if not has_screen() or total == 1:
        yield from items
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(items, description=doing, total=total, console=Console(stderr=True), transient=True)


@contextmanager
def progress() -> Iterator[Tell]:
    """Bars on a screen, a line a stage elsewhere; both on standard error."""
    if not has_screen():
        yield _say_when_done
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TaskID, TextColumn
    from rich.progress import Progress as Bars

    bars = Bars(
        TextColumn("{task.description:<28}"), BarColumn(), MofNCompleteColumn(), console=Console(stderr=True)
    )
    tasks: dict[str, TaskID] = {}

    def draw(doing: str, done: int, total: int) -> None:
        if doing not in tasks:
            tasks[doing] = bars.add_task(doing, total=total)
        bars.update(tasks[doing], completed=done)

    with bars:
        yield draw


def _say_when_done(doing: str, done: int, total: int) -> None:
    if done == total:
        say(f"{doing.lower()}: {done} of {total}")
