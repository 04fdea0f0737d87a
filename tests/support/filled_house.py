"""A demo house on disk, filled once in a process and copied for whoever wants one of their own."""

from __future__ import annotations

import atexit
import functools
import shutil
import tempfile
from pathlib import Path

from sinkside import wiring
from sinkside.archive import open_archive
from sinkside.demo.house import fill_house
from sinkside.desk.jobs import work_once


def house_at(folder: Path, *, is_read: bool = False) -> Path:
    """A house of its own: two departments, somebody for each role.

    Args:
        folder: where it is to be; not there yet.
        is_read: whether the worker has done what waited, so that every document is read.
    """
    shutil.copytree(_filled(is_read=is_read), folder)
    return folder


@functools.cache
def _filled(*, is_read: bool) -> Path:
    above = Path(tempfile.mkdtemp(prefix="filled-house-"))
    atexit.register(shutil.rmtree, above, ignore_errors=True)
    folder = above / "house"
    if is_read:
        house_at(folder)
    else:
        wiring.make_workspace(folder)
    archive = open_archive(folder)
    if is_read:
        while work_once(archive, wiring.job_handlers(), worker="test", clock=wiring.now):
            pass
    else:
        fill_house(archive, now=wiring.now())
    archive.close()
    return folder
