"""Events: what happened, when, to what, by whom; and the bytes that stand for them.

Canonical bytes follow RFC 8785 (JSON Canonicalization Scheme, 2020), so that any program can recompute them.
"""

from __future__ import annotations

import functools
import hashlib
import json
from datetime import UTC, datetime, timedelta
from typing import Any, Literal, Self

import rfc8785
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, JsonValue, ValidationError, field_validator

from sinkside.errors import BadInput

#: What the first event of a chain has for the digest of the one before it.
NO_EVENT = "0" * 64

#: Beyond this, a JSON number is a float for RFC 8785 (I-JSON, RFC 7493, section 2.2).
_LARGEST_WHOLE = 2**53 - 1

_KIND = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
_ZONE = r"^[A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+)*$"
_ACTOR = r"^(p-[A-Z2-7]{16}|system)$"


class Happening(BaseModel):
    """Something that happened, not yet in the journal.

    `actor` is a pseudonym or `system`, `subject` the id of what it concerns; no field carries a person's
    name. `zone` is the IANA zone in which `at`, kept in UTC, was lived.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    at: AwareDatetime
    zone: str = Field(pattern=_ZONE)
    kind: str = Field(pattern=_KIND)
    actor: str = Field(pattern=_ACTOR)
    subject: str = Field(min_length=1)
    data: dict[str, JsonValue] = {}

    @field_validator("at")
    @classmethod
    def _in_utc(cls, at: datetime) -> datetime:
        if at.utcoffset() != timedelta(0):
            raise ValueError("expected a moment in UTC")
        return at.astimezone(UTC)

    @field_validator("data")
    @classmethod
    def _writable(cls, data: dict[str, JsonValue]) -> dict[str, JsonValue]:
        try:
            canonical_bytes(data)
        except BadInput as error:
            raise ValueError(error.message) from error
        return data


class Event(Happening):
    """One event of a department's journal, bound to the one before it by that one's digest."""

    format: Literal["sinkside/event-1"] = "sinkside/event-1"
    sequence: int = Field(ge=1)
    previous: str = Field(pattern=r"^[0-9a-f]{64}$")

    @property
    def canonical(self) -> bytes:
        """The bytes that stand for the event, in storage and under its digest."""
        return canonical_bytes(
            {
                "format": self.format,
                "sequence": self.sequence,
                "at": self.at.isoformat(timespec="microseconds").replace("+00:00", "Z"),
                "zone": self.zone,
                "kind": self.kind,
                "actor": self.actor,
                "subject": self.subject,
                "data": self.data,
                "previous": self.previous,
            }
        )

    @functools.cached_property
    def digest(self) -> str:
        """SHA-256 of the canonical bytes, hexadecimal."""
        return hashlib.sha256(self.canonical).hexdigest()

    @classmethod
    def from_happening(cls, happening: Happening, *, sequence: int, previous: str) -> Self:
        """The event that a happening becomes at its place in the chain."""
        known = {name: getattr(happening, name) for name in Happening.model_fields}
        return cls(**known, sequence=sequence, previous=previous)


def canonical_bytes(value: Any) -> bytes:
    r"""The one way to write a JSON value as bytes (RFC 8785).

    Raises:
        BadInput: if it is no JSON value, or a number that JSON programs do not agree on.

    >>> canonical_bytes({"b": 1.0, "a": "é"})
    b'{"a":"\xc3\xa9","b":1}'
    """
    try:
        return rfc8785.dumps(value)
    except (rfc8785.CanonicalizationError, UnicodeEncodeError, TypeError) as error:
        raise BadInput(f"this cannot be written as canonical JSON: {error}") from error


def read_event(stored: bytes) -> Event:
    """The event that stored bytes stand for.

    Raises:
        BadInput: if they are no event, or not exactly the bytes that it is written as.
    """
    try:
        event = Event.model_validate(json.loads(stored, parse_int=_whole))
    except (ValidationError, ValueError, RecursionError) as error:
        raise BadInput("these bytes are no event") from error
    if event.canonical != stored:
        raise BadInput("these bytes are not as an event is written")
    return event


def _whole(digits: str) -> int | float:
    # RFC 8785 writes a float such as 1e20 without a point; read back as a whole number it would be refused.
    number = float(digits)
    return int(digits) if abs(number) <= _LARGEST_WHOLE else number
