"""What stands beside each file of the archive of traces: whose it is, of which recorder files, the head."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import AwareDatetime

from sinkside.desk.cycle_documents import Outcome
from sinkside.documents import Value

EVIDENCE: Final = (
    "The recorder files, under their digests in the house, are the evidence; this is a copy for reckoning. "
    "The maker's current instruction and local policy govern; release by a qualified person."
)


class AskedCycle(Value):
    """A cycle as the house knows it; where this is another later, its samples are written anew.

    `file` is the digest of the recorder file, `in_file` which cycle of it (0: nobody said), `verdict` the
    number of the verdict by which the file was read.
    """

    cycle: str
    program: str
    load: str
    handed_in: AwareDatetime
    file: str
    in_file: str
    verdict: int
    outcome: Outcome


class ArchivedCycle(AskedCycle):
    """The same with what was written of it: rows, the first and last moment, or why there is nothing.

    The moments are by the recorder's clock; none where its day or hour cannot be told for sure.
    """

    rows: int = 0
    first: AwareDatetime | None = None
    last: AwareDatetime | None = None
    unread: str = ""

    def asked(self) -> AskedCycle:
        """What was known of it when it was written."""
        return AskedCycle(**{name: getattr(self, name) for name in AskedCycle.model_fields})


class TraceManifest(Value):
    """One file of the archive: the cycles of one machine that were handed in within one month, in UTC.

    `head` is the head of the department's chain when it was written, `sha256` the digest of the file.
    """

    format: Literal["sinkside/trace-archive-1"] = "sinkside/trace-archive-1"
    department: str
    machine: str
    month: str
    made: AwareDatetime
    head: str
    file: str
    sha256: str
    cycles: tuple[ArchivedCycle, ...]
    evidence: str = EVIDENCE

    @property
    def rows(self) -> int:
        """How many rows the file has."""
        return sum(one.rows for one in self.cycles)
