"""A PostgreSQL server for the tests, from Debian's package, reached through a socket in a folder."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

_PATIENCE_S = 30.0


def _programs() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    assert found, "PostgreSQL's server is missing; install Debian's package postgresql"
    return found[-1].parent


def _unprivileged() -> list[str]:
    """What to put before a command, as the server refuses to run as root."""
    if os.getuid():
        return []
    user = pwd.getpwnam("nobody")
    return ["setpriv", f"--reuid={user.pw_uid}", f"--regid={user.pw_gid}", "--clear-groups"]


@contextmanager
def running_server(*, memory: str = "64MB") -> Iterator[Path]:
    """A running server with so much memory for pages; gives the folder of its socket."""
    folder = Path(tempfile.mkdtemp(prefix="sinkside-pg-", dir="/tmp"))  # a socket's path is short
    if not os.getuid():
        os.chown(folder, pwd.getpwnam("nobody").pw_uid, -1)
    programs, first = _programs(), _unprivileged()
    data = str(folder / "data")
    subprocess.run(
        [
            *first,
            programs / "initdb",
            "-D",
            data,
            "-U",
            "tester",
            "-A",
            "trust",
            "-E",
            "UTF8",
            "--locale=C",
            "-N",
        ],
        check=True,
        capture_output=True,
        cwd=folder,
    )
    settings = {
        "listen_addresses": "",
        "unix_socket_directories": str(folder),
        "fsync": "off",
        "max_connections": "200",
        "shared_buffers": memory,
    }
    options = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(
            [*first, programs / "postgres", "-D", data, *options], stdout=log, stderr=log, cwd=folder
        )
    try:
        _wait_for(folder)
        yield folder
    finally:
        server.send_signal(signal.SIGQUIT)  # at once: what it holds is thrown away
        server.wait()
        shutil.rmtree(folder, ignore_errors=True)


def _wait_for(folder: Path) -> None:
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            psycopg.connect(host=str(folder), user="tester", dbname="postgres").close()
        except psycopg.OperationalError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)
        else:
            return


def new_database(folder: Path, name: str) -> str:
    """Make an empty database, and say its address."""
    with psycopg.connect(host=str(folder), user="tester", dbname="postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}" TEMPLATE template0'.encode())
    return f"postgresql://tester@/{name}?host={folder}"
