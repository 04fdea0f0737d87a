"""What a handler of an act is told, and what it answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit


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
    """What was done, in a sentence; the copy that it was done with, and how that stands."""

    words: str
    copy: str = ""
    state: str = ""


Handler = Callable[[Doing, Any], Said]
