"""Serving a workspace: processes that answer and one that works, each started again when it falls."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from sinkside import wiring
from sinkside.desk import accounts
from sinkside.errors import Conflict
from sinkside.settings import Settings, variable
from sinkside.web.answering import GRACE_S, House, answering, listening, processes_of
from sinkside.web.logs import set_up_logs

Say = Callable[[str], None]

#: A worker that falls at once is not started again at once.
_PAUSE_S: Final = 2.0

#: A file that is locked while a workspace is served; the system lets go of it when the process ends, however.
_LOCK: Final = "serving.lock"


def serve(house: House, *, say: Say) -> None:
    """Serve until somebody stops it.

    Args:
        house: the workspace.
        say: tells the person where it listens, and the link for the first account.

    Raises:
        BadInput: if the port is taken.
    """
    set_up_logs(house.settings.log_level)
    with listening(house.settings) as listener:
        address = house.settings.address or _address_of(listener)
        say(f"Sinkside is at {address}")
        _say_first_link(house, address, say)
        environment = _environment(house.settings, port=listener.getsockname()[1])
        with _ended_calmly(), _kept_running(_companions(house), environment):
            answering(house).run(sockets=[listener])


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


def _say_first_link(house: House, address: str, say: Say) -> None:
    token = accounts.first_account_link(house.archive, now=wiring.now())
    if token is not None:
        say("Nobody has an account yet. This link sets up the first one, once, within a day:")
        say(f"{address}/first-account/{token}")


def _address_of(listener: socket.socket) -> str:
    host, port = listener.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def _companions(house: House) -> list[list[str]]:
    """The commands of what runs beside this process: the worker, and more who answer."""
    # Told, not looked up: a companion could come up after whoever started it was killed.
    folder, parent = str(house.folder), str(os.getpid())
    answers = [sys.executable, "-m", "sinkside.web.companion", parent, folder]
    commands = [[*answers, "demo"] if house.demo else answers] * (processes_of(house.settings) - 1)
    if house.settings.worker:
        worker = [sys.executable, "-m", "sinkside", "worker", "--workspace", folder, "--beside", parent]
        commands.append(worker)
    return commands


def _environment(settings: Settings, *, port: int) -> dict[str, str]:
    """The settings in force, for companions; what they are told there, unlike a command line, nobody sees."""
    stated = settings.model_copy(update={"port": port}).model_dump()
    return {**os.environ, **{variable(name): str(value) for name, value in stated.items() if value != ""}}


@contextlib.contextmanager
def _kept_running(commands: list[list[str]], environment: dict[str, str]) -> Iterator[None]:
    """Companions beside this process, each started again when it falls, until the block ends."""
    stopping = threading.Event()
    running: dict[int, subprocess.Popen[bytes]] = {}

    def keep_running(number: int) -> None:
        while not stopping.is_set():
            # Our own program, no shell.
            process = subprocess.Popen(commands[number], stdin=subprocess.DEVNULL, env=environment)  # noqa: S603
            running[number] = process
            process.wait()
            stopping.wait(_PAUSE_S)

    watches = [
        threading.Thread(target=keep_running, args=(number,), daemon=True) for number in range(len(commands))
    ]
    for watch in watches:
        watch.start()
    try:
        yield
    finally:
        stopping.set()
        # Asked once, a worker ends what it is doing; asked twice, it drops it.
        for _ in range(2):
            for process in list(running.values()):
                process.terminate()
            end = time.monotonic() + GRACE_S
            for watch in watches:
                watch.join(max(end - time.monotonic(), 0.0))
        for process in list(running.values()):
            process.kill()
