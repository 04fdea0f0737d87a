"""Moments and rooms on pages of the bench: as short as they may be."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.web.asked import Asked

_STEP_S: Final = 300


def clock(asked: Asked, at: datetime) -> str:
    """A moment on the department's clock: the time alone today, else with its day."""
    zone = ZoneInfo(asked.visitor.zone)
    there, today = at.astimezone(zone), asked.now.astimezone(zone).date()
    time = there.strftime("%H:%M")
    if there.date() == today:
        return time
    if there.date() == today + timedelta(days=1):
        return f"tomorrow {time}"
    return f"{there.strftime('%a')} {there.day} {there.strftime('%b')} {time}"


def room_words(room: str) -> str:
    """A room as a sentence takes it; one that is only a number is said to be a room.

    >>> room_words("3"), room_words("OR 3"), room_words("")
    ('room 3', 'OR 3', '')
    """
    return f"room {room}" if room[:1].isdigit() else room


def in_fives(at: datetime) -> datetime:
    """A moment at the next full five minutes: an estimate is no more exact than that, and never earlier.

    >>> from datetime import UTC
    >>> in_fives(datetime(2026, 12, 1, 8, 1, tzinfo=UTC)).minute
    5
    """
    seconds = at.timestamp()
    return at + timedelta(seconds=-seconds % _STEP_S)
