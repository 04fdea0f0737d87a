"""Labels as PDF, one label a page, in the size of the label."""

from __future__ import annotations

import re
from typing import Any, Final

from sinkside.aids.labels.request import LabelRequest, LabelSize, SetLabel
from sinkside.aids.labels.symbol import Symbol, gs1_symbol, plain_symbol
from sinkside.aids.papers.setting import sheets, typeset
from sinkside.errors import NotForTheFloor
from sinkside.language import REFERENCE_LANGUAGE

#: How large the type is, from what is tried first to the least that is read at arm's length on a pack.
_SCALES: Final = (1.25, 1.12, 1.0, 0.9)

#: How wide a square each size leaves for the code (mm).
_ROOM_FOR_THE_CODE: Final = {LabelSize.small: 13.0, LabelSize.middle: 22.0, LabelSize.large: 26.0}

#: A label says what it is not, because a pack with a label looks finished.
_NO_RELEASE: Final = "This label releases nothing: a qualified person releases the load."

#: On the smallest label only this much is left beside the name and the number.
_ROWS_ON_THE_SMALLEST: Final = 2

_BEFORE_A_UNIT: Final = re.compile(r"(?<=\d) (?=°|[a-z]{1,3}\b)")


def labels_pdf(request: LabelRequest) -> bytes:
    """Labels, in the largest type with which everything fits.

    The same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown, or the words do not fit the size.
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


def _content(request: LabelRequest, symbol: Symbol) -> dict[str, Any]:
    of_set = isinstance(request.label, SetLabel)
    rows = list(_rows(request))
    width, height = request.size.mm
    is_small = request.size is LabelSize.small
    return {
        "language": REFERENCE_LANGUAGE,
        "kind": "set" if of_set else "load",
        "title": request.label.name if isinstance(request.label, SetLabel) else f"Load {request.label.load}",
        "above": request.label.department if isinstance(request.label, SetLabel) else request.label.machine,
        "rows": rows[:_ROWS_ON_THE_SMALLEST] if is_small else rows,
        "number": _readable(request, symbol),
        "foot": "" if is_small else _NO_RELEASE,
        "width": width,
        "height": height,
        "copies": request.copies,
        "code": {
            "svg": symbol.svg(),
            "side": symbol.side_mm(_ROOM_FOR_THE_CODE[request.size]),
            "alt": f"DataMatrix code: {symbol.read}",
        },
    }


def _readable(request: LabelRequest, symbol: Symbol) -> list[str]:
    """The line that people read, one element a piece, so that it breaks between elements only."""
    if not request.number.elements:
        return [symbol.read]
    return [f"({element.identifier})\u00a0{element.value}" for element in request.number.elements]


def _rows(request: LabelRequest) -> list[dict[str, str]]:
    """What stands beside the code, most needed first; an empty value is a line to write on."""
    label = request.label
    if isinstance(label, SetLabel):
        pieces = f"{label.pieces} piece{'' if label.pieces == 1 else 's'}"
        rows = [("Contents", f"{pieces}, {label.mass}" if label.mass else pieces), ("Load", label.load)]
        rows += [("Use by", label.use_by)] if label.use_by else []
        rows += [("Cycle", label.cycle)] if label.cycle else []
        packed = " · ".join(filter(None, (label.packed_on, label.packed_by)))
        return [{"name": name, "value": value} for name, value in [*rows, ("Packed", packed)]]
    held = f"{len(label.sets)}: {', '.join(label.sets)}" if label.sets else ""
    told = [("Program", label.program), ("Started", label.started), ("Loaded by", label.by), ("Sets", held)]
    return [{"name": name, "value": value} for name, value in [*told, ("Released by", "")]]


def _tied(values: Any) -> Any:
    """Plain values in which no figure parts from its unit at the end of a line."""
    if isinstance(values, dict):
        return {name: _tied(value) for name, value in values.items()}
    if isinstance(values, list):
        return [_tied(value) for value in values]
    return _BEFORE_A_UNIT.sub("\u00a0", values) if isinstance(values, str) else values
