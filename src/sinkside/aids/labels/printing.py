"""Labels as PDF, one label a page, in the size of the label."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from sinkside.aids.labels.request import LabelRequest, LabelSize, LoadLabel, SetLabel
from sinkside.aids.labels.symbol import Symbol, gs1_symbol, plain_symbol
from sinkside.aids.papers.bilingual import Bilingual, figure_told
from sinkside.aids.papers.setting import Values, sheets, typeset
from sinkside.errors import NotForTheFloor
from sinkside.language.numbers import NO_BREAK
from sinkside.plain.counted import PIECES
from sinkside.quantities import FigureQuantity
from sinkside.quantities.figure import FigureValue

#: How large the type is, from what is tried first to the least that is read at arm's length on a pack.
_SCALES: Final = (1.25, 1.12, 1.0, 0.9)

#: How wide a square each size leaves for the code (mm).
_ROOM_FOR_THE_CODE: Final = {LabelSize.small: 13.0, LabelSize.middle: 22.0, LabelSize.large: 26.0}

#: A label says what it is not, because a pack with a label looks finished.
_NO_RELEASE: Final = "This label releases nothing: a qualified person releases the load."

#: On the smallest label only this much is left beside the name and the number.
_ROWS_ON_THE_SMALLEST: Final = 2

#: Scales of packing tables show so many decimals of a kilogram.
_DECIMALS: Final = 2

_BEFORE_A_UNIT: Final = re.compile(r"(?<=\d) (?=°|[a-z]{1,3}\b)")


def labels_pdf(request: LabelRequest) -> bytes:
    """Labels, in the largest type with which everything fits.

    The same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown, a word has no translation, the words do not fit the size,
            or, unless it is a proof, nobody reviewed them.
        BadInput: if the code does not fit the size.
    """
    symbol = (
        gs1_symbol(request.number.elements) if request.number.elements else plain_symbol(request.number.own)
    )
    content = _tied(_content(request, symbol))
    for scale in _SCALES:
        pdf = typeset({**content, "scale": scale}, "label")
        if sheets(pdf) == request.copies:
            return pdf
    raise NotForTheFloor(
        f"the words do not fit a label of {request.size.value} mm; choose a larger one or a shorter name",
        resource=content["title"],
    )


def _content(request: LabelRequest, symbol: Symbol) -> Values:
    told, label = Bilingual(request.readers), request.label
    of_set = isinstance(label, SetLabel)
    rows = list(_rows(label, told))
    width, height = request.size.mm
    is_small = request.size is LabelSize.small
    title = label.name if isinstance(label, SetLabel) else told.say("Load {load}", load=label.load)
    content = {
        "kind": "set" if of_set else "load",
        "title": title,
        "above": told.name(label.department if isinstance(label, SetLabel) else label.machine),
        "rows": rows[:_ROWS_ON_THE_SMALLEST] if is_small else rows,
        "number": _readable(request, symbol),
        "foot": told.both("" if is_small else _NO_RELEASE),
        "width": width,
        "height": height,
        "copies": request.copies,
        "code": {
            "svg": symbol.svg(),
            "side": symbol.side_mm(_ROOM_FOR_THE_CODE[request.size]),
            "alt": told.say("DataMatrix code: {text}", text=symbol.read),
        },
    }
    return told.settled(content, resource=title)


def _readable(request: LabelRequest, symbol: Symbol) -> list[str]:
    """The line that people read, one element a piece, so that it breaks between elements only."""
    if not request.number.elements:
        return [symbol.read]
    return [f"({element.identifier})\u00a0{element.value}" for element in request.number.elements]


def _rows(label: SetLabel | LoadLabel, told: Bilingual) -> Iterator[Values]:
    """What stands beside the code, most needed first; an empty value is a line to write on."""
    if isinstance(label, SetLabel):
        yield {"name": told.both("Contents"), "value": _contents(label, told)}
        yield _row("Load", label.load, told)
        for name, value in (("Use by", label.use_by), ("Cycle", label.cycle)):
            if value:
                yield _row(name, value, told)
        yield _row("Packed", " · ".join(filter(None, (label.packed_on, label.packed_by))), told)
        return
    held = f"{len(label.sets)}: {', '.join(label.sets)}" if label.sets else ""
    for name, value in (
        ("Program", label.program),
        ("Started", label.started),
        ("Loaded by", label.by),
        ("Sets", held),
        ("Released by", ""),
    ):
        yield _row(name, value, told)


def _row(name: str, value: str, told: Bilingual) -> Values:
    return {"name": told.both(name), "value": told.name(value)}


def _contents(label: SetLabel, told: Bilingual) -> str:
    """How many pieces, and what they weigh where that is known; in the reader's language."""
    pieces = f"{label.pieces}{NO_BREAK}{told.voice.counted(PIECES, label.pieces)}"
    if label.kg is None:
        return pieces
    mass = FigureValue(quantity=FigureQuantity.mass, value=round(label.kg, _DECIMALS), unit="kg")
    return f"{pieces}, {figure_told(mass)(told.voice)}"


def _tied(values: Any) -> Any:
    """Plain values in which no figure parts from its unit at the end of a line."""
    if isinstance(values, dict):
        return {name: _tied(value) for name, value in values.items()}
    if isinstance(values, list):
        return [_tied(value) for value in values]
    return _BEFORE_A_UNIT.sub("\u00a0", values) if isinstance(values, str) else values
