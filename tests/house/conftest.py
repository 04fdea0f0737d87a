"""A workspace full of invented people, to be served by the command."""

from __future__ import annotations

from pathlib import Path

import pytest

from support.command import Sinkside, quick_runner
from support.filled_house import house_at


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A workspace of its own with two departments and somebody for each role."""
    return house_at(tmp_path / "house")


@pytest.fixture
def read_house(tmp_path: Path) -> Path:
    """The same, its documents read."""
    return house_at(tmp_path / "house", is_read=True)


@pytest.fixture(scope="session")
def sinkside() -> Sinkside:
    """The command from the checkout."""
    return quick_runner()
