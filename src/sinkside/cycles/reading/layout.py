"""A recorder file as heads and columns, whatever its layout was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True)
class Table:
    """Heads and columns; a column is text, or already numbers or dates where the file is typed.

    Attributes:
        heads: One for each column.
        columns: All of one length.
        preamble: The lines above the head.
        sections: Rows where the head stands again, each with its line in the file.
        lines: The line of each row in the file; empty where the file has no lines.
        inferred: What the file does not say of its layout and was told from something else.
    """

    heads: tuple[str, ...]
    columns: tuple[pl.Series, ...]
    preamble: tuple[str, ...] = ()
    sections: tuple[tuple[int, int], ...] = ()
    lines: tuple[int, ...] = ()
    inferred: tuple[str, ...] = ()

    def where(self, row: int) -> str:
        """Where a row stands, for people.

        >>> Table((), (), lines=(4, 5)).where(1), Table((), ()).where(1)
        ('line 5', 'row 2')
        """
        return f"line {self.lines[row]}" if row < len(self.lines) else f"row {row + 1}"
