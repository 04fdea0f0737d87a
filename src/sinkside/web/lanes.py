"""Lanes: how many requests of each kind one process works on at once, so that none waits for another kind.

Pages are work for the processor, which threads of a process share: of many at once each is late, and a
writer among them keeps other writers waiting. Acts wait for each other's writing and for the disk; files and
pictures of pages wait for the disk or for a child.
"""

from __future__ import annotations

import contextlib
import functools
import sys
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from typing import Final, Literal, ParamSpec, TypeVar

import anyio.to_thread
from anyio import CapacityLimiter
from fastapi import FastAPI, Request

Lane = Literal["acting", "fetching"]
P = ParamSpec("P")
T = TypeVar("T")

_LOOKING_AT_ONCE: Final = 2
_ACTING_AT_ONCE: Final = 3
_FETCHING_AT_ONCE: Final = 4

#: How long a thread computes before it lets another one that waits go on. A writer needs the processor again
#: after each statement; at Python's 5 ms it would hold its turn for ten times as long as it works.
_SWITCH_S: Final = 0.001


@dataclass(frozen=True)
class Lanes:
    """The lanes of one application beside the framework's own, which pages take."""

    acting: CapacityLimiter = field(default_factory=lambda: CapacityLimiter(_ACTING_AT_ONCE))
    fetching: CapacityLimiter = field(default_factory=lambda: CapacityLimiter(_FETCHING_AT_ONCE))


@contextlib.asynccontextmanager
async def shared_processor(_app: FastAPI) -> AsyncIterator[None]:
    """Share the processor of this process between lanes and threads, for as long as an application runs."""
    anyio.to_thread.current_default_thread_limiter().total_tokens = _LOOKING_AT_ONCE
    before = sys.getswitchinterval()
    sys.setswitchinterval(_SWITCH_S)
    try:
        yield
    finally:
        sys.setswitchinterval(before)


async def in_lane(request: Request, lane: Lane, work: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
    """What some work gives, done in a thread once the lane has room."""
    limiter: CapacityLimiter = getattr(request.app.state.lanes, lane)
    return await anyio.to_thread.run_sync(functools.partial(work, *given, **named), limiter=limiter)
