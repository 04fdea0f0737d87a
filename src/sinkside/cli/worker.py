"""`sinkside worker`: long work, beside the web or on its own."""

from __future__ import annotations

import os
import signal
import threading
from typing import Annotated

import typer

from sinkside.cli.options import DatabaseUrl, WorkspaceFolder
from sinkside.cli.output import say

#: How long a worker without work waits before it looks again.
_PAUSE_S = 0.5


def worker(
    workspace: WorkspaceFolder,
    database: DatabaseUrl = None,
    once: Annotated[bool, typer.Option("--once", help="Do what waits, then stop.")] = False,
    beside: Annotated[
        int | None,
        typer.Option("--beside", metavar="PID", help="End when this process, which started it, is gone."),
    ] = None,
) -> None:
    """Do the long work of a workspace: read documents, judge many recorder files, work out the fit table."""
    from sinkside import wiring
    from sinkside.desk.jobs import work_once

    settings = wiring.settings_of(workspace, {"database": database})
    archive = wiring.open_to_work(workspace, database=settings.database)
    handlers, name = wiring.job_handlers(), f"worker-{os.getpid()}"
    stopping = threading.Event()
    for one in (signal.SIGTERM, signal.SIGINT):
        signal.signal(one, lambda *_: _stop(stopping))
    while not stopping.is_set() and beside in {None, os.getppid()}:
        job = work_once(archive, handlers, worker=name, clock=wiring.now)
        if job is not None:
            say(f"{job.kind} {job.id}: {job.state}")
        elif once:
            break
        else:
            stopping.wait(_PAUSE_S)


def _stop(stopping: threading.Event) -> None:
    """Asked once, end what is being done; asked again, drop it: half-done work leaves nothing behind."""
    if stopping.is_set():
        raise SystemExit(0)
    stopping.set()
