"""What a handler of an act is told, and what it answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import OpenRun
from sinkside.desk.ports import Unit
from sinkside.errors import BadInput

#: Clocks of two tablets differ by so much at most; what comes later was done later.
_CLOCKS: Final = timedelta(minutes=2)


@dataclass(frozen=True)
class Doing:
    """One act being done: in which transaction, by whom, when it was done, when it is taken in."""

    unit: Unit
    who: Visitor
    at: datetime
    now: datetime
    entered: bool = False
    key: str = ""


@dataclass(frozen=True)
class Said:
    """What was done, in a sentence; the copy that it was done with, and how that stands.

    `beside` is what else it concerns, as events call it: the load, the form, the case. Where it was done with
    no copy, the first of them is what the record book finds it by.
    """

    words: str
    copy: str = ""
    state: str = ""
    beside: tuple[str, ...] = ()


Handler = Callable[[Doing, Any], Said]


def in_order(opened: OpenRun, doing: Doing) -> datetime:
    """When an act on a run counts: nothing is done before the last thing, unless entered from paper.

    Raises:
        BadInput: if it was done clearly before.
    """
    last = opened.run.last_at
    if doing.at >= last or doing.entered:
        return doing.at
    if last - doing.at <= _CLOCKS:
        return last
    raise BadInput(
        f"{opened.plan.name}: something was done with it later than this; look at it first", resource="at"
    )
