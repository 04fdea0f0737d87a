"""A served house stops when asked and leaves no process behind; where it cannot be served it says why."""

from __future__ import annotations

import os
import signal
import socket
import time
from pathlib import Path

import pytest

from sinkside.archive import open_archive
from support.command import Sinkside
from support.served import STOPS_WITHIN_S, Served, served


def _worker_is_there(serving: Served) -> bool:
    end = time.monotonic() + STOPS_WITHIN_S
    while time.monotonic() < end and len(serving.group) < 2:
        time.sleep(0.05)
    return len(serving.group) >= 2


@pytest.mark.parametrize("asked", [signal.SIGTERM, signal.SIGINT])
def test_serving_stops_when_asked(house: Path, asked: signal.Signals) -> None:
    """Either signal ends the web and its worker, with exit status 0, though documents wait to be read."""
    with served(house) as serving:
        assert _worker_is_there(serving)
        serving.process.send_signal(asked)
        assert serving.process.wait(STOPS_WITHIN_S) == 0
        assert serving.group == []


def test_both_stop_at_the_keyboard(house: Path) -> None:
    """What a terminal sends to the web and the worker together ends both."""
    with served(house) as serving:
        assert _worker_is_there(serving)
        os.killpg(serving.process.pid, signal.SIGINT)
        assert serving.process.wait(STOPS_WITHIN_S) == 0
        assert serving.group == []


def test_a_worker_whose_web_was_killed_ends(house: Path) -> None:
    """Nothing goes on in a house whose web is gone."""
    with served(house) as serving:
        assert _worker_is_there(serving)
        serving.process.kill()
        end = time.monotonic() + STOPS_WITHIN_S
        while serving.group and time.monotonic() < end:
            time.sleep(0.05)
        assert serving.group == []


def test_serving_clears_away_what_a_killed_upload_left(house: Path) -> None:
    """A file that no row names, a day old, is gone once the house is served; kept ones stay."""
    archive = open_archive(house)
    stray = archive.files.path(archive.files.write(b"half an upload"))
    kept = archive.files.present() - {stray.name}
    a_day_ago = time.time() - 2 * 86_400
    for place in (house / "files").glob("??/*"):
        os.utime(place, (a_day_ago, a_day_ago))
    with served(house):
        assert archive.files.present() == kept
    archive.close()


def test_a_house_is_served_once(house: Path, sinkside: Sinkside) -> None:
    """A second server on the same workspace gets one sentence and exit status 2."""
    with served(house):
        second = sinkside("serve", "--workspace", str(house), "--port", "0")
    assert second.status == 2
    assert second.err.count("\n") == 1
    assert "served already" in second.err


def test_a_port_that_is_taken_is_said(house: Path, sinkside: Sinkside) -> None:
    """One sentence names the port and what to do, with exit status 2."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        refused = sinkside("serve", "--workspace", str(house), "--port", str(port))
    assert refused.status == 2
    assert refused.err.count("\n") == 1
    assert f"127.0.0.1:{port}" in refused.err
    assert "--port" in refused.err
