"""The pictograms as data (`figures.toml`, beside this file) and as SVG: strokes of one width, solid black."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Final

from sinkside.documents import Value
from sinkside.errors import BadInput

#: Units along each side of the grid, and the width of every stroke in them.
GRID: Final = 48
STROKE: Final = 3.2

#: How wide the paper's white is on each side of a bar, so that it stands clear of what it crosses.
_CLEAR: Final = 3.6
_BAR: Final = "M5 43L43 5"


class Pictogram(Value):
    """One pictogram.

    Attributes:
        word: what stands beside it.
        lines: paths that are stroked.
        solid: paths that are filled.
        barred: whether one bar goes across: this is not to be done.
        caution: whether it is of a caution or of something worn, not of an action.
        says: patterns of sentences that it belongs to.
    """

    word: str
    lines: tuple[str, ...] = ()
    solid: tuple[str, ...] = ()
    barred: bool = False
    caution: bool = False
    says: tuple[str, ...] = ()


@functools.cache
def pictograms() -> Mapping[str, Pictogram]:
    """Every pictogram by its name: the word of an action, or the kind of a caution."""
    text = resources.files("sinkside.aids.pictograms").joinpath("figures.toml").read_text("utf-8")
    return {name: Pictogram.model_validate(drawn) for name, drawn in tomllib.loads(text).items()}


def pictogram(name: str) -> Pictogram:
    """The pictogram of a name.

    Raises:
        BadInput: if there is none.

    >>> pictogram("soak").word
    'Soak, fully under'
    """
    try:
        return pictograms()[name]
    except KeyError:
        raise BadInput(
            "there is no pictogram of this name; `sinkside print specimen` shows all", resource=name
        ) from None


@functools.cache
def pictogram_svg(name: str) -> str:
    """A pictogram as SVG, black on whatever it is laid on; the word beside it is its name for who hears it.

    Raises:
        BadInput: if there is none.
    """
    drawn = pictogram(name)
    body = "".join(f'<path d="{path}"/>' for path in drawn.lines)
    solid = "".join(f'<path fill="#000" stroke="none" d="{path}"/>' for path in drawn.solid)
    bar = ""
    if drawn.barred:
        clear = STROKE + 2 * _CLEAR
        bar = f'<path stroke="#fff" stroke-width="{clear:g}" d="{_BAR}"/><path d="{_BAR}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {GRID} {GRID}" aria-hidden="true">'
        f'<g fill="none" stroke="#000" stroke-width="{STROKE:g}" stroke-linecap="round"'
        f' stroke-linejoin="round">{body}{solid}{bar}</g></svg>'
    )


def caution_kind(sentence: str) -> str:
    """The kind of caution that a sentence is of, or nothing.

    >>> caution_kind("Do not soak in saline."), caution_kind("Wear gloves."), caution_kind("Keep it dry.")
    ('do-not-soak', 'gloves', '')
    """
    for name, patterns in _patterns().items():
        if patterns.search(sentence):
            return name
    return ""


@functools.cache
def _patterns() -> Mapping[str, re.Pattern[str]]:
    return {
        name: re.compile("|".join(drawn.says), re.IGNORECASE)
        for name, drawn in pictograms().items()
        if drawn.says
    }
