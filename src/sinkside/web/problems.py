"""What went wrong, for people and for programs: the one place where errors become statuses."""

from __future__ import annotations

from http import HTTPStatus
from typing import Final

from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, ValidationError
from starlette.exceptions import HTTPException

from sinkside.documents import faults_of, plain_words
from sinkside.errors import (
    BadDocument,
    BadInput,
    Conflict,
    Fault,
    NotAllowed,
    NotForTheFloor,
    NotThere,
    OutsideValidity,
    SinksideError,
    UnreadableFile,
)
from sinkside.web.asked import FieldFault, Problem


class NotSignedIn(NotAllowed):
    """Nobody is signed in, or their session is over."""


class TooLarge(BadInput):
    """What was sent is larger than is taken."""


class ErrorDetail(BaseModel):
    """One sentence; what kind of thing went wrong, where; what was expected; the request's id for the log."""

    sentence: str
    what: str
    where: str = ""
    expected: str | None = None
    request: str


class ErrorAnswer(BaseModel):
    """The one shape of every error."""

    error: ErrorDetail


#: The first row that fits decides.
_STATUSES: Final[tuple[tuple[type[SinksideError], HTTPStatus, str], ...]] = (
    (NotSignedIn, HTTPStatus.UNAUTHORIZED, "not-signed-in"),
    (TooLarge, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too-large"),
    (NotAllowed, HTTPStatus.FORBIDDEN, "not-allowed"),
    (NotThere, HTTPStatus.NOT_FOUND, "not-there"),
    (Conflict, HTTPStatus.CONFLICT, "conflict"),
    (NotForTheFloor, HTTPStatus.CONFLICT, "not-for-the-floor"),
    (OutsideValidity, HTTPStatus.UNPROCESSABLE_ENTITY, "outside-validity"),
    (BadInput, HTTPStatus.UNPROCESSABLE_ENTITY, "bad-input"),
)

_PLAIN: Final = {
    HTTPStatus.NOT_FOUND: ("not-there", "there is nothing at this address"),
    HTTPStatus.METHOD_NOT_ALLOWED: ("bad-input", "this address does not take that kind of request"),
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: ("too-large", "what was sent is larger than is taken"),
}


def told(error: Exception, request_id: str) -> tuple[HTTPStatus, ErrorDetail]:
    """The status and the words for an error; of a crash only the request's id is told."""
    if isinstance(error, (RequestValidationError, ValidationError)):
        error = as_bad_document(error)
    if isinstance(error, HTTPException):
        status = HTTPStatus(error.status_code)
        what, sentence = _PLAIN.get(status, ("bad-input", "this request cannot be understood"))
        return status, ErrorDetail(sentence=_sentence(sentence), what=what, request=request_id)
    if isinstance(error, SinksideError):
        for kind, status, what in _STATUSES:
            if isinstance(error, kind):
                return status, _detail(error, what, request_id)
    sentence = f"Something went wrong in Sinkside; the log has it under {request_id}."
    return HTTPStatus.INTERNAL_SERVER_ERROR, ErrorDetail(sentence=sentence, what="crash", request=request_id)


def as_problem(error: Exception, typed: dict[str, tuple[str, ...]]) -> Problem:
    """An error as faults beside the fields of a form."""
    if isinstance(error, (RequestValidationError, ValidationError)):
        error = as_bad_document(error)
    if isinstance(error, BadDocument):
        faults = tuple(
            FieldFault(fault.path.partition("[")[0], _sentence(fault.problem)) for fault in error.faults
        )
    else:
        message = error.message if isinstance(error, SinksideError) else str(error)
        if isinstance(error, UnreadableFile) and error.resource:
            message = f"{error.resource}: {message}"
        resource = error.resource if isinstance(error, SinksideError) else ""
        faults = (FieldFault(resource if resource in typed else "", _sentence(message)),)
    return Problem(faults=faults, typed=typed)


def as_bad_document(error: RequestValidationError | ValidationError) -> BadDocument:
    """A refused request with every fault in plain words."""
    if isinstance(error, ValidationError):
        return BadDocument(faults_of(error))
    faults = [
        Fault(
            ".".join(str(key) for key in fault["loc"][1:]),
            plain_words(fault["type"], fault["msg"], fault.get("ctx", {})),
        )
        for fault in error.errors()
    ]
    return BadDocument(faults)


def _detail(error: SinksideError, what: str, request_id: str) -> ErrorDetail:
    where = error.resource
    if isinstance(error, BadDocument) and not where:
        where = ", ".join(dict.fromkeys(fault.path for fault in error.faults if fault.path))
    head, found, expected = error.message.partition("expected ")
    return ErrorDetail(
        sentence=_sentence(error.message or head),
        what=what,
        where=where,
        expected=expected if found else None,
        request=request_id,
    )


def _sentence(text: str) -> str:
    """Words as a sentence: a capital, a stop."""
    text = text.strip()
    if not text:
        return "This cannot be used."
    # A name of a file or of a field keeps its letters.
    first = text if "." in text.split(maxsplit=1)[0].rstrip(".:") else text[0].upper() + text[1:]
    return first + ("" if text[-1] in ".!?" else ".")
