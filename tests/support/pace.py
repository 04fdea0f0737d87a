"""Seconds as a quiet machine counts them: what a test takes, beside a fixed piece of work.

The bars on time are those of a quiet machine. Where others use the machine too, or its clock runs
slower, the fixed work beside the count takes longer by the same share, and the count is divided by it;
a quicker machine gets nothing for it.
"""

from __future__ import annotations

import gc
import re
import time
from collections.abc import Callable
from typing import Final

#: What the fixed work takes on the machine, quiet, on which the bars were set.
QUIET_S: Final = 0.055
_ROUNDS: Final = 60_000


def slowness(clock: Callable[[], float] = time.process_time) -> float:
    """How many times as long as on the quiet machine the fixed work takes now; never below 1."""
    begun = clock()
    seen: dict[str, int] = {}
    for number in range(_ROUNDS):
        words = f"{number % 997} mL"
        seen[words] = seen.get(words, 0) + len(words.split())
        re.match(r"(\d+)\s+(\w+)", words)
    return max(1.0, (clock() - begun) / QUIET_S)


def processor_s(work: Callable[[], object]) -> float:
    """The processor time of one piece of work, without searching what other tests left in memory."""
    gc.collect()
    gc.freeze()
    begun = time.process_time()
    try:
        work()
        return time.process_time() - begun
    finally:
        gc.unfreeze()


def quickest_s(
    timed: Callable[[], float], *, counts: int = 3, clock: Callable[[], float] = time.process_time
) -> float:
    """The shortest of several counts, each in seconds of the quiet machine."""
    taken = []
    for _ in range(counts):
        before = slowness(clock)
        seconds = timed()
        taken.append(seconds / ((before + slowness(clock)) / 2))
    return min(taken)


def quiet_s(work: Callable[[], object], *, counts: int = 3) -> float:
    """The shortest processor time of work that may be done again, in seconds of the quiet machine."""
    return quickest_s(lambda: processor_s(work), counts=counts)
