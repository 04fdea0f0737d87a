"""The only place that joins the parts to the world: the clock today; storage when it comes."""

from __future__ import annotations

from datetime import UTC, date, datetime


def now() -> datetime:
    """The moment, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """The day where the machine stands; paper bears it."""
    return datetime.now().astimezone().date()
