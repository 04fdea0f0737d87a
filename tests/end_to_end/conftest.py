"""The command from the checkout, and from the built wheel."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from support.command import ROOT, Sinkside, quick_runner, runner


@pytest.fixture(scope="session")
def wheel_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the built wheel is installed, without its dependencies."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [
        sys.executable,
        "-m",
        "build",
        "--wheel",
        "--no-isolation",
        "--outdir",
        str(folder / "dist"),
        str(ROOT),
    ]
    subprocess.run(build, check=True, capture_output=True)
    wheel = next((folder / "dist").glob("sinkside-*.whl"))
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index"]
    subprocess.run([*install, "--target", str(folder / "site"), str(wheel)], check=True, capture_output=True)
    return folder / "site"


@pytest.fixture(scope="session")
def sinkside() -> Sinkside:
    """The command from the checkout."""
    return quick_runner()


@pytest.fixture(scope="session")
def installed(wheel_site: Path) -> Sinkside:
    """The command from the built wheel."""
    return runner(wheel_site)
