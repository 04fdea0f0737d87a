"""Processes that write into an archive until somebody kills them, and say what was acknowledged."""

from __future__ import annotations

import itertools
import os
import threading
from multiprocessing.connection import Connection
from pathlib import Path

from sinkside.archive import open_archive
from sinkside.archive.archive import WorkspaceArchive
from sinkside.records import Revision
from support.archive_places import DEPARTMENT, NOW, happening, later

THREADS = 2


def write_until_killed(folder: Path, name: str, said: Connection) -> None:
    """Edits, uploads and decisions from several threads; each is told after it was committed."""
    archive = open_archive(folder)
    lock = threading.Lock()
    writers = [
        threading.Thread(target=_write, args=(archive, f"{name}{number}", said, lock), daemon=True)
        for number in range(THREADS)
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()


def _write(archive: WorkspaceArchive, subject: str, said: Connection, lock: threading.Lock) -> None:
    for number in itertools.count(1):
        data = os.urandom(3000)
        with archive.unit() as unit:
            kept = unit.files.put(data, media_type="text/csv", name="cycle.csv")
            unit.documents.keep(Revision("cycle", subject, number, f'"{kept.digest}"', "", "system", NOW))
            event = unit.journal.append(DEPARTMENT, happening(number, note=kept.digest))
        with lock:
            said.send((event.sequence, event.digest, subject, number, kept.digest))


def append_some(folder: Path, count: int, said: Connection) -> None:
    """Append so many events, one unit each, and say their numbers."""
    archive = open_archive(folder)
    numbers = []
    for number in range(count):
        with archive.unit() as unit:
            numbers.append(unit.journal.append(DEPARTMENT, happening(number)).sequence)
    archive.close()
    said.send(numbers)
    said.close()


def claim_all(folder: Path, worker: str, said: Connection) -> None:
    """Take jobs until there are none, and say which."""
    archive = open_archive(folder)
    taken = []
    while True:
        with archive.unit() as unit:
            job = unit.jobs.claim(worker, later(100), lease_s=600)
        if job is None:
            break
        taken.append(job.id)
    archive.close()
    said.send(taken)
    said.close()


def use_link(folder: Path, token_digest: str, said: Connection) -> None:
    """Use a link, and say whether it worked."""
    archive = open_archive(folder)
    with archive.unit() as unit:
        used = unit.people.use_link(token_digest, NOW)
    archive.close()
    said.send(used is not None)
    said.close()
