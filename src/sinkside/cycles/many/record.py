"""What is judged when many records are: each one cycle, in a file of its own or among others in a table."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

#: A value of a column that tells cycles apart.
Key = str | int | None


@dataclass(frozen=True, slots=True)
class Rows:
    """Some rows of a Parquet file, one after another."""

    path: Path
    first: int
    count: int

    @property
    def end(self) -> int:
        """The first row beyond."""
        return self.first + self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a table, or the name of a folder, says that a cycle was; '' where nothing does."""

    cycle: str = ""
    machine: str = ""
    program: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One cycle to be judged.

    Attributes:
        name: What its verdict calls it: the file's name, with the cycle's where a file holds several.
        path: The file.
        said: Which cycle of which machine and program it is said to be.
        rows: Where in a table it stands; none for a file that is one cycle.
        apart: The columns that tell the table's cycles apart, which are no readings.
        key: What stands in the columns that tell cycles apart; only these rows are the cycle's, where cycles
            are written alternately. None where all rows are.
        refused: Why it cannot be judged at all; '' if it can.
    """

    name: str
    path: Path
    said: Said = Said()
    rows: tuple[Rows, ...] = ()
    apart: tuple[str, ...] = ()
    key: tuple[tuple[str, Key], ...] | None = None
    refused: str = ""

    @property
    def size(self) -> int:
        """How many rows are read for it; 0 where that is not known beforehand."""
        return sum(rows.count for rows in self.rows)
