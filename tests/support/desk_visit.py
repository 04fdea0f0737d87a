"""People of a desk's house who send requests to the application over it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI

from sinkside import wiring
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from support.browserless import Caller, signed_in
from support.desk_house import House


@dataclass(frozen=True)
class DeskVisit:
    """The application over a house that a test of the desk would make."""

    house: House
    app: FastAPI

    def caller(self, name: str) -> Caller:
        """Somebody signed in."""
        return signed_in(self.app, self.house.archive, name, now=self.house.now)

    def json(self, name: str, address: str) -> Any:
        """What a page tells programs."""
        answer = self.caller(name).get(f"/api{address}")
        assert answer.status_code == 200, answer.text
        return answer.json()


def app_over(house: House, *, demo: bool = False) -> FastAPI:
    """The application over a house, at the house's own moment."""
    context = Context(
        archive=house.archive,
        settings=Settings(),
        clock=lambda: house.now,
        badge_key=bytes(32),
        handlers=wiring.job_handlers(),
        demo=demo,
    )
    return create_app(context)


def sent(caller: Caller, path: str, **fields: str) -> str:
    """Send a form that is taken, and say where it leads."""
    answer = caller.post(path, fields)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])
