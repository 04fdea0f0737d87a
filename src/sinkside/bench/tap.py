"""A tap: one act at a bench as it is handed in, and what came of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.every_act import Act
from sinkside.documents import Value


class Tap(Value):
    """One act (`sinkside/tap-1`): its key makes a repeat harmless, its number keeps the order of a queue.

    Attributes:
        key: made by whoever taps, once for this act.
        bench: the queue that it stands in, by the tablet's own random id; empty where it stands in none.
        number: its turn in that queue, from 1; 0 where it stands in none.
        at: when it was done, by the tablet's own clock.
        entered: whether it is entered from paper afterwards.
        act: what was done.
    """

    key: Annotated[str, Field(min_length=8, max_length=80, pattern=r"^[A-Za-z0-9._:-]+$")]
    bench: Annotated[str, Field(max_length=80, pattern=r"^[A-Za-z0-9._:-]*$")] = ""
    number: Annotated[int, Field(ge=0, le=2**31 - 1)] = 0
    at: AwareDatetime
    entered: bool = False
    act: Annotated[Act, Field(discriminator="act")]


class Tapped(Value):
    """What came of a tap: done or refused, in a sentence; how the copy stands after it."""

    key: str
    outcome: Literal["done", "refused"]
    said: str
    copy_id: str = ""
    state: str = ""
    repeated: bool = False
