"""A month of deviations from the command line."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sinkside import documents
from sinkside.desk.deviations.kept import READ
from sinkside.desk.deviations.month_paper import month_paper
from sinkside.desk.nobody import nobody_in
from sinkside.desk.ports import Archive


def print_month(archive: Archive, month: str, *, out: Path, now: datetime, department: str = "") -> None:
    """Write the paper of a month's deviations.

    Args:
        archive: where everything is kept.
        month: which, such as 2026-03; this one where nothing is said.
        out: where it is written.
        now: the moment.
        department: whose, by its id; needed where the workspace has several.

    Raises:
        BadInput: if it is no month, has not begun, or the department is none.
        NotForTheFloor: if a sign cannot be shown.
        UnreadableFile: if it cannot be written.
    """
    with archive.unit(writes=False) as unit:
        who = nobody_in(unit, department, READ)
    documents.write_bytes(out, month_paper(archive, who, month, now=now))
