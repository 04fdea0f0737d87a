"""Which machine and program a department last chose for a recorder, known again by the head of its files."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk.ports import Unit
from sinkside.records import Row

KIND: Final = "recorder-head"

_SEARCHED_BYTES: Final = 8192
_MOST_LINES: Final = 60
_BODY_LINE = re.compile(r"\s*[\"']?[-+]?\d")


@dataclass(frozen=True)
class Remembered:
    """A machine's id and the name of its program."""

    machine: str
    program: str


def head_digest(data: bytes) -> str | None:
    r"""What a recorder is known by: the words above its first row of numbers; none if there are none.

    Numbers are left out, for a head often carries the date and the number of the cycle.

    >>> head_digest(b"Cycle 12\ntime_s;T1\n0;20") == head_digest(b"Cycle 13\ntime_s;T1\n0;21")
    True
    >>> head_digest(b"0;20\n1;21") is None
    True
    """
    text = data[:_SEARCHED_BYTES].decode("latin-1")
    words: list[str] = []
    for line in text.splitlines()[:_MOST_LINES]:
        if _BODY_LINE.match(line):
            break
        words += re.findall(r"[^\W\d_]+|[;,\t]", line)
    said = " ".join(words)
    return hashlib.sha256(said.encode()).hexdigest() if re.search(r"\w", said) else None


def remembered(unit: Unit, department: str, data: bytes) -> Remembered | None:
    """What a department last chose for files with such a head."""
    digest = head_digest(data)
    row = unit.rows.get(KIND, _row_id(department, digest)) if digest else None
    return Remembered(str(row.fields["machine"]), str(row.fields["program"])) if row else None


def remember(unit: Unit, department: str, data: bytes, machine: str, program: str, *, now: datetime) -> None:
    """Remember what a department chose for files with such a head."""
    digest = head_digest(data)
    if digest is not None:
        fields = {"machine": machine, "program": program}
        unit.rows.put(
            Row(KIND, _row_id(department, digest), department, "known", machine, now, fields=fields)
        )


def _row_id(department: str, digest: str) -> str:
    return f"{department}:{digest}"
