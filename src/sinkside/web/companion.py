"""One more process that answers for a house, started by the one that serves it and ended with it."""

from __future__ import annotations

import os
import sys
import threading
import time
from pathlib import Path
from typing import Final

import uvicorn

from sinkside import wiring
from sinkside.web.answering import House, answering, listening
from sinkside.web.logs import set_up_logs

_LOOKS_EVERY_S: Final = 0.2


def accompany(folder: Path, *, parent: int, demo: bool) -> None:
    """Answer beside a process until it is gone; the settings come from the environment that it gave.

    Args:
        folder: the workspace.
        parent: the process that serves it.
        demo: whether all in it is invented.
    """
    settings = wiring.settings_of(folder, {})
    set_up_logs(settings.log_level)
    archive = wiring.open_workspace(folder, database=settings.database)
    server = answering(House(folder, archive, settings, demo=demo))
    threading.Thread(target=_end_with, args=(parent, server), daemon=True).start()
    with listening(settings, beside=True) as listener:
        server.run(sockets=[listener])


def _end_with(parent: int, server: uvicorn.Server) -> None:
    while os.getppid() == parent:
        time.sleep(_LOOKS_EVERY_S)
    server.should_exit = True


if __name__ == "__main__":
    accompany(Path(sys.argv[2]), parent=int(sys.argv[1]), demo=sys.argv[3:] == ["demo"])
