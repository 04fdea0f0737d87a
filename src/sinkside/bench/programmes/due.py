"""What is due next, so that every device is tested as often as asked and the days share the work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sinkside.bench.programmes.programme import Programme, TestedDevice


@dataclass(frozen=True)
class Due:
    """When a device is due, why, and when it was last tested; none where it never was."""

    device: TestedDevice
    day: date
    last: date | None
    why: str = ""

    def is_overdue(self, day: date) -> bool:
        """Whether its day is over."""
        return self.day < day


def interval_days(times: int, period_days: int) -> int:
    """The days from one test of a device to the next.

    Any so many days in a row then hold so many tests: rounded down, never up.

    >>> interval_days(3, 91), interval_days(1, 91)
    (30, 91)
    """
    return period_days // times


def first_days(devices: Sequence[TestedDevice], period_days: int) -> dict[str, date]:
    """The day of each device's first test: the difficult ones first, the rest spread over their intervals.

    The last of them still comes before its interval is over, so that no first period is short of a test.
    """
    ordered = sorted(devices, key=lambda one: not one.difficult)
    return {
        one.id: one.since + timedelta(days=interval_days(one.times, period_days) * place // len(ordered))
        for place, one in enumerate(ordered)
    }


def due_days(programme: Programme, last: Mapping[str, date]) -> tuple[Due, ...]:
    """When each device is due, the earliest first; of one day the difficult ones first.

    Args:
        programme: what is tested.
        last: the day of each device's last test, by its key; nothing for those that never were.
    """
    firsts = first_days(programme.devices, programme.period_days)
    found = [
        Due(one, _next(one, programme.period_days, last.get(one.id), firsts[one.id]), last.get(one.id))
        for one in programme.devices
    ]
    return in_order(found)


def in_order(dues: Iterable[Due]) -> tuple[Due, ...]:
    """The earliest first; of one day the difficult ones, then by name."""
    return tuple(sorted(dues, key=lambda one: (one.day, not one.device.difficult, one.device.name)))


@dataclass(frozen=True)
class Piece:
    """A physical piece: its code, where it is, and when it was last tested; none where it never was."""

    code: str
    place: str
    tested: datetime | None


def next_pieces(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """Which pieces come next: those never tested, then the longest untested."""
    return tuple(sorted(pieces, key=lambda one: (one.tested.timestamp() if one.tested else 0.0, one.code)))


def _next(device: TestedDevice, period_days: int, last: date | None, first: date) -> date:
    if last is None or last < device.since:
        return first
    return last + timedelta(days=interval_days(device.times, period_days))
