"""Where the pages of verification live, and how they show days."""

from __future__ import annotations

from datetime import date
from typing import Final

from sinkside.errors import BadInput
from sinkside.web.screen import DEPARTMENT, Screen

screen = Screen("verification")

PLACE: Final = f"{DEPARTMENT}/verification"


def when(due: date, today: date) -> str:
    """When something is due, in words.

    >>> when(date(2026, 3, 4), date(2026, 3, 5)), when(date(2026, 3, 9), date(2026, 3, 5))
    ('overdue since 2026-03-04', '2026-03-09')
    """
    if due < today:
        return f"overdue since {due.isoformat()}"
    return "today" if due == today else due.isoformat()


def read_day(text: str, field: str) -> date | None:
    """The day that a field says; none where it is empty.

    Raises:
        BadInput: if it is no day.
    """
    try:
        return date.fromisoformat(text.strip()) if text.strip() else None
    except ValueError as error:
        raise BadInput("expected a day, such as 2027-06-30", resource=field) from error
