"""What is kept of a roll-out: who must be ready before a device is first used, and what that takes."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value
from sinkside.route import Station
from sinkside.teach.sign_offs import Level


class RollOut(Value):
    """A device that is to come into use (`sinkside/roll-out-1`).

    Attributes:
        instruction: the id of its instruction.
        revision: the approved revision that is taught.
        device: what the device is called.
        families: the device families that it stands for.
        stations: where people must be able to work with it.
        shifts: whose people must be ready.
        first_use: the day of first use.
        questions: so many of a hundred answers must be right; 0 asks for none.
        level: how far everybody must be at every station.
        closed: why it is closed; empty while it runs.
        by: who did the last step.
        at: when.
    """

    format: Literal["sinkside/roll-out-1"] = "sinkside/roll-out-1"
    instruction: str
    revision: int
    device: str
    families: tuple[str, ...]
    stations: tuple[Station, ...]
    shifts: tuple[str, ...]
    first_use: dt.date
    questions: int = Field(default=80, ge=0, le=100)
    level: Level = Level.supervised
    closed: str = ""
    by: str
    at: AwareDatetime
