"""Events and the bytes that stand for them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import JsonValue, ValidationError

from sinkside.errors import BadInput
from sinkside.journal import Event, Happening, link, read_event

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
FIELDS: dict[str, Any] = {
    "at": AT,
    "zone": "Europe/Vienna",
    "kind": "step-done",
    "actor": "p-AAAAAAAAAAAAAAAA",
    "subject": "run-7",
    "data": {"step": "s3", "held_s": 61.5},
}

EARLIEST = datetime.fromisoformat("1900-01-01")
_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
_WHOLE = st.integers(-(2**53) + 1, 2**53 - 1)
JSON_VALUES: st.SearchStrategy[JsonValue] = st.recursive(
    st.none() | st.booleans() | _WHOLE | st.floats(allow_nan=False, allow_infinity=False) | _TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_TEXT, inner, max_size=3),
    max_leaves=8,
)


def test_the_bytes_of_an_event() -> None:
    """An event is written with its names in order, its time in UTC to the microsecond, and no spaces."""
    event = link(None, Happening(**FIELDS))
    assert event.canonical.decode() == (
        '{"actor":"p-AAAAAAAAAAAAAAAA","at":"2026-03-02T09:30:00.000000Z",'
        '"data":{"held_s":61.5,"step":"s3"},"format":"sinkside/event-1","kind":"step-done",'
        f'"previous":"{"0" * 64}","sequence":1,"subject":"run-7","zone":"Europe/Vienna"}}'
    )


@given(st.dictionaries(_TEXT, JSON_VALUES, max_size=4), st.datetimes(min_value=EARLIEST))
def test_an_event_reads_back_from_its_bytes(data: dict[str, JsonValue], clock: datetime) -> None:
    """Whatever an event carries, its bytes read back to an event with the same bytes."""
    event = link(None, Happening(**{**FIELDS, "data": data, "at": clock.replace(tzinfo=UTC)}))
    again = read_event(event.canonical)
    assert again.canonical == event.canonical
    assert again.at == event.at


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            {"at": datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=1)))},
            "expected a moment in UTC",
        ),
        ({"at": "2026-03-02T09:30:00"}, "timezone"),
        ({"actor": "Maria Huber"}, "actor"),
        ({"kind": "Step Done"}, "kind"),
        ({"zone": "Europe/../Vienna"}, "zone"),
        ({"subject": ""}, "subject"),
        ({"data": {"held_s": float("nan")}}, "canonical JSON"),
        ({"data": {"count": 2**60}}, "canonical JSON"),
        ({"name": "Maria"}, "Extra inputs"),
    ],
)
def test_what_no_event_may_carry(change: dict[str, Any], said: str) -> None:
    """Local times, names in place of pseudonyms, and numbers that programs disagree on are refused."""
    with pytest.raises(ValidationError, match=said):
        Happening(**{**FIELDS, **change})


def test_a_zone_must_be_known_when_the_event_is_made() -> None:
    """A new event in a zone that no clock keeps is refused in words."""
    with pytest.raises(BadInput, match="'Europe/Atlantis' is no time zone"):
        link(None, Happening(**{**FIELDS, "zone": "Europe/Atlantis"}))


@pytest.mark.parametrize("stored", [b"", b"\xff", b"{}", b"[1]", b"[" * 100_000, b'{"sequence":1e999}'])
def test_bytes_that_are_no_event(stored: bytes) -> None:
    """Anything else than an event's bytes is refused in words."""
    with pytest.raises(BadInput, match="these bytes are no event"):
        read_event(stored)


def test_bytes_that_say_the_same_in_another_way() -> None:
    """An event with an added space, or a name twice, is not as it is written."""
    stored = link(None, Happening(**FIELDS)).canonical
    twice = stored.replace(b'"sequence":1', b'"sequence":1,"sequence":1')
    for other in (stored.replace(b":", b": ", 1), twice):
        with pytest.raises(BadInput, match="not as an event is written"):
            read_event(other)


def test_an_event_cannot_be_changed() -> None:
    """The fields of an event are frozen."""
    event = link(None, Happening(**FIELDS))
    with pytest.raises(ValidationError, match="frozen"):
        Event.__setattr__(event, "subject", "run-8")
    assert isinstance(event, Event)
