"""Whose turn it is to write to a database that takes one writer at a time."""

from __future__ import annotations

import fcntl
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_LOCK_FILE = "writing.lock"

#: A reader that met a slow writer goes on after this time.
_LETS_PASS_S = 0.05


class WritersTurn:
    """Threads and processes take turns here and are woken at once.

    SQLite's own waiting is by ever longer naps, so that under load the unlucky wait for seconds. The lock is
    on a file beside the database; the system lets go of it when its process ends, however.
    """

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(_LOCK_FILE)
        self._threads = threading.Lock()
        self._descriptor: int | None = None
        self._idle = threading.Event()
        self._idle.set()

    @contextmanager
    def taken(self) -> Iterator[None]:
        """Hold the turn while the block lasts."""
        with self._threads:
            if self._descriptor is None:
                self._descriptor = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            fcntl.flock(self._descriptor, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(self._descriptor, fcntl.LOCK_UN)

    @contextmanager
    def ahead(self) -> Iterator[None]:
        """Go ahead of who reads in this process, while the block lasts."""
        self._idle.clear()
        try:
            yield
        finally:
            self._idle.set()

    def let_pass(self) -> None:
        """Let whoever writes in this process go ahead.

        Threads share one interpreter: among busy readers a writer would hold its turn for four times as long
        as it works, and every other writer would wait for that.
        """
        if not self._idle.is_set():
            self._idle.wait(_LETS_PASS_S)

    def close(self) -> None:
        """Close the file; taking the turn opens it again."""
        with self._threads:
            if self._descriptor is not None:
                os.close(self._descriptor)
                self._descriptor = None
