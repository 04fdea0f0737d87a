"""What looks like a figure in a recorder's line: numbers, times, dates, numbers with their unit."""

from __future__ import annotations

import re
from typing import Final

from sinkside.cycles.reading.spelling import UnitSaid, unit_written

_FIGURE: Final = re.compile(
    r"^[+-]?[.,]?\d[\d.,:'’/\-\u00a0 \u202fTZ+hms_\"]*"
    r"([eE][+-]?\d+)?(\s?[ap]\.?\s?m\.?)?$",
    re.IGNORECASE,
)
_NAMED_DATE: Final = re.compile(
    r"^(?:[^\W\d_]{2,9}[.,]* )?\d{1,4}[-. /]{0,2}[^\W\d_]{3,9}[-. /,]{1,2}\d{2,4}"
    r"(?:[ T,_]+\d{1,2}[:.h]\d\d.*)?$"
)
_WITH_UNIT: Final = re.compile(r"^[+-]?(?:\d[\d.,' \u00a0]*|[.,]\d+)\s*([^\d\s.,'+-].*)$")


def is_figure(cell: str) -> bool:
    """Whether a cell holds a number, a time or a date.

    >>> [is_figure(cell) for cell in ("132,4", "04-Mar-2026 07:12:33", "132.4 °C", "7:12 p. m.", "Phase 3")]
    [True, True, True, True, False]
    """
    if not cell:
        return False
    if _FIGURE.match(cell) or _NAMED_DATE.match(cell):
        return True
    return unit_of_figure(cell) is not None


def unit_of_figure(cell: str) -> tuple[UnitSaid, str] | None:
    """The unit behind a number in a cell, and how it is written there.

    >>> unit_of_figure("132.4 °C")[1], unit_of_figure("132.4") is None
    ('°C', True)
    """
    found = _WITH_UNIT.match(cell)
    said = unit_written(found[1]) if found else None
    return (said, found[1].strip()) if said and found else None
