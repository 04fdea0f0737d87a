"""What is kept of a solution at the sink: of what it was made, by whom, and until when it may be used."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime

from sinkside.documents import Value
from sinkside.findings import Level
from sinkside.quantities import Quantity


class Remark(Value):
    """What spoke against a solution without refusing it: how much it weighs, and one sentence."""

    level: Level
    message: str


class SinkSolution(Value):
    """One solution at the sink (`sinkside/sink-solution-1`).

    Attributes:
        chemical: the id of what was dosed.
        name: what it is called.
        lot: the lot on its container.
        lot_until: the last day on which that lot may be used; none where nobody said it.
        water: how much water.
        dose: how it was dosed.
        amount: how much of the chemical that takes.
        temperature: of the water.
        point: the id of the water point; empty where it is none of the department's.
        point_name: what that is called.
        hardness: of the water, as calcium carbonate; none where nobody knows it.
        remarks: what spoke against it without refusing it.
        made: when it was made up.
        discard_by: until when it may be used.
        by: who made it up.
        discarded: when it was discarded; none while it is in use.
        discarded_by: who discarded it.
        why: why it was discarded, where somebody said so.
    """

    format: Literal["sinkside/sink-solution-1"] = "sinkside/sink-solution-1"
    chemical: str
    name: str
    lot: str
    lot_until: str = ""
    water: Quantity
    dose: Quantity
    amount: Quantity
    temperature: Quantity | None = None
    point: str = ""
    point_name: str = ""
    hardness: Quantity | None = None
    remarks: tuple[Remark, ...] = ()
    made: AwareDatetime
    discard_by: AwareDatetime
    by: str
    discarded: AwareDatetime | None = None
    discarded_by: str = ""
    why: str = ""
