"""The command as people run it, and what a run of it gave back."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

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
