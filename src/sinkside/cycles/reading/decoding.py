"""The bytes of a recorder's file as lines of text, whatever their encoding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.documents import decoded

_BLANK: Final = " ;,\t|\x0c\x1a"
_HEAD_LINES: Final = 40


@dataclass(frozen=True)
class Lines:
    """The lines that hold something, and their numbers in the file, counted from 1."""

    texts: list[str]
    numbers: list[int]

    def part(self, first: int, end: int | None = None) -> Lines:
        """Some of them."""
        return Lines(self.texts[first:end], self.numbers[first:end])


def lines_of(data: bytes, *, resource: str) -> Lines:
    r"""The lines of a file that hold anything but delimiters.

    Raises:
        UnreadableFile: if it is no text.

    >>> lines_of(b"a,b\r\n,,\r\n1,2", resource="x").numbers
    [1, 3]
    """
    every = decoded(data, resource=resource, expected="delimited text or Parquet").splitlines()
    numbers = list(range(1, len(every) + 1))
    if any(text.count('"') % 2 for text in every[:_HEAD_LINES]):
        _join_broken(every, numbers)
    # Most lines begin with what is no blank, and need no more of a look.
    filled = [line for line in every if line and (line[0] not in _BLANK or line.strip(_BLANK))]
    if len(filled) < len(every):
        numbers = [number for number, line in zip(numbers, every, strict=True) if line.strip(_BLANK)]
    return Lines(filled, numbers)


def _join_broken(every: list[str], numbers: list[int]) -> None:
    """Join the heads that spreadsheets break within their quotes; further down a lone quote is a fault."""
    at = 0
    while at < min(_HEAD_LINES, len(every) - 1):
        if every[at].count('"') % 2 and every[at + 1].count('"') % 2:
            every[at : at + 2] = [f"{every[at]} {every[at + 1]}"]
            del numbers[at + 1]
        at += 1
