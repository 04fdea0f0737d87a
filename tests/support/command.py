"""The command as people run it, and what a run of it gave back."""

from __future__ import annotations

import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sinkside.cli import main

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "tests" / "samples"


@dataclass(frozen=True)
class Ran:
    """What a run of the command gave back."""

    status: int
    out: str
    err: str

    @property
    def values(self) -> Any:
        """Standard output as JSON."""
        return json.loads(self.out)

    @property
    def lines(self) -> list[Any]:
        """Standard output as one JSON value a line."""
        return [json.loads(line) for line in self.out.splitlines()]


Sinkside = Callable[..., Ran]


def runner(site: Path | None) -> Sinkside:
    """The command from the checkout, or from a folder into which a wheel was installed."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    if site:
        environment["PYTHONPATH"] = str(site)

    def run(*arguments: str | Path, timeout_s: float = 120) -> Ran:
        done = subprocess.run(
            [sys.executable, "-W", "error", "-m", "sinkside", *map(str, arguments)],
            capture_output=True,
            text=True,
            env=environment,
            timeout=timeout_s,
            check=False,
        )
        return Ran(done.returncode, done.stdout, done.stderr)

    return run


#: What most verbs import; a child that is forked from a process that has them starts at once.
_IMPORTED_BEFORE: Final = (
    "sinkside.cli.app",
    "sinkside.desk.work",
    "sinkside.wiring",
    "polars",
    "pint",
    "typst",
)


def quick_runner() -> Sinkside:
    """The command from the checkout, each run in a process that need not import everything anew."""
    forking = multiprocessing.get_context("forkserver")
    forking.set_forkserver_preload(list(_IMPORTED_BEFORE))

    def run(*arguments: str | Path, timeout_s: float = 120) -> Ran:
        with tempfile.TemporaryDirectory() as folder:
            out, err = Path(folder, "out"), Path(folder, "err")
            child = forking.Process(target=_command, args=([*map(str, arguments)], str(out), str(err)))
            child.start()
            child.join(timeout_s)
            if child.exitcode is None:
                child.kill()
                raise subprocess.TimeoutExpired([*map(str, arguments)], timeout_s)
            return Ran(child.exitcode, out.read_text("utf-8"), err.read_text("utf-8"))

    return run


def _command(arguments: list[str], out: str, err: str) -> None:
    for file, number in ((out, 1), (err, 2)):
        os.dup2(os.open(file, os.O_WRONLY | os.O_CREAT), number)
    sys.stdin, sys.stdout, sys.stderr = (
        os.fdopen(0, encoding="utf-8"),
        os.fdopen(1, "w", encoding="utf-8"),
        os.fdopen(2, "w", encoding="utf-8"),
    )
    sys.argv = ["sinkside", *arguments]
    warnings.simplefilter("error")
    main()
