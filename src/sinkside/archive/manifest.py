"""What a backup says of itself: the first thing in it.

A backup is one tar file that any program can read, whichever database it was made from:

    manifest.json           this
    tables/NAME.jsonl       a JSON list per row, in the order of the manifest's columns; bytes as Base64
    files/DIGEST            each stored file
"""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime

from sinkside.documents import Value
from sinkside.journal import Head

MANIFEST = "manifest.json"


class TablePart(Value):
    """One table: how many rows, and the SHA-256 of its lines."""

    name: str
    columns: tuple[str, ...]
    binary: tuple[str, ...]
    rows: int
    sha256: str

    @property
    def member(self) -> str:
        """Its name within the backup."""
        return f"tables/{self.name}.jsonl"


class ChainHead(Value):
    """The head of a department's chain, as it is printed too."""

    department: str
    sequence: int
    digest: str
    printed: str

    @classmethod
    def of(cls, department: str, head: Head) -> ChainHead:
        """A head with its printed form; an altered one has none, which must not keep the rest from safety."""
        try:
            printed = str(head)
        except ValueError:
            printed = ""
        return cls(department=department, sequence=head.sequence, digest=head.digest, printed=printed)


class Manifest(Value):
    """A backup: when it was made, of which version, the heads of its chains, and what is in it.

    `faults` names the stored files that were missing or altered when it was made; they are not in it.
    """

    format: Literal["sinkside/backup-1"] = "sinkside/backup-1"
    made: AwareDatetime
    version: str
    heads: tuple[ChainHead, ...]
    tables: tuple[TablePart, ...]
    files: tuple[str, ...]
    faults: tuple[str, ...] = ()
