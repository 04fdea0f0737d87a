"""`sinkside demo`: an invented department, and the main job run over it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sinkside.cli.output import progress, show


def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Where to make the demo workspace.", show_default=False)
    ] = Path("demo"),
) -> None:
    """Make a demo workspace and run the whole main job over it."""
    from sinkside import wiring
    from sinkside.demo import run_demo

    with progress() as tell:
        summary = run_demo(folder, today=wiring.today(), tell=tell)
    show(summary)
