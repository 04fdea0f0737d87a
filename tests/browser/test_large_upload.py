"""A file of 500 MB at the door of a served house."""

from __future__ import annotations

import http.client
import re
import time
from pathlib import Path
from urllib.parse import urlsplit

from browser.conftest import ServedHouse

SIZE = 500_000_000
PART = bytes(1_000_000)


def _memory_mb(process: int) -> float:
    """The most memory that a process has held so far (Linux, proc(5): VmHWM)."""
    found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text("utf-8"))
    assert found is not None
    return int(found[1]) / 1000


def test_a_file_of_500_mb_gets_one_sentence(served: ServedHouse) -> None:
    """It is refused in one sentence within bounded memory and time, while others are still answered."""
    before, began = _memory_mb(served.process), time.monotonic()
    connection = http.client.HTTPConnection(urlsplit(served.address).netloc, timeout=60)
    connection.putrequest("POST", "/api/at/valley/instructions")
    connection.putheader("Content-Length", str(SIZE))
    connection.putheader("Content-Type", "multipart/form-data; boundary=edge")
    connection.endheaders()
    for sent in range(SIZE // len(PART)):
        connection.send(PART)
        if sent == 100:
            other = http.client.HTTPConnection(urlsplit(served.address).netloc, timeout=10)
            other.request("GET", "/health/ready")
            assert other.getresponse().status == 200
            other.close()
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    assert answer.status == 413
    assert "This is too large to be taken; expected at most 50 MB." in text
    assert _memory_mb(served.process) - before < 60
    assert time.monotonic() - began < 30
