"""What goes past the ordinary way of a load, each by a loud form: an early implant, immediate use."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sinkside.bench.acts import ActOnCopy
from sinkside.bench.case_number import CaseNumber
from sinkside.bench.store_acts import Explained


class EarlyImplant(ActOnCopy):
    """Let a set with an implant out before its biological result: by whose authority, for which case, why."""

    act: Literal["early-implant"] = "early-implant"
    case: CaseNumber
    authority: Explained
    reason: Explained


class ImmediateUse(ActOnCopy):
    """Process an open, clean set for use at once: in which machine and program, for which case, why."""

    act: Literal["immediate-use"] = "immediate-use"
    machine: Annotated[str, Field(min_length=1, max_length=120)]
    program: Annotated[str, Field(min_length=1, max_length=120)]
    case: CaseNumber
    authority: Explained
    reason: Explained


OfExceptions = EarlyImplant | ImmediateUse
