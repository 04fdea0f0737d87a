"""Days as people type them, as moments in the department's own time."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def midnight(day: str, zone: str, *, days: int = 0) -> datetime | None:
    """The beginning of a day, or of one some days later; a day that is none is not searched for.

    >>> midnight("2026-07-01", "Europe/Vienna").isoformat()
    '2026-06-30T22:00:00+00:00'
    >>> midnight("yesterday", "Europe/Vienna") is None
    True
    """
    try:
        found = date.fromisoformat(day) + timedelta(days=days)
        return datetime.combine(found, time(), ZoneInfo(zone)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None
