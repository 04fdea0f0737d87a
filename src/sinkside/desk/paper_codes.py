"""The code on a paper: short enough to type, the same for the same paper, and telling nothing by itself."""

from __future__ import annotations

import hashlib
from typing import Final

from sinkside.desk.paper_documents import PaperPrinted
from sinkside.documents import to_json

#: Digits and small letters without those that are read as others (i, l, o, u).
_SIGNS: Final = "0123456789abcdefghjkmnpqrstvwxyz"

#: Fifty bits: among a million papers of a house two meet once in a thousand houses or so.
LENGTH: Final = 10


def code_of(department: str, paper: PaperPrinted) -> str:
    """The code of a paper in a department.

    >>> from sinkside.desk.paper_documents import PaperSource
    >>> of = PaperSource(noun="instruction", id="i-1", revision=1, digest="ab")
    >>> len(code_of("north", PaperPrinted(kind="poster", title="Forceps", sources=(of,), size="a3")))
    10
    """
    said = f"{department}\n{to_json(paper, compact=True)}".encode()
    number = int.from_bytes(hashlib.sha256(said).digest(), "big")
    return "".join(_SIGNS[(number >> 5 * place) & 31] for place in range(LENGTH))
