"""What is kept of an evidence file that was made: of what, by whom, and everything that it said."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value


class EvidenceMade(Value):
    """One evidence file (`sinkside/evidence-1`).

    Attributes:
        of: whether it is of a run or of a load.
        id: which.
        code: of the set; empty for a load.
        title: of the file.
        head: the head of the chain that is printed on it.
        file: the digest of its bytes.
        file_name: what it is called when it is saved.
        gaps: how many things were not recorded.
        said: everything that it said, a line each, people by their pseudonyms.
        by: who made it.
        at: when.
    """

    format: Literal["sinkside/evidence-1"] = "sinkside/evidence-1"
    of: Literal["run", "load"]
    id: str
    code: str = ""
    title: str
    head: str
    file: str
    file_name: str
    gaps: int = Field(ge=0)
    said: tuple[str, ...] = ()
    by: str
    at: AwareDatetime
