"""Exceptions at the bench: kept loudly, with what stood in the way, and looked at by somebody else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.exception_form import KIND_WORDS, ExceptionForm, reviewed
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.findings import Level
from sinkside.records import Row

EXCEPTION: Final = "exception"
READ: Final = "bench-read"
REVIEW: Final = "exception-review"

_TO_REVIEW: Final = "to-review"
_REVIEWED: Final = "reviewed"
_LIST: Final = KeptList(EXCEPTION, ExceptionForm, "exception")
_LATEST: Final = 60


@dataclass(frozen=True)
class ExceptionsFound:
    """What is still to be looked at, the longest due first; and what was looked at lately."""

    to_review: tuple[tuple[str, ExceptionForm], ...]
    reviewed: tuple[tuple[str, ExceptionForm], ...]


def find_exceptions(archive: Archive, who: Visitor) -> ExceptionsFound:
    """The exceptions of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return ExceptionsFound(
            _LIST.all(unit, who, [_TO_REVIEW]), _LIST.all(unit, who, [_REVIEWED], most=_LATEST)
        )


def open_exception(archive: Archive, who: Visitor, exception: str) -> ExceptionForm:
    """One exception as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _LIST.opened(unit, who, exception)


def subject_of(exception: str) -> str:
    """How an exception stands in events."""
    return f"{EXCEPTION}:{exception}"


def keep_exception(unit: Unit, who: Visitor, form: ExceptionForm, *, now: datetime) -> str:
    """Keep an exception within a transaction, and say its id; what it allows is the caller's to do."""
    exception = new_id("x")
    _keep(unit, who, exception, form, event="exception-made", now=now)
    return exception


def learnt_later(unit: Unit, who: Visitor, exception: str, words: str, *, now: datetime) -> None:
    """Add to an exception what was learnt afterwards, such as a late result.

    Raises:
        NotThere: if there is none here.
    """
    form = _LIST.opened(unit, who, exception)
    after = form.model_copy(update={"later": (*form.later, words)})
    _keep(unit, who, exception, after, event="exception-learnt-later", now=now)


def review_exception(archive: Archive, who: Visitor, exception: str, words: str, *, now: datetime) -> None:
    """Keep what somebody found who looked at an exception afterwards.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if it was reviewed already.
        BadInput: if it is who made it, or hardly anything was written.
    """
    require(who, REVIEW)
    with archive.unit() as unit:
        after = reviewed(_LIST.opened(unit, who, exception), by=who.person, at=now, words=words)
        _keep(unit, who, exception, after, event="exception-reviewed", now=now)


def to_review(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[tuple[Level, str, Row]]:
    """What Today says of exceptions to whoever may review them: late ones as a stop."""
    if not who.may(REVIEW):
        return
    for row in unit.rows.all(EXCEPTION, [who.department], states=[_TO_REVIEW]):
        if row.fields.get("by") != who.person:
            late = row.due is not None and row.due <= now
            yield Level.stop if late else Level.concern, f"{row.title}: look at this exception.", row


def _keep(unit: Unit, who: Visitor, key: str, form: ExceptionForm, *, event: str, now: datetime) -> None:
    line = Line(
        _REVIEWED if form.review else _TO_REVIEW,
        f"{form.copy_code}, case {form.case}: {KIND_WORDS[form.kind]}",
        None if form.review else form.review_by,
        {"kind": form.kind.value, "by": form.by, "run": form.run},
    )
    data = {"kind": form.kind.value, "run": form.run, "case": form.case, "code": form.copy_code}
    _LIST.keep(unit, who, key, form, line, event=event, now=now, data=data)
