"""Durations written as a clock shows them: '00:07' under 'Time (hh:mm)', '07:30' under 'min:s'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sinkside.draft.measures import Measure, Pieces, Unit

_HOURS_MINUTES = re.compile(r"\b(?:hh?|std|hrs?)\s?:\s?m(?:m|in)\b", re.IGNORECASE)
_MINUTES_SECONDS = re.compile(r"\bm(?:m|in)\s?:\s?s(?:s|ec|ek)?\b", re.IGNORECASE)
_BARE = re.compile(r"(?<![\d:.,])(\d{1,2}):[0-5]\d(?![\d:]|\s?(?:h|hrs?|min|Uhr|am|pm)\b)")
_HOURS_OF_A_DAY = 24
_MANY = 60.0
_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Clock:
    """What the two groups of a clock count."""

    large: str
    small: str


def clock_of(text: str) -> Clock | None:
    """How a head, or a whole text, says that its times are written; none if it does not, or says both.

    >>> clock_of("Time (hh:mm)"), clock_of("Time [min:sec]").small, clock_of("Time (min)")
    (Clock(large='h', small='min'), 's', None)
    """
    hours, minutes = _HOURS_MINUTES.search(text), _MINUTES_SECONDS.search(text)
    if not hours and not minutes:
        # Work at the sink or in a sterilizer never lasts for a day: what shows more counts minutes.
        shown = [int(one) for one in _BARE.findall(text)]
        return Clock("min", "s") if len(shown) > 1 and max(shown) >= _HOURS_OF_A_DAY else None
    if bool(hours) == bool(minutes):
        return None
    return Clock("h", "min") if hours else Clock("min", "s")


def elapsed(pieces: Pieces, place: int, clock: Clock | None) -> Measure | None:
    """The duration that a clock shows from a token on; '0:03:30' needs no word on what it counts.

    Args:
        pieces: the sentence.
        place: its token.
        clock: what two groups count.
    """
    groups = _groups(pieces, place)
    last = place + 2 * len(groups) - 1
    if len(groups) == len("hms") and pieces.unit(last) is None:
        return _measure(groups[0] * _MANY + groups[1], groups[2], Clock("min", "s"), (place, last))
    if len(groups) != len("hm") or clock is None or pieces.unit(last) is not None:
        return None
    return _measure(groups[0], groups[1], clock, (place, last))


def _groups(pieces: Pieces, place: int) -> list[float]:
    """The numbers that colons join; behind the first each has two digits and is less than sixty."""
    groups: list[float] = []
    here = place
    while pieces.is_digit(here):
        token = pieces.tokens[here]
        if groups and (len(token.text) != _DIGITS or (token.value or 0.0) >= _MANY):
            return []
        groups.append(token.value or 0.0)
        if pieces.norm(here + 1) != ":" or not (pieces.glued(here + 1) and pieces.glued(here + 2)):
            break
        here += 2
    return groups if len(pieces.tokens[place].text) <= _DIGITS else []


def _measure(large: float, small: float, clock: Clock, span: tuple[int, int]) -> Measure:
    """The duration in the larger unit where nothing is left over, else in the smaller."""
    whole = small == 0.0 and large > 0.0
    unit = Unit("time", clock.large if whole else clock.small, None, span[1])
    return Measure(large if whole else large * _MANY + small, None, unit, *span)
