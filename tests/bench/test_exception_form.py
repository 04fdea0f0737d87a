"""Exceptions: every field is demanded, and somebody else looks at it the next day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pydantic import ValidationError

from sinkside.bench.exception_form import ExceptionForm, review_until, reviewed
from sinkside.errors import BadInput, Conflict

AT = datetime(2026, 3, 2, 14, 20, tzinfo=UTC)
SAID: dict[str, Any] = {
    "kind": "early-implant",
    "copy_code": "K-1",
    "case": "2026-0311",
    "authority": "surgeon on duty, theatre 2",
    "reason": "no other set of this size in the house",
    "by": "p-1",
    "at": AT,
    "review_by": AT + timedelta(days=1),
}


@pytest.mark.parametrize("field", ["case", "authority", "reason", "copy_code"])
@pytest.mark.parametrize("said", [None, ""])
def test_every_field_is_demanded(field: str, said: str | None) -> None:
    """Scene 4: the form demands every field; one that is missing or empty makes no exception."""
    values = {key: value for key, value in SAID.items() if key != field or said is not None}
    if said is not None:
        values[field] = said
    with pytest.raises(ValidationError, match=field):
        ExceptionForm.model_validate(values)


def test_it_is_reviewed_by_somebody_else_once() -> None:
    """Not by who made it, not in a word, not twice."""
    form = ExceptionForm.model_validate(SAID)
    later = AT + timedelta(hours=18)
    with pytest.raises(BadInput, match="nobody reviews their own exception"):
        reviewed(form, by="p-1", at=later, words="it was right to do so")
    with pytest.raises(BadInput, match="expected what you found"):
        reviewed(form, by="p-2", at=later, words="  ok ")
    done = reviewed(form, by="p-2", at=later, words="a second set is bought")
    assert done.review is not None
    assert done.review.by == "p-2"
    with pytest.raises(Conflict, match="reviewed already"):
        reviewed(done, by="p-3", at=later, words="a second set is bought")


def test_the_review_is_due_by_the_end_of_the_next_day_here() -> None:
    """Clocks go forward on 29 March 2026 in Vienna (IANA tz database): the next day ends at 21:59 UTC."""
    until = review_until(datetime(2026, 3, 28, 12, 0, tzinfo=UTC), "Europe/Vienna")
    assert until.astimezone(UTC) == datetime(2026, 3, 29, 21, 59, tzinfo=UTC)
