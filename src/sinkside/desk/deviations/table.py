"""The deviations that are sought as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.deviations import STANDING_WORDS, Standing
from sinkside.bench.faults import policy
from sinkside.desk.access import Visitor, require
from sinkside.desk.deviations.counting import Sought, rows_of
from sinkside.desk.deviations.kept import READ
from sinkside.desk.ports import Archive
from sinkside.records import Row

_FIELDS: Final = ("found", "began", "set", "code", "device", "machine_name", "load", "case", "delay")
_HEAD: Final = (
    "deviation",
    "found on",
    "kind",
    "what",
    "standing",
    "next",
    "found at",
    "began at",
    "set",
    "code",
    "device",
    "machine",
    "load",
    "case",
    "delay in min",
)
#: A spreadsheet would run what begins so.
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def as_csv(archive: Archive, who: Visitor, sought: Sought) -> bytes:
    """Every deviation that is sought, the oldest first; who found it is not in it.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        rows = sorted(rows_of(unit, who, sought), key=lambda row: (row.updated, row.id))
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow(_HEAD)
    writer.writerows([_plain(one) for one in _line(row, who.zone)] for row in rows)
    return table.getvalue().encode()


def _line(row: Row, zone: str) -> tuple[object, ...]:
    return (
        row.id,
        row.updated.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M"),
        policy().faults[str(row.fields["fault"])].words,
        row.title,
        STANDING_WORDS[Standing(row.state)],
        row.fields["next"],
        *(row.fields[name] for name in _FIELDS),
    )


def _plain(value: object) -> str:
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
