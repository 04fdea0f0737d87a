"""The page that says what went wrong."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus

from sinkside.web.problems import ErrorDetail

_TITLES = {
    HTTPStatus.UNAUTHORIZED: "Sign in first",
    HTTPStatus.FORBIDDEN: "Not allowed",
    HTTPStatus.NOT_FOUND: "Nothing here",
    HTTPStatus.CONFLICT: "Somebody was quicker",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "Too large",
    HTTPStatus.INTERNAL_SERVER_ERROR: "Something went wrong",
}
_NOT_FOR_THE_FLOOR = "Not for the floor"


@dataclass(frozen=True)
class ErrorPage:
    """What went wrong: the title, one sentence, what was expected, and the request's id for the log."""

    title: str
    sentence: str
    where: str
    request: str


def error_page(status: HTTPStatus, detail: ErrorDetail) -> ErrorPage:
    """The page for an error."""
    return ErrorPage(
        title=_NOT_FOR_THE_FLOOR
        if detail.what == "not-for-the-floor"
        else _TITLES.get(status, "That cannot be used"),
        sentence=detail.sentence,
        # What a right or a thing is called inside helps nobody but whoever mends an address.
        where=detail.where if status is HTTPStatus.UNPROCESSABLE_ENTITY else "",
        request=detail.request,
    )
