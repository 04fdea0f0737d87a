"""Moments on a clock that is put forward and back: a doubtful stamp is asked about, never guessed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from sinkside.errors import BadInput


def known_zone(name: str) -> ZoneInfo:
    """A time zone by its IANA name.

    Raises:
        BadInput: if the zone database has none of that name.
    """
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise BadInput(
            f"'{name}' is no time zone that this machine knows; expected an IANA name such as 'Europe/Vienna'"
        ) from error


def moment(
    clock: datetime, zone: str, *, fold: int | None = None, offset: timedelta | None = None
) -> datetime:
    """The moment, in UTC, at which a clock in some zone showed a time.

    Args:
        clock: the time as the clock showed it, without zone.
        zone: the zone's IANA name.
        fold: in the hour that occurs twice: 0 for the first time, 1 for the second.
        offset: the distance from UTC that was in force, which settles it as well.

    Raises:
        BadInput: if the zone is unknown, the clock skipped that time, it occurs twice and neither `fold` nor
            `offset` says which, the offset was not in force then, or UTC would leave the years 1 to 9999.

    >>> moment(datetime(2026, 7, 1, 12, 0), "Europe/Vienna").isoformat()
    '2026-07-01T10:00:00+00:00'
    """
    if clock.tzinfo is not None:
        raise BadInput("expected the time as the clock showed it, without a zone", resource=clock.isoformat())
    if fold not in {None, 0, 1}:
        raise BadInput("expected fold 0 for the first time or 1 for the second", resource=str(fold))
    possible = _moments(clock, known_zone(zone))
    if not possible:
        raise BadInput(
            f"clocks in {zone} skipped this time when they were put forward", resource=_shown(clock)
        )
    if offset is not None:
        possible = [found for found in possible if clock - found.replace(tzinfo=None) == offset]
        if not possible:
            raise BadInput(f"this distance from UTC was not in force in {zone} then", resource=_shown(clock))
    if len(possible) > 1 and fold is None:
        raise BadInput(
            f"this time occurred twice in {zone} when clocks were put back; say whether first or second",
            resource=_shown(clock),
        )
    return possible[fold or 0] if len(possible) > 1 else possible[0]


def _moments(clock: datetime, zone: ZoneInfo) -> list[datetime]:
    """The moments at which the clock showed the time: none, one or two, earliest first."""
    readings = (clock.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    try:
        return sorted(
            {found for found in readings if found.astimezone(zone).replace(tzinfo=None, fold=0) == clock}
        )
    except OverflowError as error:
        raise BadInput(
            "this day is at the very end of the calendar; expected another", resource=_shown(clock)
        ) from error


def _shown(clock: datetime) -> str:
    return clock.isoformat(sep=" ", timespec="minutes")
