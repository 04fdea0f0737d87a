"""Work for other processes, which must find it by its name."""

from __future__ import annotations

import os
import signal
from collections.abc import Sequence


def doubled(numbers: Sequence[int]) -> list[int]:
    """Twice each number; a negative one brings the process down, as a file can that unfolds without end."""
    if min(numbers) < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return [2 * number for number in numbers]


def lost(number: int) -> int:
    """The answer for a number that brought its process down."""
    return number - 1_000
