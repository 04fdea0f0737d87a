"""Cases out of a calendar (RFC 5545): of each event its number, place, time and sets; no word more."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING, Final

from sinkside.bench.case_number import case_number
from sinkside.bench.case_rows import Raw
from sinkside.errors import BadInput, UnreadableFile

if TYPE_CHECKING:
    from icalendar import Component

#: What of an event is read; whatever else it holds, such as who attends, is left out and said.
_READ: Final = frozenset(
    {"SUMMARY", "LOCATION", "DTSTART", "DTEND", "DURATION", "CATEGORIES", "STATUS", "RRULE", "RDATE"}
)
#: Belongs to the form of a calendar and says nothing of a case.
_FORM: Final = frozenset(
    {"UID", "DTSTAMP", "CREATED", "LAST-MODIFIED", "SEQUENCE", "TRANSP", "CLASS", "PRIORITY"}
)
_SETS: Final = re.compile(r"^\s*sets?\s*:(?P<sets>.*)$", re.IGNORECASE | re.MULTILINE)


def raw_events(data: bytes, left_out: list[str], *, resource: str) -> Iterator[Raw]:
    """The events of a calendar before they are judged; what of them was left out is said in `left_out`.

    Raises:
        UnreadableFile: if it is no calendar.
    """
    from icalendar import Calendar

    try:
        events = Calendar.from_ical(data).walk("VEVENT")
    except (ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise UnreadableFile("this is no calendar; expected iCalendar (.ics)", resource=resource) from error
    unread: Counter[str] = Counter(name for event in events for name in _unread(event))
    left_out += [f"Left out unread: {name.title()} of {times} events." for name, times in unread.items()]
    for number, event in enumerate(events, start=1):
        yield _raw(f"event {number}", event, left_out)


def _unread(event: Component) -> Iterator[str]:
    for name in event:
        if name in _READ or name in _FORM:
            continue
        if name != "DESCRIPTION" or _SETS.sub("", str(event[name])).strip():
            yield name


def _raw(where: str, event: Component, left_out: list[str]) -> Raw:
    words = str(event.get("SUMMARY", "")).split()
    numbers = list(dict.fromkeys(filter(None, map(_as_number, words))))
    if len(numbers) == 1 and len(words) > 1:
        left_out.append(f"{where}: words beside the case number were left out.")
    begins, ends = _when(event, "DTSTART"), _when(event, "DTEND")
    return Raw(
        where=where,
        # Two numbers in one line: nobody knows which of them is the case's.
        number=numbers[0] if len(numbers) == 1 else "",
        room=str(event.get("LOCATION", "")),
        begins=begins,
        ends=ends,
        sets=_sets(event),
        cancelled=str(event.get("STATUS", "")).upper() == "CANCELLED",
        fault="it comes again and again, which no case does" if {"RRULE", "RDATE"} & set(event) else "",
    )


def _as_number(word: str) -> str:
    try:
        return case_number(word.strip("()[]#:;,"))
    except BadInput:
        return ""


def _when(event: Component, name: str) -> datetime | None:
    """A moment of an event; None for one that fills whole days."""
    if name not in event:
        return None
    found = event.decoded(name)
    return found if isinstance(found, datetime) else None


def _sets(event: Component) -> tuple[str, ...]:
    given = event.get("CATEGORIES", [])
    categories = given if isinstance(given, list) else [given]
    named = [str(one) for group in categories for one in getattr(group, "cats", ())]
    for line in _SETS.finditer(str(event.get("DESCRIPTION", ""))):
        named += re.split(r"[;,|]", line["sets"])
    return tuple(one.strip() for one in named if one.strip())
