"""The arrival list: what is soiled, in process or held, by when it is needed, and when it may be ready."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from sinkside.bench.ready_time import NOT_COUNTED, ReadyTime
from sinkside.bench.run import IN_USE, Place
from sinkside.bench.soil import span
from sinkside.desk.bench import arrivals as desk
from sinkside.desk.bench.alarms import Alarm
from sinkside.desk.bench.copies import READ
from sinkside.web.asked import Asked
from sinkside.web.screens.bench.moments import clock, in_fives, room_words
from sinkside.web.screens.bench.place import PLACE, screen

ARRIVALS: Final = f"{PLACE}/arrivals"

_A_MINUTE_S: Final = 60.0

#: How a copy stands, in words.
STATES: Final = {
    "soiled": "soiled",
    "at-sink": "at the sink",
    "in-washer": "in the washer",
    "clean-side": "on the clean side",
    "packing": "at packing",
    "packed": "packed",
    "in-sterilizer": "in the sterilizer",
    "sterilized": "out of the sterilizer",
    "in-store": "in store",
    "issued": "issued",
    "in-use": "in use",
    "held": "held",
    "set-aside": "set aside",
    "away": "away",
}
_OUTLOOKS: Final = {
    "in-time": ("", "in time"),
    "tight": ("concern", "tight"),
    "not-in-time": ("stop", "not in time"),
    "unknown": ("concern", "nobody can say"),
    "": ("", ""),
}


@dataclass(frozen=True)
class AlarmShown:
    """A missing fragment: what of which set and case, since when, and what theatre said."""

    id: str
    what: str
    of: str
    case: str
    raised: str
    answered: str


@dataclass(frozen=True)
class ArrivalLine:
    """One set of the list, in words.

    Attributes:
        name: what it is called.
        code: its code.
        state: how it stands.
        place: where it is.
        holds: why it is held.
        begin_by: by when cleaning must have begun; empty once it has.
        late: how late that is; empty if it is not.
        case: the case that needs it next; empty where none does.
        begins: when that begins.
        left: how long until then.
        ready: from when to when it may be ready; empty where nobody can say.
        level: the mark of its outlook.
        outlook: whether that is in time, in words.
    """

    name: str
    code: str
    state: str
    place: str
    holds: tuple[str, ...]
    begin_by: str
    late: str
    case: str
    begins: str
    left: str
    ready: str
    level: str
    outlook: str


@dataclass(frozen=True)
class ArrivalsPage:
    """The list as of a moment, cases that go without, missing fragments, questions to makers."""

    title: str
    address: str
    cases: str
    at: str
    alarms: tuple[AlarmShown, ...]
    unserved: tuple[str, ...]
    questions: tuple[str, ...]
    needed: tuple[ArrivalLine, ...]
    others: tuple[ArrivalLine, ...]
    not_counted: str
    some_late: bool


@screen.page(ARRIVALS, right=READ, template="bench_arrivals.html")
def arrivals_page(asked: Asked) -> ArrivalsPage:
    """What stands where now, and whether it will honestly be there in time."""
    found = desk.arrivals(asked.archive, asked.visitor, now=asked.now)
    lines = [_line(asked, one) for one in found.lines]
    return ArrivalsPage(
        title="Arrivals",
        address=asked.at("/bench/arrivals"),
        cases=asked.at("/bench/cases"),
        at=clock(asked, asked.now),
        alarms=tuple(alarm_shown(asked, one) for one in found.alarms),
        unserved=tuple(
            f"Case {one.need.number}, {clock(asked, one.need.begins)}: no {one.set_name} is left for it."
            for one in found.unserved
        ),
        questions=found.questions,
        needed=tuple(one for one in lines if one.case),
        others=tuple(one for one in lines if not one.case),
        not_counted=NOT_COUNTED,
        some_late=any(one.level == "stop" for one in lines),
    )


def alarm_shown(asked: Asked, alarm: Alarm) -> AlarmShown:
    """A missing fragment in words."""
    answered = f"theatre knows since {clock(asked, alarm.acknowledged)}" if alarm.acknowledged else ""
    return AlarmShown(
        id=alarm.id,
        what=alarm.what,
        of=f"{alarm.copy_name}, {alarm.code}",
        case=alarm.case,
        raised=clock(asked, alarm.raised),
        answered=answered,
    )


def _line(asked: Asked, one: desk.Arrival) -> ArrivalLine:
    level, outlook = _OUTLOOKS[one.outlook]
    return ArrivalLine(
        name=one.copy.name,
        code=one.copy.code,
        state=STATES.get(one.copy.state, one.copy.state),
        place=one.copy.place,
        holds=one.holds,
        begin_by=clock(asked, one.begin_by) if one.begin_by else "",
        late=span(one.late_s) if one.late_s >= _A_MINUTE_S else "",
        case=_case(one),
        begins=clock(asked, one.need.begins) if one.need else "",
        left=_left(one),
        ready=_ready(asked, one.ready, one.copy.state),
        level=level,
        outlook=outlook,
    )


def _case(one: desk.Arrival) -> str:
    if one.need is None:
        return ""
    room = room_words(one.need.room)
    return f"{one.need.number}, {room}" if room else one.need.number


def _left(one: desk.Arrival) -> str:
    if one.left_s is None:
        return ""
    return span(one.left_s) if one.left_s >= 0 else f"began {span(one.left_s)} ago"


def _ready(asked: Asked, ready: ReadyTime | None, state: str) -> str:
    if state == Place.in_store:
        return "ready"
    if ready is None:
        return ""
    first, last = (in_fives(asked.now + timedelta(seconds=one)) for one in (ready.low_s, ready.high_s))
    said = f"{clock(asked, first)} to {clock(asked, last)}"
    return f"{said}, if its use ended now" if state == IN_USE else said
