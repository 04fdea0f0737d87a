"""The same tests on both databases."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sinkside.archive import WorkspaceArchive
from support.archive_places import SITE, Place
from support.postgresql_server import new_database, running_server

_numbers = itertools.count()


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Path]:
    """A running PostgreSQL server."""
    with running_server() as folder:
        yield folder


@pytest.fixture(params=["sqlite", "postgresql"])
def new_place(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], Place]:
    """Gives places for workspaces, all on one kind of database."""
    server = request.getfixturevalue("postgresql") if request.param == "postgresql" else None

    def place() -> Place:
        name = f"w{os.getpid()}_{next(_numbers)}"
        return Place(tmp_path / name, new_database(server, name) if server else "")

    return place


@pytest.fixture
def place(new_place: Callable[[], Place]) -> Place:
    """An empty workspace."""
    return new_place().made()


@pytest.fixture
def archive(place: Place) -> Iterator[WorkspaceArchive]:
    """An archive with one department."""
    opened = place.open()
    with opened.unit() as unit:
        unit.sites.add(SITE)
    yield opened
    opened.close()
