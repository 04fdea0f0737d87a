"""What is kept of indicators: lots, one indicator in one load from placed to read, and what a load held."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value

Kind = Literal["biological", "chemical"]

#: How an indicator stands. `not-valid`: its control did not grow, so that it says nothing.
Outcome = Literal["waiting", "negative", "positive", "not-valid", "passed", "failed"]


class Lot(Value):
    """A lot of indicators (`sinkside/indicator-lot-1`); `hours` are those until a biological one is read."""

    format: Literal["sinkside/indicator-lot-1"] = "sinkside/indicator-lot-1"
    kind: Kind
    name: str
    lot: str
    expires: dt.date
    hours: float | None = Field(default=None, gt=0, le=24 * 14)
    by: str
    at: AwareDatetime

    @property
    def words(self) -> str:
        """Name and lot, for people."""
        return f"{self.name}, lot {self.lot}"


class Indicator(Value):
    """One indicator in one load (`sinkside/indicator-1`).

    Attributes:
        kind: biological or chemical.
        cycle: the load's cycle.
        machine: the id of the machine that ran it.
        machine_name: its name.
        lot: the lot's id.
        lot_words: its name and lot.
        started: when incubation began; when it was looked at, for a chemical one.
        read_from: from when on a biological one may be read as without growth.
        outcome: how it stands.
        control_grew: whether the control of the same lot grew; none where there is none, or not yet.
        note: anything else.
        by: who did the last step.
        at: when.
    """

    format: Literal["sinkside/indicator-1"] = "sinkside/indicator-1"
    kind: Kind
    cycle: str
    machine: str
    machine_name: str
    lot: str
    lot_words: str
    started: AwareDatetime
    read_from: AwareDatetime | None = None
    outcome: Outcome
    control_grew: bool | None = None
    note: str = ""
    by: str
    at: AwareDatetime


class IndicatorsOfLoad(Value):
    """The ids of the indicators of one load, in the order in which they were recorded."""

    format: Literal["sinkside/indicators-1"] = "sinkside/indicators-1"
    ids: tuple[str, ...] = ()


class LoadHeld(Value):
    """What a person says a load held (`sinkside/load-1`)."""

    format: Literal["sinkside/load-1"] = "sinkside/load-1"
    implant: bool
    words: str = ""
    by: str
    at: AwareDatetime
