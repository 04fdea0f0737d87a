"""Acts with marked instruments: each has a code of its own, belongs to one set, and may have a mate."""

from __future__ import annotations

from typing import Literal

from sinkside.bench.acts import ActOnCopy, Code


class PutIn(ActOnCopy):
    """Put a marked instrument, by its code, into the set that is being packed."""

    act: Literal["put-in"] = "put-in"
    piece: Code


OfPieces = PutIn
