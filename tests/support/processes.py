"""Processes of their own for the tests, started quickly, and what they say."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from typing import Any

_context = multiprocessing.get_context("forkserver")
_context.set_forkserver_preload(["sinkside.archive", "sqlalchemy.dialects.sqlite", "psycopg"])


@dataclass(frozen=True)
class Started:
    """A process and the end of the pipe on which it speaks."""

    process: ForkServerProcess
    said: Connection

    def all_said(self) -> list[Any]:
        """Everything that it said before it ended."""
        told = []
        with suppress(EOFError, ConnectionResetError), self.said:
            while True:
                told.append(self.said.recv())
        self.process.join()
        return told


def start(target: Callable[..., None], *arguments: object) -> Started:
    """Start a function in a process of its own, with a pipe to speak on as its last argument."""
    ours, theirs = _context.Pipe(duplex=False)
    process = _context.Process(target=target, args=(*arguments, theirs), daemon=True)
    process.start()
    theirs.close()
    return Started(process, ours)


def kill(started: Sequence[Started]) -> list[Any]:
    """Kill processes at once, and give what they had said."""
    for one in started:
        one.process.kill()
    return [told for one in started for told in one.all_said()]
