"""What pages of the bench show again and again: the scanner's field, acts as forms, tasks, other sets."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.web.asked import Asked
from sinkside.web.screen import Option
from sinkside.web.screens.teaching.steps_shown import FigureShown

#: What stands before a command in a code of the sheet of codes; letters that every keyboard has alike.
COMMAND: Final = "TAP "

#: What a code that is scanned without the network is kept as, by station.
_ON_SCANNING: Final = {"sink": "take-up", "bench": "to-clean-side", "packing": "to-packing"}


@dataclass(frozen=True)
class FrameShown:
    """What every page of the bench needs.

    Attributes:
        person: who taps; a tablet keeps a queue for each.
        here: the page's own address.
        at: now, by the house's clock.
        taps: where queues send.
        tap: where a form without script sends.
        scan: where a scanned code is sent.
        photo: where a photo of one is sent.
        scan_key: makes a scan harmless that is sent twice.
        station: which one; empty where the page is of none.
        copy: the id of the set that is open; empty where none is.
        arrive: the act that keeps a code that was scanned without the network, as JSON; empty where none is.
    """

    person: str
    here: str
    at: str
    taps: str
    tap: str
    scan: str
    photo: str
    scan_key: str
    station: str
    copy: str
    arrive: str


@dataclass(frozen=True)
class ActShown:
    """One act as a form.

    Attributes:
        id: of the form; the same each time that the page is made.
        words: on its button.
        told: the act in words, for the list of what waits.
        act: what is sent, as JSON; the form's own fields go into it.
        key: makes a repeat harmless.
        effect: what it does to the page at once: `task`, `station` or `begin`; empty for nothing.
        begins: how many seconds the timer that it begins must run.
        command: the code of the sheet of codes that presses the button.
        style: the look of the button.
        times: how often the thing is done before it counts as done.
        once: the words for doing it once.
        leads: the page that comes next; empty to stay.
        when_over: whether it waits for the timer of its task.
        after_begin: whether it is of use only once the timer was begun.
        is_hidden: whether it is not of use yet.
    """

    id: str
    words: str
    told: str
    act: str
    key: str
    effect: str = ""
    begins: int = 0
    command: str = ""
    style: str = ""
    times: int = 1
    once: str = ""
    leads: str = ""
    when_over: bool = False
    after_begin: bool = False
    is_hidden: bool = False


@dataclass(frozen=True)
class LineAsked:
    """A line that an act asks for: its field, what it is called, whether it must be said, which keyboard."""

    name: str
    label: str
    required: bool = True
    inputmode: str = ""


@dataclass(frozen=True)
class ChoiceAsked:
    """One of several that an act asks for."""

    name: str
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True)
class MoreShown:
    """An act that is rare, behind its summary, with what it asks for."""

    summary: str
    act: ActShown
    lines: tuple[LineAsked, ...] = ()
    choices: tuple[ChoiceAsked, ...] = ()


@dataclass(frozen=True)
class TaskShown:
    """One task of a station.

    Attributes:
        id: its own.
        letter: its letter on the route.
        headline: one short sentence.
        member: the device of the set.
        details: what belongs to it, one thing a line.
        cautions: of the maker's text.
        figures: its figures, large.
        picture: the device drawn in its position; empty where that says nothing new.
        stands: `now`, `next`, `later` or `done`.
        ready_at: when its timer is over; empty where none was begun.
        left: how long that is, as a clock shows it.
        begin: begins its timer; none where it has none.
        do: says that it was done.
        deviate: says that it was done otherwise.
    """

    id: str
    letter: str
    headline: str
    member: str
    details: tuple[str, ...]
    cautions: tuple[str, ...]
    figures: tuple[FigureShown, ...]
    picture: str
    stands: str
    ready_at: str
    left: str
    begin: ActShown | None
    do: ActShown | None
    deviate: ActShown | None


@dataclass(frozen=True)
class HereShown:
    """Another set at this station: its name, code, page, how far it is, what runs, what else is to know."""

    name: str
    code: str
    address: str
    progress: str
    under: str
    ready_at: str
    left: str
    is_open: bool


@dataclass(frozen=True)
class DoneShown:
    """Something that was done with a set: in words, when, by whom."""

    words: str
    at: str
    by: str


def frame(asked: Asked, *, here: str, station: str = "", copy: str = "") -> FrameShown:
    """What every page of the bench needs; a tablet keeps a queue for each person.

    Args:
        asked: who asks.
        here: the page's own address.
        station: which one it belongs to, if to one.
        copy: the id of the set that is open, if one is.
    """
    return FrameShown(
        person=asked.visitor.person,
        here=here,
        at=asked.now.isoformat(),
        taps=f"/api{asked.at('/bench/taps')}",
        tap=asked.at("/bench/tap"),
        scan=asked.at("/bench/scan"),
        photo=asked.at("/bench/photo"),
        scan_key=new_key(),
        station=station,
        copy=copy,
        arrive=json.dumps({"act": _ON_SCANNING[station]}) if station in _ON_SCANNING else "",
    )


def new_key() -> str:
    """A key for one tap."""
    return secrets.token_hex(16)


def clock(ready_at: datetime | None, now: datetime) -> str:
    """How long a timer still runs, as a clock shows it.

    >>> from datetime import UTC, datetime, timedelta
    >>> noon = datetime(2026, 7, 1, 12, tzinfo=UTC)
    >>> clock(noon + timedelta(seconds=75), noon), clock(noon, noon), clock(None, noon)
    ('1:15', '0:00', '')
    """
    if ready_at is None:
        return ""
    left = max(0, int(-(-(ready_at - now).total_seconds() // 1)))
    return f"{left // 60}:{left % 60:02d}"
