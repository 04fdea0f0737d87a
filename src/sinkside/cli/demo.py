"""`sinkside demo`: an invented department, and the main job run over it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.output import has_screen, say, show

if TYPE_CHECKING:
    from sinkside.demo import Progress


def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Where to make the demo workspace.", show_default=False)
    ] = Path("demo"),
) -> None:
    """Make a demo workspace and run the whole main job over it."""
    from sinkside import wiring
    from sinkside.demo import run_demo

    with _progress() as tell:
        summary = run_demo(folder, today=wiring.today(), tell=tell)
    show(summary)


@contextmanager
def _progress() -> Iterator[Progress]:
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
