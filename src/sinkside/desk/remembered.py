"""Answers that many people ask for, worked out once and remembered for as long as they are asked again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Answer = TypeVar("Answer")


class Remembered(Generic[Key, Answer]):
    """The answers that were asked for last, by what they depend on; safe between threads.

    >>> lengths: Remembered[str, int] = Remembered(most=2)
    >>> lengths.get("rinse", lambda: 5), lengths.get("rinse", lambda: 99)
    (5, 5)
    """

    def __init__(self, *, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Answer] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Key, work_out: Callable[[], Answer]) -> Answer:
        """The answer for a key, worked out unless it is remembered; two who ask at once may both work."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        answer = work_out()
        with self._lock:
            self._kept[key] = answer
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return answer
