"""Columns as channels: units told by what stands beside, and channels that stand twice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles.reading.conversion import in_trace_units
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.spelling import UnitSaid, compound_in, normalised, unit_of
from sinkside.cycles.reading.vocabulary import PRESSURE, TEMPERATURE
from sinkside.cycles.trace import Channel, ChannelKind, Place, Role
from sinkside.science.validity import FloatArray

#: Probes of one chamber in one unit are this near to each other, and in another unit they are not.
_SAME_UNIT_APART: Final = 15.0

#: So many different readings do not come the same twice by chance.
_FEWEST_DIFFERENT: Final = 50

#: Two probes that differ do so in some of so many readings, and then the rest need not be compared.
_LOOKED_AT: Final = 32

#: Rounding moves a reading by half of the finest step, and dust of conversion by a little more.
_HALF_A_STEP: Final = 0.51

#: A column that is never further than this from a probe, but for one reading in twenty, through a rise of so
#: much, is a probe.
_FOLLOWS: Final = 10.0
_NEARLY_ALL: Final = 0.95
_A_CYCLE: Final = 40.0

#: Steam in the chamber, and what is no place in it.
_STEAM_C: Final = 105.0
_COLD_PIPE_C: Final = 60.0

#: What stands still all through is no pipe, but a probe that is broken.
_ALIVE_K: Final = 2.0

_CONVERTED: Final = frozenset({ChannelKind.temperature, ChannelKind.pressure, ChannelKind.volume})
_CLAUSES: Final = re.compile(r"[,;\t]|\b(?:and|und|et|y)\b")
_VACUUM: Final = re.compile(r"va[ck]|vide|vuoto")
_UNIT_IN_A_LINE: Final = re.compile(r"[:=]|\s(?:in|unit|einheit|unité|unidad|unità)\s", re.IGNORECASE)


def in_channel_units(values: FloatArray, *, unit: str, kind: ChannelKind) -> FloatArray:
    """Readings in the unit that a channel of their kind is held in; kinds without one stay as recorded."""
    return in_trace_units(values, unit=unit, kind=kind) if kind in _CONVERTED else values


def unit_from_beside(
    heads: Sequence[Head], values: Sequence[FloatArray], preamble: Sequence[str]
) -> tuple[list[Head], list[str]]:
    """Heads with the unit that the lines above the table state, or that a column of the same kind has.

    A probe without a unit takes that of the others only if it reads much as they do.
    """
    told, notes = [], []
    stated = _stated(preamble) if any(_lacks_unit(head) for head in heads) else {}
    for head, own in zip(heads, values, strict=True):
        unit = _unit_of_a_probe_unnamed(head, own, heads, values)
        if unit is not None:
            told.append(replace(head, kind="temperature", unit=unit))
            notes.append(
                f"{head.name} is a temperature in {unit}: it reads as the other probes do all through"
            )
            continue
        if not _lacks_unit(head):
            told.append(head)
            continue
        said = stated.get(head.kind)
        if said is not None:
            reference = head.reference or said.reference
            told.append(replace(head, unit=said.unit, reference=reference, vacuum_unit=said.vacuum_unit))
            notes.append(f"{head.name} in {said.unit}: stated above the table")
            continue
        unit = _unit_of_neighbours(head, own, heads, values)
        told.append(head if unit is None else replace(head, unit=unit))
        if unit is not None:
            notes.append(f"{head.name} in {unit}: it reads as the other probes do")
    return told, notes


def _lacks_unit(head: Head) -> bool:
    return head.unit is None and head.kind in {"temperature", "pressure"}


def _stated(preamble: Sequence[str]) -> dict[str, UnitSaid]:
    """Units that a line such as `Temperature unit: °C` or `Temperatures in °C, pressure in kPa` states.

    >>> stated = _stated(["Temperatures in °C, pressure in kPa absolute, time in s"])
    >>> stated["temperature"].unit, stated["pressure"].unit, stated["pressure"].reference
    ('°C', 'kPa', 'absolute')
    """
    stated: dict[str, UnitSaid] = {}
    for line in map(normalised, preamble):
        kind = ""
        compound = compound_in(line) if PRESSURE.search(line) else None
        if compound is not None and _VACUUM.search(line):
            stated.setdefault("pressure", compound)
            continue
        for clause in _CLAUSES.split(line):
            named = (
                "pressure" if PRESSURE.search(clause) else "temperature" if TEMPERATURE.search(clause) else ""
            )
            kind = named or kind
            parts = _UNIT_IN_A_LINE.split(clause)
            for part in parts[1:] if named else parts if kind else ():
                said = unit_of(part.strip(' ".'))
                if said is not None and said.kind == kind:
                    stated.setdefault(kind, said)
    return stated


def _unit_of_neighbours(
    head: Head, own: FloatArray, heads: Sequence[Head], values: Sequence[FloatArray]
) -> str | None:
    if head.kind != "temperature":
        return None
    others = [
        (other.unit, readings)
        for other, readings in zip(heads, values, strict=True)
        if other.kind == "temperature" and other.unit and other.role is head.role
    ]
    units = {unit for unit, _ in others}
    if len(units) != 1 or not np.isfinite(own).any():
        return None
    apart = [np.abs(own - readings) for _, readings in others]
    near = [float(np.median(each[np.isfinite(each)])) for each in apart if np.isfinite(each).any()]
    return units.pop() if near and min(near) <= _SAME_UNIT_APART else None


def _unit_of_a_probe_unnamed(
    head: Head, own: FloatArray, heads: Sequence[Head], values: Sequence[FloatArray]
) -> str | None:
    """The unit of a column that nothing names a temperature and that follows a probe all through; else None.

    To leave out a probe may leave out the coldest.
    """
    if head.kind != "other" or head.unit is not None or head.role is not Role.chamber:
        return None
    if not np.isfinite(own).any() or np.nanmax(own) - np.nanmin(own) < _A_CYCLE:
        return None
    for other, readings in zip(heads, values, strict=True):
        if other.kind == "temperature" and other.unit and other.role is Role.chamber:
            apart = np.abs(own - readings)
            apart = apart[np.isfinite(apart)]
            if apart.size and np.quantile(apart, _NEARLY_ALL) <= _FOLLOWS:
                return other.unit
    return None


def without_duplicates(channels: Sequence[Channel]) -> tuple[list[Channel], list[str]]:
    """Channels without copies of others, and names that are told apart.

    Two probes never read the same all through; what does is one probe that is written twice.
    """
    kept: list[Channel] = []
    notes = []
    for channel in channels:
        copied = next((other for other in kept if _is_copy(channel, other)), None)
        if copied is not None:
            notes.append(f"{channel.name} is {copied.name} written again: counted once")
            continue
        same = sum(1 for other in kept if other.name.partition(" #")[0] == channel.name)
        kept.append(replace(channel, name=f"{channel.name} #{same + 1}") if same else channel)
    return kept, notes


def _is_copy(channel: Channel, other: Channel) -> bool:
    if channel.kind is not other.kind or channel.role is not other.role or channel.kind not in _CONVERTED:
        return False
    if not _reads_the_same(channel, other):
        return False
    both = np.isfinite(channel.values) & np.isfinite(other.values)
    return np.unique(channel.values[both]).size >= _FEWEST_DIFFERENT


def _reads_the_same(channel: Channel, other: Channel) -> bool:
    one, two = channel.values, other.values
    if channel.unit == other.unit:
        some = slice(None, None, max(one.size // _LOOKED_AT, 1))
        return np.array_equal(one[some], two[some], equal_nan=True) and np.array_equal(
            one, two, equal_nan=True
        )
    both = np.isfinite(one) & np.isfinite(two)
    if not both.any():
        return False
    # The same reading in two units differs by how finely each is written.
    apart = np.abs(one - two)[both]
    return bool(apart.max() <= _HALF_A_STEP * (channel.step + other.step))


def without_drain_pipes(channels: Sequence[Channel]) -> list[Channel]:
    """Channels, of which a drain that stays cold while steam is in the chamber measures a pipe behind it.

    Air or water at the drain of a chamber keeps it colder than steam, and never so cold.
    """
    hottest = max(
        (float(np.nanmax(channel.values)) for channel in channels if _is_in_chamber(channel, drain=False)),
        default=-np.inf,
    )
    return [
        replace(channel, role=Role.elsewhere)
        if _is_in_chamber(channel, drain=True)
        and hottest > _STEAM_C
        and float(np.nanmax(channel.values)) < _COLD_PIPE_C
        and float(np.nanmin(channel.values)) < float(np.nanmax(channel.values)) - _ALIVE_K
        else channel
        for channel in channels
    ]


def _is_in_chamber(channel: Channel, *, drain: bool) -> bool:
    is_probe = channel.kind is ChannelKind.temperature and channel.role is Role.chamber
    return is_probe and (channel.place is Place.drain) is drain and bool(np.isfinite(channel.values).any())
