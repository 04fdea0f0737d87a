"""What travels together (`sinkside/set-1`): devices with their counts, and what they lie in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from sinkside.documents import Value
from sinkside.quantities import Quantity


class Member(Value):
    """A device of the set; `instruction` names the instruction's file or device."""

    instruction: str
    count: int = Field(default=1, ge=1)
    holder: str | None = None


class SetDocument(Value):
    """A set: its name, its members, what it lies in, and its mass when weighed."""

    format: Literal["sinkside/set-1"] = "sinkside/set-1"
    name: str
    members: tuple[Member, ...]
    packaging: str | None = None
    mass: Quantity | None = None

    @model_validator(mode="after")
    def _has_members(self) -> SetDocument:
        if not self.members:
            raise ValueError("a set has at least one member")
        return self
