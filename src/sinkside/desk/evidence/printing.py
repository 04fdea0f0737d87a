"""An evidence file from the command line: nobody is signed in there, and the record book says so."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sinkside import documents
from sinkside.desk.evidence.gathering import READ, run_of_code
from sinkside.desk.evidence.making import MAKE, MadeFile, make_evidence
from sinkside.desk.nobody import nobody_in
from sinkside.desk.ports import Archive


def print_evidence(
    archive: Archive, code: str, *, out: Path, now: datetime, department: str = ""
) -> MadeFile:
    """Make the evidence file of the last run of the set that a code belongs to, and write it.

    Args:
        archive: where everything is kept.
        code: of the pack.
        out: where it is written.
        now: the moment.
        department: whose, by its id; needed where the workspace has several.

    Raises:
        BadInput: if there is no such department, or several and none is named.
        NotThere: if no set there has the code, or it was never on a run.
        NotForTheFloor: if a sign cannot be shown.
        UnreadableFile: if it cannot be written.
    """
    with archive.unit(writes=False) as unit:
        who = nobody_in(unit, department, READ, MAKE)
        run = run_of_code(unit, who, code)
    file = make_evidence(archive, who, run, now=now)
    documents.write_bytes(out, file.pdf)
    return file
