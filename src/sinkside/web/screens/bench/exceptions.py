"""Exceptions: what was let out although something stood in the way, and what somebody found afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.bench.exception_form import KIND_WORDS, LONGEST_WORDS, ExceptionForm
from sinkside.desk.bench import exceptions as desk
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form
from sinkside.web.screens.bench.place import PLACE, screen

LIST: Final = f"{PLACE}/exceptions"
ONE: Final = f"{LIST}/{{exception}}"


@dataclass(frozen=True)
class ExceptionLine:
    """One exception of the list: its page, what was done for which set and case, and until when to look."""

    address: str
    kind: str
    code: str
    case: str
    by: str
    at: str
    review_by: str
    is_late: bool


@dataclass(frozen=True)
class ExceptionsPage:
    """What is still to be looked at, the longest due first; and what was looked at lately."""

    title: str
    to_review: tuple[ExceptionLine, ...]
    reviewed: tuple[ExceptionLine, ...]


@dataclass(frozen=True)
class ExceptionPage:
    """One exception.

    Attributes:
        title: the heading.
        address: of the page, where the review is sent.
        exceptions: where the list is.
        line: what was done, for which set and case.
        authority: the post of who allowed it.
        reason: why it could not wait.
        in_the_way: what stood in the way, sentence by sentence.
        later: what was learnt afterwards.
        review: what somebody found; empty before.
        review_by: who that was, and when.
        may_review: whether whoever reads this may review it.
        own: whether they made it, and so may not.
    """

    title: str
    address: str
    exceptions: str
    line: ExceptionLine
    authority: str
    reason: str
    in_the_way: tuple[str, ...]
    later: tuple[str, ...]
    review: str
    review_by: str
    may_review: bool
    own: bool


class Found(Form):
    """What somebody found who looked at an exception, and what follows from it."""

    words: str = Field("", max_length=LONGEST_WORDS)


@screen.page(LIST, right=desk.READ, template="bench_exceptions.html")
def exceptions_page(asked: Asked) -> ExceptionsPage:
    """Every exception, those first that somebody has still to look at."""
    found = desk.find_exceptions(asked.archive, asked.visitor)
    names = names_of(asked.archive, {form.by for _, form in (*found.to_review, *found.reviewed)})
    return ExceptionsPage(
        title="Exceptions",
        to_review=tuple(_line(asked, key, form, names) for key, form in found.to_review),
        reviewed=tuple(_line(asked, key, form, names) for key, form in found.reviewed),
    )


@screen.page(ONE, right=desk.READ, template="bench_exception.html")
def exception_page(asked: Asked, exception: str) -> ExceptionPage:
    """One exception: by whose authority, why, what stood in the way, and what came of it."""
    form = desk.open_exception(asked.archive, asked.visitor, exception)
    review = form.review
    names = names_of(asked.archive, {form.by, *([review.by] if review else [])})
    line = _line(asked, exception, form, names)
    by = f"{names.get(review.by, review.by)}, {shown_moment(review.at, asked.visitor.zone)}" if review else ""
    own = form.by == asked.visitor.person
    return ExceptionPage(
        title=f"{line.code}, case {line.case}",
        address=line.address,
        exceptions=asked.at("/bench/exceptions"),
        line=line,
        authority=form.authority,
        reason=form.reason,
        in_the_way=form.in_the_way,
        later=form.later,
        review=review.words if review else "",
        review_by=by,
        may_review=review is None and not own and asked.visitor.may(desk.REVIEW),
        own=own,
    )


@screen.act(ONE, right=desk.REVIEW, form=Found, page=exception_page)
def review_exception(asked: Asked, form: Found, exception: str) -> Done:
    """Keep what somebody found."""
    desk.review_exception(asked.archive, asked.visitor, exception, form.words, now=asked.now)
    return Done(go=asked.at("/bench/exceptions"), said="Kept: what you found.")


def _line(asked: Asked, key: str, form: ExceptionForm, names: Mapping[str, str]) -> ExceptionLine:
    zone = asked.visitor.zone
    return ExceptionLine(
        address=asked.at(f"/bench/exceptions/{key}"),
        kind=KIND_WORDS[form.kind],
        code=form.copy_code,
        case=form.case,
        by=names.get(form.by, form.by),
        at=shown_moment(form.at, zone),
        review_by=shown_moment(form.review_by, zone),
        is_late=form.review is None and form.review_by <= asked.now,
    )
