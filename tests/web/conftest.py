"""A demo house in memory, and people who send requests to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from fastapi import FastAPI

from sinkside import wiring
from sinkside.demo.house import fill_house
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from support.browserless import Caller, signed_in
from support.memory_archive import MemoryArchive

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


@dataclass(frozen=True)
class House:
    """The application over a demo house in memory."""

    app: FastAPI
    archive: MemoryArchive

    def caller(self, sign_in: str = "", *, shared_tablet: bool = False) -> Caller:
        """Somebody who sends requests: nobody in particular, or somebody signed in."""
        if not sign_in:
            return Caller(self.app)
        return signed_in(self.app, self.archive, sign_in, now=NOW, shared_tablet=shared_tablet)


@pytest.fixture(scope="session")
def filled() -> MemoryArchive:
    """A demo house, made once."""
    archive = MemoryArchive()
    fill_house(archive, now=NOW)
    return archive


@pytest.fixture(scope="module")
def house(filled: MemoryArchive) -> House:
    """The application over the demo house."""
    return make_house(MemoryArchive(filled.tables))


@pytest.fixture
def fresh(filled: MemoryArchive) -> House:
    """The application over a demo house of its own, to be changed."""
    return make_house(MemoryArchive(filled.tables))


@pytest.fixture
def caller(fresh: House) -> Callable[..., Caller]:
    """People of a house of its own."""
    return fresh.caller


def make_house(archive: MemoryArchive, settings: Settings | None = None) -> House:
    """The application over an archive."""
    context = Context(
        archive=archive,
        settings=settings or Settings(),
        clock=lambda: NOW,
        badge_key=bytes(32),
        handlers=wiring.job_handlers(),
        demo=True,
    )
    return House(create_app(context), archive)
