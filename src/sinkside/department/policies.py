"""What a department has settled for itself, as data: how heavily something weighs here, and why."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from sinkside.documents import Value


class Matter(StrEnum):
    """What can be settled.

    `skill-at-every-shift`: somebody skilled is on at every shift, and not only at some.
    `packaging-instruction`: of packaging its own instruction is on file, with its revision.
    """

    skill_at_every_shift = "skill-at-every-shift"
    packaging_instruction = "packaging-instruction"


class Policy(Value):
    """How heavily it weighs here where a matter is not as it should be, and by whose word."""

    matter: Matter
    level: Literal["note", "concern"]
    reason: str
