"""The typeface, served from the package that carries it."""

from __future__ import annotations

import functools
from importlib import resources
from pathlib import Path
from typing import Final

#: The faces that the style sheet uses.
FACES: Final = ("Regular", "It", "Semibold", "Bold")


@functools.cache
def font_files() -> dict[str, Path]:
    """The font files that are served, by their names."""
    folder = Path(str(resources.files("font_source_sans_pro").joinpath("files")))
    return {f"SourceSansPro-{face}.otf": folder / f"SourceSansPro-{face}.otf" for face in FACES}
