"""The form without which no exception is made: authority, reason, case, and a review the next day."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from enum import StrEnum
from typing import Final, Literal
from zoneinfo import ZoneInfo

from pydantic import AwareDatetime, Field

from sinkside.bench.case_number import CaseNumber
from sinkside.documents import Value
from sinkside.errors import BadInput, Conflict

LONGEST_WORDS: Final = 2000

#: Fewer signs are no reason and no authority (common practice, no source).
SHORTEST_WORDS: Final = 8


class ExceptionKind(StrEnum):
    """What is done although something stands in the way."""

    issue = "issue"
    early_implant = "early-implant"
    immediate_use = "immediate-use"
    water_event = "water-event"


KIND_WORDS: Final[dict[ExceptionKind, str]] = {
    ExceptionKind.issue: "issued under exception",
    ExceptionKind.early_implant: "implant let out before its biological result",
    ExceptionKind.immediate_use: "processed for immediate use",
    ExceptionKind.water_event: "one load run during a water event",
}


class Review(Value):
    """That somebody looked at an exception afterwards: what they found, and what follows from it."""

    by: str
    at: AwareDatetime
    words: str = Field(min_length=SHORTEST_WORDS, max_length=LONGEST_WORDS)


class ExceptionForm(Value):
    """An exception as it was made (`sinkside/exception-1`).

    Attributes:
        kind: which exception.
        copy_code: the code of the set or instrument that it was made for.
        run: the run that it was made in.
        case: the number of the case, never a name.
        authority: the post of whoever allowed it, such as surgeon on duty in theatre 2; never a name.
        reason: why it could not wait.
        in_the_way: every sentence of what stood in the way at that moment.
        by: who filled it in.
        at: when.
        review_by: until when somebody else has to look at it: the end of the next day here.
        review: what came of that.
        later: what was learnt afterwards, such as a late result, and what it links to.
    """

    format: Literal["sinkside/exception-1"] = "sinkside/exception-1"
    kind: ExceptionKind
    copy_code: str = Field(min_length=1)
    run: str = ""
    case: CaseNumber
    authority: str = Field(min_length=SHORTEST_WORDS, max_length=LONGEST_WORDS)
    reason: str = Field(min_length=SHORTEST_WORDS, max_length=LONGEST_WORDS)
    in_the_way: tuple[str, ...] = ()
    by: str
    at: AwareDatetime
    review_by: AwareDatetime
    review: Review | None = None
    later: tuple[str, ...] = ()


def review_until(at: datetime, zone: str) -> datetime:
    """The end of the day after an exception, where the department is.

    >>> from datetime import UTC
    >>> review_until(datetime(2026, 3, 1, 23, 30, tzinfo=UTC), "Europe/Vienna").isoformat()
    '2026-03-03T23:59:00+01:00'
    """
    there = ZoneInfo(zone)
    day = at.astimezone(there).date() + timedelta(days=1)
    return datetime.combine(day, time(23, 59), there)


def reviewed(form: ExceptionForm, *, by: str, at: datetime, words: str) -> ExceptionForm:
    """The same form with what somebody else found when they looked at it.

    Raises:
        Conflict: if it was reviewed already.
        BadInput: if it is who made the exception, or hardly anything was written.
    """
    if form.review is not None:
        raise Conflict("this exception was reviewed already", resource=form.copy_code)
    if by == form.by:
        raise BadInput("nobody reviews their own exception; expected somebody else", resource="by")
    plain = " ".join(words.split())
    if not SHORTEST_WORDS <= len(plain) <= LONGEST_WORDS:
        raise BadInput(
            f"expected what you found, in {SHORTEST_WORDS} to {LONGEST_WORDS} signs", resource="words"
        )
    return form.model_copy(update={"review": Review(by=by, at=at, words=plain)})
