"""Serving a workspace: one process for the web, one for the worker, which is started again when it falls."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import uvicorn

from sinkside import wiring
from sinkside.desk import accounts
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput, Conflict
from sinkside.settings import Settings
from sinkside.web.app import create_app
from sinkside.web.context import Context
from sinkside.web.logs import set_up_logs

Say = Callable[[str], None]

#: A worker that falls at once is not started again at once.
_PAUSE_S: Final = 2.0
_GRACE_S: Final = 10.0
_BACKLOG: Final = 256

#: A file that is locked while a workspace is served; the system lets go of it when the process ends, however.
_LOCK: Final = "serving.lock"


@dataclass(frozen=True)
class House:
    """A workspace that is open: its folder, archive and settings; `demo` says that all in it is invented."""

    folder: Path
    archive: Archive
    settings: Settings
    demo: bool = False


def serve(house: House, *, say: Say) -> None:
    """Serve until somebody stops it.

    Args:
        house: the workspace.
        say: tells the person where it listens, and the link for the first account.

    Raises:
        BadInput: if the port is taken.
    """
    set_up_logs(house.settings.log_level)
    with _listening(house.settings) as listener:
        address = house.settings.address or _address_of(listener)
        say(f"Sinkside is at {address}")
        _say_first_link(house, address, say)
        app = create_app(_context(house))
        config = uvicorn.Config(
            app,
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=True,
            proxy_headers=bool(house.settings.address),
            timeout_graceful_shutdown=int(_GRACE_S),
        )
        with _ended_calmly(), _worker(house):
            uvicorn.Server(config).run(sockets=[listener])


@contextlib.contextmanager
def only_server(folder: Path) -> Iterator[None]:
    """Hold a workspace, so that nobody serves it a second time meanwhile.

    Raises:
        Conflict: if it is served already.
    """
    import fcntl

    with (folder / _LOCK).open("ab") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise Conflict("this workspace is served already", resource=str(folder)) from error
        yield


@contextlib.contextmanager
def _ended_calmly() -> Iterator[None]:
    """Let the signals that stop a server unwind the program.

    The server hands them on once it has shut down; unhandled they would end the process before its worker.
    """
    before = {one: signal.signal(one, _leave) for one in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)


def _leave(*_: object) -> None:
    raise SystemExit(0)


def _context(house: House) -> Context:
    return Context(
        archive=house.archive,
        settings=house.settings,
        clock=wiring.now,
        badge_key=wiring.badge_key(house.archive),
        handlers=wiring.job_handlers(),
        demo=house.demo,
    )


def _say_first_link(house: House, address: str, say: Say) -> None:
    token = accounts.first_account_link(house.archive, now=wiring.now())
    if token is not None:
        say("Nobody has an account yet. This link sets up the first one, once, within a day:")
        say(f"{address}/first-account/{token}")


@contextlib.contextmanager
def _listening(settings: Settings) -> Iterator[socket.socket]:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((settings.host, settings.port))
        except OSError as error:
            raise BadInput(
                f"this address cannot be listened on ({error.strerror}); choose another with --port",
                resource=f"{settings.host}:{settings.port}",
            ) from error
        listener.listen(_BACKLOG)
        yield listener
    finally:
        listener.close()


def _address_of(listener: socket.socket) -> str:
    host, port = listener.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


@contextlib.contextmanager
def _worker(house: House) -> Iterator[None]:
    """A worker beside the web, for as long as it is served."""
    if not house.settings.worker:
        yield
        return
    stopping = threading.Event()
    running: list[subprocess.Popen[bytes]] = []
    command = [sys.executable, "-m", "sinkside", "worker", "--workspace", str(house.folder)]
    # Told, not looked up: the worker could come up after whoever started it was killed.
    command += ["--beside", str(os.getpid())]
    if house.settings.database:
        command += ["--database", house.settings.database]
    watch = threading.Thread(target=_keep_running, args=(command, running, stopping), daemon=True)
    watch.start()
    try:
        yield
    finally:
        stopping.set()
        # Asked once, a worker ends what it is doing; asked twice, it drops it.
        for _ in range(2):
            for process in running:
                process.terminate()
            watch.join(_GRACE_S)
        for process in running:
            process.kill()


def _keep_running(
    command: list[str], running: list[subprocess.Popen[bytes]], stopping: threading.Event
) -> None:
    while not stopping.is_set():
        process = subprocess.Popen(command, stdin=subprocess.DEVNULL)  # noqa: S603 # our own program, no shell
        running[:] = [process]
        process.wait()
        stopping.wait(_PAUSE_S)
