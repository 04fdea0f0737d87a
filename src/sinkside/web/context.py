"""What the web is given when it starts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sinkside.desk.jobs import Handlers
from sinkside.desk.ports import Archive
from sinkside.settings import Settings


@dataclass(frozen=True)
class Context:
    """Where everything is kept, how it is served, and the clock.

    `badge_key` hides badges; `handlers` do long work; `demo` says that all in it is invented.
    """

    archive: Archive
    settings: Settings
    clock: Callable[[], datetime]
    badge_key: bytes
    handlers: Handlers
    demo: bool = False
