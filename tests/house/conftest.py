"""A workspace full of invented people, to be served by the command."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside import wiring
from sinkside.demo.house import fill_house
from support.command import Sinkside, runner


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A workspace of its own with two departments and somebody for each role."""
    folder = tmp_path / "house"
    wiring.make_workspace(folder)
    fill_house(wiring.open_workspace(folder), now=wiring.now())
    return folder


@pytest.fixture(scope="session")
def sinkside() -> Sinkside:
    """The command from the checkout."""
    return runner(None)
