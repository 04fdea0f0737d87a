"""Moments as people type them into fields for day and time, on the department's clock."""

from __future__ import annotations

from datetime import MAXYEAR, MINYEAR, UTC, datetime
from zoneinfo import ZoneInfo

from sinkside.errors import BadInput
from sinkside.journal import moment
from sinkside.web.asked import Asked

_EXPECTED = "expected a day and a time, such as 2026-12-02T07:30"


def typed(asked: Asked, at: datetime) -> str:
    """A moment as a field for day and time holds it."""
    return at.astimezone(ZoneInfo(asked.visitor.zone)).strftime("%Y-%m-%dT%H:%M")


def read_moment(asked: Asked, text: str, *, field: str, expected: str = _EXPECTED) -> datetime:
    """The moment, in UTC, that a field says; a distance from UTC behind it settles an hour that occurs twice.

    Raises:
        BadInput: if it says none, or one that clocks skipped, or showed twice without saying which.
    """
    try:
        said = datetime.fromisoformat(text.strip())
    except ValueError as error:
        raise BadInput(expected, resource=field) from error
    if not MINYEAR < said.year < MAXYEAR:
        raise BadInput(expected, resource=field)
    offset = said.utcoffset()
    try:
        return moment(said.replace(tzinfo=None), asked.visitor.zone, offset=offset).astimezone(UTC)
    except BadInput as error:
        how = f"; type it with its distance from UTC, such as {text.strip()}+02:00" if offset is None else ""
        raise BadInput(f"{error.message}{how}", resource=field) from error
