"""What is kept beside a set: which texts of its devices somebody had before them when they kept or saw it."""

from __future__ import annotations

from typing import Literal

from sinkside.documents import Value


class TextSeen(Value):
    """An instruction as it was approved then: its id, the revision and its digest; 0 where none was."""

    instruction: str
    revision: int = 0
    digest: str = ""


class SetLook(Value):
    """That somebody looked at a revision of a set with these texts (`sinkside/set-look-1`).

    `unknown` are devices of which no text was known then, as the set names them.
    """

    format: Literal["sinkside/set-look-1"] = "sinkside/set-look-1"
    revision: int
    texts: tuple[TextSeen, ...] = ()
    unknown: tuple[str, ...] = ()
