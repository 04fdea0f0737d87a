"""The house served by the command, in processes of its own, and people who send requests over loopback."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlencode

from sinkside import wiring
from sinkside.desk.passwords import new_token, token_digest
from sinkside.desk.ports import Archive
from sinkside.records import Session

STARTS_WITHIN_S: Final = 60
STOPS_WITHIN_S: Final = 30

_BOUNDARY: Final = "the-part-ends-here"


@dataclass(frozen=True)
class Served:
    """A served house: the process that serves it, which leads a group of its own, and the port."""

    process: subprocess.Popen[str]
    port: int

    @property
    def group(self) -> list[int]:
        """The processes that are there: the web, the worker, whatever the worker started."""
        return processes_of(self.process.pid)


@contextmanager
def served(folder: Path, *, log: Path | None = None) -> Iterator[Served]:
    """Serve a workspace on a free port; at the end whatever is left of it is ended.

    Args:
        folder: the workspace.
        log: where everything that web and worker log is written to; errors alone, and shown, unless told.
    """
    command = [sys.executable, "-m", "sinkside", "serve", "--workspace", str(folder), "--port", "0"]
    level = "debug" if log else "error"
    environment = {**os.environ, "PYTHONUNBUFFERED": "1", "SINKSIDE_LOG_LEVEL": level}
    with log.open("ab") if log else nullcontext() as errors:
        process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=errors, text=True, env=environment, start_new_session=True
        )
    waiting = threading.Timer(STARTS_WITHIN_S, process.kill)
    waiting.start()
    try:
        port = _told_port(process)
        waiting.cancel()
        yield Served(process, port)
    finally:
        waiting.cancel()
        process.terminate()
        process.wait(STOPS_WITHIN_S)
        if process.stdout is not None:
            process.stdout.close()


def _told_port(process: subprocess.Popen[str]) -> int:
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.match(r"Sinkside is at http://127\.0\.0\.1:(\d+)", line):
            return int(found[1])
    raise AssertionError("the house was not served")


def processes_of(group: int) -> list[int]:
    """The living processes of a process group."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            state, _parent, of_group = (place / "stat").read_text().rpartition(")")[2].split()[:3]
        except (OSError, ValueError):
            continue  # it ended while we looked
        if int(of_group) == group and state != "Z":
            found.append(int(place.name))
    return sorted(found)


def all_gone(group: int, *, within_s: float = 10.0) -> bool:
    """Whether a process group ends within some seconds; the kernel takes a moment after SIGKILL."""
    until = time.monotonic() + within_s
    while processes_of(group):
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    return True


@dataclass(frozen=True)
class Guest:
    """Somebody with an open session, who sends requests to whichever port the house has now."""

    cookie: str
    csrf: str

    def get(self, port: int, path: str) -> int:
        """Ask for a page; the status."""
        return self._ask(port, "GET", path, b"", "")[0]

    def data(self, port: int, path: str) -> Any:
        """What a page tells programs."""
        connection = HTTPConnection("127.0.0.1", port, timeout=STARTS_WITHIN_S)
        try:
            connection.request("GET", f"/api{path}", headers={"Cookie": self.cookie})
            return json.loads(connection.getresponse().read())
        finally:
            connection.close()

    def post(self, port: int, path: str, form: Mapping[str, object]) -> tuple[int, str]:
        """Send a form; the status, and where it leads."""
        body = urlencode({"csrf": self.csrf, **form}).encode()
        return self._ask(port, "POST", path, body, "application/x-www-form-urlencoded")

    def send_file(
        self,
        port: int,
        path: str,
        *,
        field: str,
        name: str,
        data: bytes,
        more: Mapping[str, str] | None = None,
    ) -> tuple[int, str]:
        """Send a file with a form and what else stands in it; the status, and where it leads."""
        told = {"csrf": self.csrf, **(more or {})}
        parts = [
            *(
                f'--{_BOUNDARY}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'.encode()
                for key, value in told.items()
            ),
            f'--{_BOUNDARY}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n'
            "Content-Type: text/plain\r\n\r\n".encode(),
            data,
            f"\r\n--{_BOUNDARY}--\r\n".encode(),
        ]
        return self._ask(port, "POST", path, b"".join(parts), f"multipart/form-data; boundary={_BOUNDARY}")

    def _ask(self, port: int, method: str, path: str, body: bytes, kind: str) -> tuple[int, str]:
        connection = HTTPConnection("127.0.0.1", port, timeout=STARTS_WITHIN_S)
        try:
            headers = {"Cookie": self.cookie, **({"Content-Type": kind} if kind else {})}
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            answer.read()
            return answer.status, answer.headers.get("Location", "")
        finally:
            connection.close()


def guest(archive: Archive, sign_in: str) -> Guest:
    """Open a session for somebody, without the work of checking a password."""
    token, csrf, now = new_token(), new_token(), wiring.now()
    with archive.unit() as unit:
        person = unit.people.by_sign_in(sign_in)
        assert person is not None
        unit.people.open_session(Session(token_digest(token), person.id, now, now, csrf))
    return Guest(f"sinkside_session={token}", csrf)
