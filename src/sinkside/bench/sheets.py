"""The numbered lines of the paper pack, and the order in which they are entered afterwards."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.errors import BadInput

#: A letter for the form, the number of its sheet, and the line: A1-3, or AB12-10.
_WRITTEN: Final = re.compile(r"^([ABC]?[ABCDEFGHJKLMNPRTUVWXY])(\d{1,2})-(\d{1,2})$")

#: Clocks on the wall and in the house differ by so much at most.
SLACK: Final = timedelta(minutes=5)


@dataclass(frozen=True)
class SheetLine:
    """A line of a sheet of the paper pack: the letter of its form, which sheet of it, and which line."""

    form: str
    sheet: int
    line: int

    @classmethod
    def read(cls, written: str) -> SheetLine:
        """The line that somebody copied from paper; small letters, blanks and long dashes are forgiven.

        Raises:
            BadInput: if there can be no such line.

        >>> SheetLine.read(" b2 – 7").written
        'B2-7'
        """
        plain = "".join(written.upper().split()).replace("\u2013", "-").replace("\u2014", "-")
        found = _WRITTEN.match(plain)
        if found is None or not int(found[2]) or not int(found[3]):
            raise BadInput(
                f"'{written.strip()}' is no line of the paper pack; expected one such as A1-3: letter and "
                "number of the sheet, then the number of the line",
                resource="line",
            )
        return cls(found[1], int(found[2]), int(found[3]))

    @property
    def turn(self) -> tuple[int, str, int, int]:
        """Its place among the lines of a whole pack: forms with one letter come before those with two."""
        return len(self.form), self.form, self.sheet, self.line

    @property
    def written(self) -> str:
        """As it stands on the sheet."""
        return f"{self.form}{self.sheet}-{self.line}"


@dataclass(frozen=True)
class Outage:
    """A time without screens: since when, and until when; none while it lasts."""

    began: datetime
    ended: datetime | None = None

    def refuse_outside(self, at: datetime, *, now: datetime) -> None:
        """Refuse a time that no sheet of this outage can have.

        Raises:
            BadInput: if it lies before the outage, after it, or is still to come.
        """
        last = min(now, self.ended) if self.ended is not None else now
        if not self.began - SLACK <= at <= last + SLACK:
            raise BadInput(
                f"{_when(at)} is not within the time without screens; expected {_when(self.began)} to "
                f"{_when(last)}, the time that stands on the sheet",
                resource="at",
            )


@dataclass(frozen=True)
class Written:
    """One line as it was copied: where it stands, and when what it tells happened."""

    line: SheetLine
    at: datetime


def in_true_order(lines: Iterable[Written]) -> list[Written]:
    """Lines in the order in which things happened; what happened at one minute, in the order of the sheets.

    Raises:
        BadInput: if a line stands there twice with two times.
    """
    once: dict[SheetLine, Written] = {}
    for one in lines:
        before = once.setdefault(one.line, one)
        if before.at != one.at:
            raise BadInput(
                f"line {one.line.written} stands here with {_when(before.at)} and with {_when(one.at)}; "
                "expected it once",
                resource="line",
            )
    return sorted(
        once.values(),
        key=lambda one: (one.at, len(one.line.form), one.line.form, one.line.sheet, one.line.line),
    )


def _when(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}"
