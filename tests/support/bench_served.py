"""The house of the bench served over loopback by a thread, with a clock that tests put forward."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Final

import uvicorn

from sinkside import wiring
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from support.bench_house import BenchHouse
from support.browserless import signed_in

_STARTS_WITHIN_S: Final = 20


@dataclass
class ServedBench:
    """The house, where it is served, and its clock: the machine's, put to the house's day and forward."""

    bench: BenchHouse
    address: str = ""
    began: datetime = field(default_factory=lambda: datetime.now(UTC))
    forward: timedelta = timedelta(0)

    def now(self) -> datetime:
        """The moment by the house's clock."""
        self.bench.now = self.bench.house.now + (datetime.now(UTC) - self.began) + self.forward
        return self.bench.now

    def later(self, minutes: float) -> None:
        """Put the clock forward."""
        self.forward += timedelta(minutes=minutes)
        self.now()

    def cookie(self, name: str) -> str:
        """The session of somebody who is signed in."""
        app = create_app(self._context())
        return signed_in(app, self.bench.house.archive, name, now=self.now()).cookies["sinkside_session"]

    def _context(self) -> Context:
        return Context(
            archive=self.bench.house.archive,
            settings=Settings(),
            clock=self.now,
            badge_key=bytes(32),
            handlers=wiring.job_handlers(),
            demo=True,
        )

    @contextmanager
    def serving(self) -> Iterator[ServedBench]:
        """Serve the house on a free port until the end of the block."""
        with socket.socket() as listener:
            listener.bind(("127.0.0.1", 0))
            listener.listen(64)
            config = uvicorn.Config(create_app(self._context()), log_config=None, access_log=False)
            server = uvicorn.Server(config)
            thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
            thread.start()
            end = time.monotonic() + _STARTS_WITHIN_S
            while not server.started and time.monotonic() < end:
                time.sleep(0.02)
            self.address = f"http://127.0.0.1:{listener.getsockname()[1]}"
            yield self
            server.should_exit = True
            thread.join(_STARTS_WITHIN_S)
