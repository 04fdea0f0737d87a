"""One process that answers browsers: where it listens, and what it runs."""

from __future__ import annotations

import contextlib
import gc
import socket
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import uvicorn

from sinkside import wiring
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput
from sinkside.settings import Settings
from sinkside.web.app import create_app
from sinkside.web.context import Context

#: How long a process that is asked to end may take for what it has begun.
GRACE_S: Final = 10.0

_BACKLOG: Final = 256

#: The collector's thresholds. What a page leaves behind goes by itself; its rounds find next to nothing.
_ROUNDS: Final = (20_000, 20, 50)

#: Processes of a house that was killed let go of its port within this time.
_LET_GO_WITHIN_S: Final = 1.5
_PAUSE_S: Final = 0.1


@dataclass(frozen=True)
class House:
    """A workspace that is open: its folder, archive and settings; `demo` says that all in it is invented."""

    folder: Path
    archive: Archive
    settings: Settings
    demo: bool = False


def answering(house: House) -> uvicorn.Server:
    """A server for a workspace, to be run on a socket that listens by a process that does nothing else."""
    context = Context(
        archive=house.archive,
        settings=house.settings,
        clock=wiring.now,
        badge_key=wiring.badge_key(house.archive),
        handlers=wiring.job_handlers(),
        demo=house.demo,
    )
    server = uvicorn.Server(
        uvicorn.Config(
            create_app(context),
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=True,
            proxy_headers=bool(house.settings.address),
            timeout_graceful_shutdown=int(GRACE_S),
        )
    )
    _spare_the_collector()
    return server


def _spare_the_collector() -> None:
    """Take what stays for good out of the collector's rounds: each would hold up everybody who waits."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*_ROUNDS)


def processes_of(settings: Settings) -> int:
    """How many processes answer; only Linux deals connections out among several that listen alike."""
    return settings.web_processes if sys.platform == "linux" else 1


@contextlib.contextmanager
def listening(settings: Settings, *, beside: bool = False) -> Iterator[socket.socket]:
    """A socket that listens where the settings say.

    Args:
        settings: the address and port, and how many processes answer.
        beside: whether another process of the same house listens there already.

    Raises:
        BadInput: if the port is taken.
    """
    shared = processes_of(settings) > 1
    if shared and settings.port and not beside:
        # Those who share a port would share it with another house too, and nobody would be told.
        with _bound(settings, shared=False):
            pass
    with _bound(settings, shared=shared) as listener:
        listener.listen(_BACKLOG)
        yield listener


@contextlib.contextmanager
def _bound(settings: Settings, *, shared: bool) -> Iterator[socket.socket]:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as one:
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if shared:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        _bind(one, settings)
        yield one


def _bind(one: socket.socket, settings: Settings) -> None:
    end = time.monotonic() + _LET_GO_WITHIN_S
    while True:
        try:
            one.bind((settings.host, settings.port))
        except OSError as error:
            if time.monotonic() < end:
                time.sleep(_PAUSE_S)
                continue
            raise BadInput(
                f"this address cannot be listened on ({error.strerror}); choose another with --port",
                resource=f"{settings.host}:{settings.port}",
            ) from error
        return
