"""`sinkside demo`: an invented department, and the main job run over it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sinkside.cli.output import say, show


def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Where to make the demo workspace.")
    ] = Path("demo"),
) -> None:
    """Make a demo workspace and run the whole main job over it."""
    import sys

    from sinkside import wiring
    from sinkside.demo import run_demo

    summary = run_demo(folder, now=wiring.now(), tell=_teller(sys.stderr.isatty()))
    show(summary)


def _teller(on_screen: bool):  # placeholder
    return say
