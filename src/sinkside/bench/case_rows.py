"""Cases as rows of a spreadsheet: of each its number, place, time and sets; other columns are never read."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any, Final

from sinkside.documents import Value, decoded
from sinkside.errors import BadInput, UnreadableFile

MOST_CASES: Final = 2_000

#: The columns that are read, by the headings that people give them, in small letters.
_HEADINGS: Final[Mapping[str, str]] = {
    **dict.fromkeys(
        ("case", "case number", "number", "no.", "fall", "fallnummer", "numéro", "número"), "case"
    ),
    **dict.fromkeys(("room", "theatre", "or", "op", "saal", "salle", "sala"), "room"),
    **dict.fromkeys(("date", "day", "datum", "tag", "jour", "fecha", "día"), "date"),
    **dict.fromkeys(("begins", "begin", "start", "time", "from", "beginn", "début", "inicio"), "begins"),
    **dict.fromkeys(("ends", "end", "until", "to", "ende", "fin"), "ends"),
    **dict.fromkeys(("sets", "set", "trays", "tray", "siebe", "sieb", "plateaux", "cajas"), "sets"),
}
_READ: Final = "case number, room, date, begin, end and sets"
_STAMPS: Final = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S")
_DAYS: Final = ("%Y-%m-%d", "%d.%m.%Y")
_CLOCKS: Final = ("%H:%M", "%H:%M:%S")
_BETWEEN_SETS: Final = re.compile(r"[;,|\n]")
_DELIMITERS: Final = ";,\t"


class Raw(Value):
    """A row or an event before it is judged: every field as it was written.

    `clock` is the begin as the department's clock shows it, where the file says no zone.
    """

    where: str
    number: str
    room: str = ""
    begins: datetime | None = None
    ends: datetime | None = None
    sets: tuple[str, ...] = ()
    cancelled: bool = False
    fault: str = ""


def csv_rows(data: bytes, name: str) -> Iterator[Sequence[Any]]:
    """The rows of a table as text, whichever of semicolon, comma and tab parts its first line.

    Raises:
        UnreadableFile: if it is no such table.
    """
    text = decoded(data, resource=name, expected="a table as text")
    first = text.split("\n", 1)[0]
    delimiter = max(_DELIMITERS, key=first.count)
    try:
        yield from csv.reader(io.StringIO(text), delimiter=delimiter)
    except csv.Error as error:
        raise UnreadableFile(f"this is no table of text ({error})", resource=name) from error


def xlsx_rows(data: bytes, name: str) -> Iterator[Sequence[Any]]:
    """The rows of the first sheet of a workbook.

    Raises:
        UnreadableFile: if it is no spreadsheet.
    """
    from sinkside.department.spreadsheet.reading import open_workbook

    workbook = open_workbook(data, name)
    yield from workbook.worksheets[0].iter_rows(values_only=True, max_row=MOST_CASES + 2)


def raw_rows(table: Iterator[Sequence[Any]], left_out: list[str], name: str) -> Iterator[Raw]:
    """The rows under the headings before they are judged; which columns were left out is said in `left_out`.

    Raises:
        UnreadableFile: if there is no column of case numbers, or none of begins.
    """
    heads = [_HEADINGS.get(_text(cell).casefold(), "") for cell in next(table, ())]
    if "case" not in heads or not {"date", "begins"} & set(heads):
        raise UnreadableFile(
            "expected a first row of headings, with 'case number' and 'begins' among them", resource=name
        )
    others = [_column(index) for index, head in enumerate(heads) if not head]
    if others:
        left_out.append(f"Left out unread: column {', '.join(others)}. Only {_READ} are read.")
    return _rows_under(heads, table)


def _rows_under(heads: Sequence[str], table: Iterator[Sequence[Any]]) -> Iterator[Raw]:
    for number, cells in enumerate(itertools.islice(table, MOST_CASES + 1), start=2):
        given = {head: cell for head, cell in zip(heads, cells, strict=False) if head and _text(cell)}
        if given:
            yield _raw_row(f"row {number}", given)


def _raw_row(where: str, given: Mapping[str, Any]) -> Raw:
    sets = tuple(_BETWEEN_SETS.split(str(given.get("sets", ""))))
    raw = Raw(where=where, number=_text(given.get("case")), room=_text(given.get("room")), sets=sets)
    try:
        begins = _stamp(given.get("begins"), given.get("date"))
        ends = (
            _stamp(given.get("ends"), given.get("date") or given.get("begins")) if "ends" in given else None
        )
    except BadInput as error:
        return raw.model_copy(update={"fault": error.message})
    return raw.model_copy(update={"begins": begins, "ends": ends})


def _stamp(cell: Any, day: Any) -> datetime | None:
    """A day with a time, from one cell or from two.

    Raises:
        BadInput: if there is no reading them; the words are not repeated.
    """
    if isinstance(cell, datetime):
        return cell
    if (whole := _parsed(_text(cell), _STAMPS)) is not None:
        return whole
    clock = cell if isinstance(cell, time) else _clock(_text(cell))
    on = day if isinstance(day, date) else _parsed(_text(day)[:10], _DAYS)
    if clock is None or on is None:
        raise BadInput("no day and time that can be read; expected such as 2026-12-02 07:30")
    return datetime.combine(on.date() if isinstance(on, datetime) else on, clock)


def _clock(text: str) -> time | None:
    found = _parsed(text, _CLOCKS)
    return found.time() if found else None


def _parsed(text: str, shapes: Sequence[str]) -> datetime | None:
    for shape in shapes:
        try:
            return datetime.strptime(text, shape)  # noqa: DTZ007 # the department's clock; its zone comes later
        except ValueError:
            continue
    return None


def _text(cell: Any) -> str:
    """What a cell shows; a whole number without a decimal point."""
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return " ".join(str(cell).split())


def _column(index: int) -> str:
    """What a spreadsheet calls a column.

    >>> _column(0), _column(25), _column(26)
    ('A', 'Z', 'AA')
    """
    letters = ""
    number = index + 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
