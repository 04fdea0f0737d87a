"""A backup that is taken while people write, from the command line."""

from __future__ import annotations

import re
import threading
from pathlib import Path

from sinkside import wiring
from support.command import Sinkside
from support.served import Guest, guest, served

UPLOADS = "/at/valley/instructions/new"
SEE_OTHER = 303


def _upload_until(stop: threading.Event, who: Guest, port: int, acknowledged: list[int]) -> None:
    while not stop.is_set():
        data = f"1. Rinse for {len(acknowledged) + 1} min.\n".encode()
        status, _ = who.send_file(port, UPLOADS, field="document", name="ifu.txt", data=data)
        assert status == SEE_OTHER
        acknowledged.append(1)


def test_a_backup_during_uploads_restores_to_a_sound_workspace(
    house: Path, sinkside: Sinkside, tmp_path: Path
) -> None:
    """It passes `sinkside check`, at the head that was printed, with every upload acknowledged before."""
    who = guest(wiring.open_workspace(house), "lead")
    stop, acknowledged = threading.Event(), list[int]()
    kept, again = tmp_path / "house.backup", tmp_path / "again"
    with served(house) as serving:
        uploading = threading.Thread(target=_upload_until, args=(stop, who, serving.port, acknowledged))
        uploading.start()
        try:
            while len(acknowledged) < 5 and uploading.is_alive():
                uploading.join(0.02)
            before = len(acknowledged)
            made = sinkside("backup", str(kept), "--workspace", str(house))
        finally:
            stop.set()
            uploading.join()
    assert made.status == 0, made.err
    assert len(acknowledged) > before >= 5
    assert sinkside("restore", str(kept), "--workspace", str(again)).status == 0
    heads = re.findall(r"^(\S+): head (\S+)$", made.out, re.MULTILINE)
    assert heads
    checked = sinkside(
        "check",
        "--workspace",
        str(again),
        *(word for name, head in heads for word in ("--head", f"{name}={head}")),
    )
    assert checked.status == 0, checked.out
    with wiring.open_workspace(again).unit(writes=False) as unit:
        restored = unit.jobs.all(["valley"], limit=10_000)
    assert len(restored) >= 3 + before
