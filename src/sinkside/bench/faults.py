"""Kinds of deviations as data: what each is called, where it is found and may begin, what is asked of it."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources
from typing import Literal

from pydantic import Field

from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.instruction import Stage

#: What is asked of a deviation before it is closed.
Asks = Literal["measures", "effect"]


class Fault(Value):
    """One kind of deviation.

    Attributes:
        words: what it is called.
        found: the stages where it is mostly found, the likeliest first.
        began: the stages where it may have begun.
        asks: whether what was done at once is enough, or its cause, correction and effect are asked for.
        machine: at the loads of which machines it is counted; of none where it is empty.
    """

    words: str
    found: tuple[Stage, ...] = Field(min_length=1)
    began: tuple[Stage, ...] = Field(min_length=1)
    asks: Asks
    machine: Literal["", "washer", "sterilizer"] = ""

    @property
    def began_at(self) -> Stage | None:
        """Where it must have begun, if there is one stage only."""
        return self.began[0] if len(self.began) == 1 else None


class Due(Value):
    """After how many days each step is due; a correction may be given another day."""

    measures_days: int = Field(ge=0)
    cause_days: int = Field(ge=0)
    correct_days: int = Field(ge=1)
    effect_days: int = Field(ge=1)
    source: str


class DeviationPolicy(Value):
    """Every kind of deviation by its id, and when its steps are due."""

    due: Due
    faults: dict[str, Fault]


@functools.cache
def policy() -> DeviationPolicy:
    """The policy that comes with the program.

    >>> policy().faults["wet-pack"].words
    'Wet pack'
    """
    file = resources.files("sinkside.bench").joinpath("faults.toml")
    return DeviationPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def fault(kind: str) -> Fault:
    """A kind of deviation by its id.

    Raises:
        BadInput: if there is none of that id.
    """
    known = policy().faults.get(kind)
    if known is None:
        raise BadInput(f"expected one of {', '.join(policy().faults)}", resource="fault")
    return known
