"""One cell of the spreadsheet as a plain value, and a plain value as one cell."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any, Final

from sinkside.department.spreadsheet.columns import Column, ColumnKind

_YES: Final = {"yes", "true", "1", "x"}
_NO: Final = {"no", "false", "0", "-"}

_EXPECTED: Final[dict[ColumnKind, str]] = {
    "whole": "a whole number",
    "number": "a number",
    "yes": "yes or no",
}


class NotRead(ValueError):
    """A cell that holds something else than its column does; says what was expected."""


def read_cell(column: Column, cell: Any) -> Any:
    """The plain value of a cell that is not empty.

    Raises:
        NotRead: if the cell holds something else than the column does.
    """
    text = _text(cell)
    if column.kind == "list":
        return [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if column.kind == "yes":
        return _yes(text)
    if column.kind in {"whole", "number"}:
        return _number(column.kind, text)
    return text


def _text(cell: Any) -> str:
    """What a cell shows: a date as its day, a time as a clock, a whole number without a decimal point."""
    if isinstance(cell, datetime | date):
        return cell.isoformat()[:10]
    if isinstance(cell, time):
        return cell.isoformat("minutes")
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.12g}"
    return " ".join(str(cell).split())


def _yes(text: str) -> bool:
    folded = text.casefold()
    if folded in _YES | _NO:
        return folded in _YES
    raise NotRead(f"'{text}'; expected {_EXPECTED['yes']}")


def _number(kind: ColumnKind, text: str) -> float | int:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise NotRead(f"'{text}'; expected {_EXPECTED[kind]}") from None
    if kind == "number":
        return number
    if not number.is_integer():
        raise NotRead(f"'{text}'; expected {_EXPECTED[kind]}")
    return int(number)


def write_cell(value: Any) -> str | float | int | None:
    """A plain value as a cell holds it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(str(part) for part in value)
    if value is None or isinstance(value, str | float | int):
        return value
    return str(value)
