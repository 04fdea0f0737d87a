"""What is kept beside a set: which texts somebody had before them when they saw it, what its things are."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import Literal

from pydantic import model_validator

from sinkside.documents import Value
from sinkside.moisture import OwnAssumption, Packed, Thing, Things


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


class SetThings(Value):
    """What of a set takes up heat, where neither its list nor its texts say it (`sinkside/set-things-1`).

    `of_members` go by the names of devices and their parts, and are passed over once none is called so;
    `beside` are trays, mats and holders.
    """

    format: Literal["sinkside/set-things-1"] = "sinkside/set-things-1"
    of_members: tuple[Thing, ...] = ()
    beside: tuple[Thing, ...] = ()
    packaging: Packed | None = None
    assumptions: tuple[OwnAssumption, ...] = ()

    @model_validator(mode="after")
    def _fits(self) -> SetThings:
        self.known({thing.name for thing in self.of_members})
        return self

    def known(self, names: AbstractSet[str]) -> Things:
        """The things as an estimate takes them, for a set whose devices and parts are called so."""
        members = tuple(thing for thing in self.of_members if thing.name in names)
        return Things(things=(*members, *self.beside), packaging=self.packaging, assumptions=self.assumptions)
