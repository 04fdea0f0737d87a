"""Watching a served house from outside while it works: how soon it answers, and how much memory it takes."""

from __future__ import annotations

import http.client
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from typing import Final

_EVERY_S: Final = 0.05


@dataclass
class Watch:
    """What was seen of a house: how long its health page took each time, and the most memory by process.

    `server_mb` is the process of the web; `others_mb` the largest of the worker and whatever it started.
    """

    answers_s: list[float] = field(default_factory=list)
    server_mb: float = 0.0
    others_mb: float = 0.0
    silent: list[str] = field(default_factory=list)


@contextmanager
def watched(process: int, host: str) -> Iterator[Watch]:
    """Watch a served house.

    Args:
        process: the id of the process that serves it.
        host: where it listens, as `127.0.0.1:8470`.
    """
    watch, over = Watch(), threading.Event()
    looking = [
        threading.Thread(target=_ask_again, args=(watch, over, host), daemon=True),
        threading.Thread(target=_weigh_again, args=(watch, over, process), daemon=True),
    ]
    for thread in looking:
        thread.start()
    try:
        yield watch
    finally:
        over.set()
        for thread in looking:
            thread.join(30)


def _ask_again(watch: Watch, over: threading.Event, host: str) -> None:
    while not over.wait(_EVERY_S):
        began = time.monotonic()
        connection = http.client.HTTPConnection(host, timeout=10)
        try:
            connection.request("GET", "/health/live")
            if connection.getresponse().status != HTTPStatus.OK:
                watch.silent.append("another status")
        except (OSError, http.client.HTTPException) as error:
            watch.silent.append(repr(error))
        finally:
            connection.close()
        watch.answers_s.append(time.monotonic() - began)


def _weigh_again(watch: Watch, over: threading.Event, process: int) -> None:
    while not over.wait(_EVERY_S):
        watch.server_mb = max(watch.server_mb, _memory_mb(process))
        others = [_memory_mb(one) for one in descendants(process)]
        watch.others_mb = max(watch.others_mb, *others, 0.0)


def descendants(process: int) -> list[int]:
    """The living processes that a process started, and those that they started."""
    parents: dict[int, int] = {}
    for place in Path("/proc").glob("[0-9]*"):
        try:
            parents[int(place.name)] = int((place / "stat").read_text().rpartition(")")[2].split()[1])
        except (OSError, ValueError):
            continue  # it ended while we looked
    found, new = [], [process]
    while new:
        new = [one for one, parent in parents.items() if parent in new]
        found += new
    return found


def _memory_mb(process: int) -> float:
    """What a process holds in memory (Linux, proc(5): statm, resident pages)."""
    try:
        resident = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return resident * os.sysconf("SC_PAGE_SIZE") / 1e6
