"""Sign-offs as pages say them: what is to be done next, by mark, word and sentence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.desk.cover import Gap
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.teach.sign_offs import SignOff, State
from sinkside.web.rendering import shown_moment

_INSTANT: Final = timedelta(microseconds=1)

#: Mark, word, and what is to be done next.
STATES: Final = {
    State.open_again: ("▲", "Open again", "Go through what changed, then sign anew."),
    State.ended: ("▲", "Ended", "Watch the work once more, then sign anew."),
    State.not_yet: ("○", "Not yet", "Teach it first."),
    State.supervised: ("◐", "Supervised", "Watch the work, then sign for work alone."),
    State.ending: ("●", "Ends soon", "Plan when to watch the work."),
    State.holds: ("✓", "Works alone", ""),
}


@dataclass(frozen=True)
class StateShown:
    """How a sign-off stands: its name, mark and word, and what is to be done next."""

    name: str
    mark: str
    word: str
    next: str


def state_shown(state: State) -> StateShown:
    """How a state is shown."""
    return StateShown(state.value, *STATES[state])


def stations_said(stations: Iterable[Station]) -> str:
    """Stations in words, in the order a device passes them.

    >>> stations_said([Station.bench, Station.sink])
    'Sink, bench'
    """
    wanted = set(stations)
    words = ", ".join(station_label(station).lower() for station in Station if station in wanted)
    return words[:1].upper() + words[1:]


def last_day_of(until: datetime, zone: str) -> str:
    """The last day of what ends at a moment; midnight is the end of the day before.

    >>> from datetime import UTC
    >>> last_day_of(datetime(2026, 4, 1, tzinfo=UTC), "UTC")
    '2026-03-31'
    """
    return shown_moment(until - _INSTANT, zone)[:10]


def since_said(one: SignOff, state: State, zone: str) -> str:
    """Since when, or until when, a sign-off stands so, and what changed."""
    if state is State.open_again and one.reopened:
        return f"since {shown_moment(one.reopened, zone)}: {'; '.join(one.changes)}"
    if one.until:
        return f"{'on' if state is State.ended else 'until'} {last_day_of(one.until, zone)}"
    return f"since {shown_moment(one.given, zone)[:10]}"


def gaps_said(gaps: Iterable[Gap], shifts: dict[str, str], zone: str, *, word: str) -> tuple[str, ...]:
    """Gaps in sentences, the stations of one shift and day together; `word` is since or from."""
    told: dict[tuple[str, str], list[Station]] = {}
    for gap in gaps:
        day = shown_moment(gap.since, zone)[:10] if gap.since else ""
        told.setdefault((gap.shift, day), []).append(gap.station)
    return tuple(
        f"{shifts.get(shift, shift)}: nobody at {stations_said(at).lower()}{f', {word} {day}' if day else ''}"
        for (shift, day), at in told.items()
    )
