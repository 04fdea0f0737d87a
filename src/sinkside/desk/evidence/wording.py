"""Moments and people as an evidence file has them: local time that is never in doubt, names put in last."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import datetime
from typing import Any, Final, TypeVar
from zoneinfo import ZoneInfo

_PSEUDONYM: Final = re.compile(r"\bp-[A-Z2-7]{16}\b")
_MINUTE_S: Final = 60

Told = TypeVar("Told")


@dataclass(frozen=True)
class Clock:
    """The clocks of a department, by its IANA zone."""

    zone: str

    def at(self, moment: datetime | None) -> str:
        """A moment as they show it; in the hour that occurs twice with its distance from UTC.

        >>> from datetime import UTC
        >>> Clock("Europe/Vienna").at(datetime(2026, 10, 25, 0, 30, tzinfo=UTC))
        '2026-10-25 02:30 (+02:00)'
        """
        if moment is None:
            return "not recorded"
        there = moment.astimezone(ZoneInfo(self.zone))
        shown = there.strftime("%Y-%m-%d %H:%M")
        if there.utcoffset() == there.replace(fold=1 - there.fold).utcoffset():
            return shown
        return f"{shown} ({there.isoformat()[-6:]})"

    def day(self, moment: datetime) -> str:
        """The day of a moment."""
        return moment.astimezone(ZoneInfo(self.zone)).date().isoformat()


def minutes(seconds: float) -> str:
    r"""A stretch of time as people say it.

    >>> minutes(45), minutes(600), minutes(635)
    ('45\xa0s', '10\xa0min', '10\xa0min 35\xa0s')
    """
    whole, rest = divmod(round(seconds), _MINUTE_S)
    if not whole:
        return f"{rest}\N{NO-BREAK SPACE}s"
    shown = f"{whole}\N{NO-BREAK SPACE}min"
    return f"{shown} {rest}\N{NO-BREAK SPACE}s" if rest else shown


def with_names(told: Told, names: Mapping[str, str]) -> Told:
    """The same values with every pseudonym in their texts replaced by its name, where it is known.

    >>> with_names(("released by p-AAAAAAAAAAAAAAAA",), {"p-AAAAAAAAAAAAAAAA": "Ada"})
    ('released by Ada',)
    """
    named: Told = _named(told, names)  # the same shape as it came in
    return named


def _named(value: Any, names: Mapping[str, str]) -> Any:
    if type(value) is str:  # a word of a list is nobody
        return _PSEUDONYM.sub(lambda found: names.get(found[0], found[0]), value)
    if isinstance(value, tuple):
        return tuple(_named(one, names) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{one.name: _named(getattr(value, one.name), names) for one in fields(value)})
    return value
