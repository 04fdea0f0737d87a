"""Documents kept as revisions and read back.

The digest of each revision goes into an event, which binds it to the chain.
"""

from __future__ import annotations

import functools
import hashlib
from datetime import datetime
from typing import TypeVar

from pydantic import BaseModel

from sinkside import documents
from sinkside.desk.ports import Unit
from sinkside.errors import BadDocument, Fault
from sinkside.records import Revision

Document = TypeVar("Document", bound=BaseModel)


def keep_next(
    unit: Unit,
    kind: str,
    subject: str,
    document: BaseModel,
    *,
    by: str,
    now: datetime,
    note: str = "",
    number: int | None = None,
) -> Revision:
    """Keep a document as the next revision of its kind and subject.

    Raises:
        Conflict: if `number` is given and is not the next one.
    """
    if number is None:
        latest = unit.documents.get(kind, subject)
        number = latest.number + 1 if latest else 1
    revision = made(kind, subject, number, document, by=by, now=now, note=note)
    unit.documents.keep(revision)
    return revision


def made(
    kind: str, subject: str, number: int, document: BaseModel, *, by: str, now: datetime, note: str = ""
) -> Revision:
    """A document as a revision that is still to be kept."""
    body = documents.to_json(document, compact=True)
    digest = hashlib.sha256(body.encode()).hexdigest()
    return Revision(kind, subject, number, body, digest, by, now, note)


def read_kept(
    unit: Unit, kind: str, subject: str, document: type[Document], number: int | None = None
) -> Document | None:
    """A document as it was kept, the latest unless told; none if there is none."""
    revision = unit.documents.get(kind, subject, number)
    return from_revision(revision, document) if revision else None


def digest_of(unit: Unit, kind: str, subject: str) -> str:
    """The digest of a document's latest revision; empty where there is none."""
    revision = unit.documents.get(kind, subject)
    return revision.digest if revision else ""


def from_revision(revision: Revision, document: type[Document]) -> Document:
    """The document that a revision holds.

    Raises:
        BadDocument: if it does not fit its format.
    """
    try:
        kept: Document = _read(document, revision.body)
    except ValueError as error:
        where = f"{revision.kind} {revision.subject} revision {revision.number}"
        raise BadDocument(
            [Fault("", "this stored document does not fit its format")], resource=where
        ) from error
    return kept


@functools.lru_cache(maxsize=200)
def _read(document: type[Document], body: str) -> Document:
    """The document of some stored text; what many people look at is read once, and text does not change."""
    return document.model_validate_json(body)
