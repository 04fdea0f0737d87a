"""A recorder's file as a trace."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import has_decimal_comma, numbers
from sinkside.cycles.reading.clock import Stamps, read_stamps
from sinkside.cycles.reading.conversion import in_trace_units
from sinkside.cycles.reading.heads import Head, read_head
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.pressure import absolute_pressure
from sinkside.cycles.reading.table import Table, read_table
from sinkside.cycles.trace import Channel, ChannelKind, Role, Trace, named
from sinkside.documents import read_bytes
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

#: A day of samples every tenth of a second is smaller.
_LARGEST_RECORD_BYTES: Final = 200_000_000
_FEWEST_SAMPLES: Final = 2
_OPTIONS: Final = {ChannelKind.temperature: "--temperature-unit", ChannelKind.pressure: "--pressure-unit"}


def read_trace(path: Path, reading: Reading | None = None) -> Trace:
    """The trace in a recorder's file.

    Args:
        path: Delimited text or Parquet; the name means nothing.
        reading: What a person says of it where it is silent.

    Raises:
        UnreadableFile: if it is missing, empty, or no table.
        BadInput: if no column is a time or a temperature, or what it does not say cannot be told safely;
            names the option that settles it.
    """
    return trace_from_bytes(read_bytes(path, most=_LARGEST_RECORD_BYTES), name=path.name, reading=reading)


def trace_from_bytes(data: bytes, *, name: str, reading: Reading | None = None) -> Trace:
    r"""The trace in the bytes of a recorder's file; otherwise as `read_trace`.

    >>> trace = trace_from_bytes(b"time_s,T1 [\xb0C]\n0,20.5\n1,20.6\n", name="a.csv")
    >>> trace.times_s.tolist(), trace.probes[0].values.tolist()
    ([0.0, 1.0], [20.5, 20.6])
    """
    wanted = reading or Reading()
    try:
        return _trace_of(read_table(data, resource=name), name, wanted)
    except BadInput as error:
        if error.resource == name:
            raise
        raise type(error)(error.message, resource=name) from error


def _trace_of(table: Table, name: str, reading: Reading) -> Trace:
    heads = [read_head(head) for head in table.heads]
    stamps = read_stamps(heads, table.columns, reading)
    comma = has_decimal_comma([c for i, c in enumerate(table.columns) if i not in stamps.taken])
    channels = [
        _channel(head, column, comma=comma, reading=reading)
        for index, (head, column) in enumerate(zip(heads, table.columns, strict=True))
        if index not in stamps.taken
    ]
    kept = [(channel, head) for channel, head in channels if not _is_empty(channel)]
    trace = _without_blank_rows(name, stamps, [channel for channel, _ in kept])
    if trace.times_s.size < _FEWEST_SAMPLES:
        raise UnreadableFile("there are fewer than two samples", resource=name)
    trace = _with_absolute_pressures(trace, [head for _, head in kept], reading)
    if not trace.probes:
        raise BadInput(
            f"no column is a temperature in the chamber; the heads are {', '.join(table.heads)}",
            resource=name,
        )
    return trace


def _channel(head: Head, column: pl.Series, *, comma: bool, reading: Reading) -> tuple[Channel, Head]:
    """A column in a trace's units; a pressure is still as recorded, absolute or gauge."""
    kind = head.channel_kind
    unit = head.unit
    if unit is None and kind is ChannelKind.temperature:
        unit = reading.temperature_unit
    if unit is None and kind is ChannelKind.pressure:
        unit = reading.pressure_unit
    values = numbers(column, decimal_comma=comma)
    if unit is None and kind in _OPTIONS:
        if head.role is not Role.chamber or (kind is ChannelKind.pressure and not reading.needs_pressure):
            kind = ChannelKind.other
        elif np.isfinite(values).any():
            raise BadInput(f"the column '{head.name}' names no unit; say it with {_OPTIONS[kind]}")
    return Channel(
        head.name, kind, head.role, unit or "", in_trace_units(values, unit=unit or "", kind=kind)
    ), head


def _is_empty(channel: Channel) -> bool:
    """Words, or nothing: a probe or pressure without a single reading stays, and will be missed."""
    return channel.kind is ChannelKind.other and not np.isfinite(channel.values).any()


def _without_blank_rows(name: str, stamps: Stamps, channels: list[Channel]) -> Trace:
    """Rows without a reading and a stamp of their own are remarks of the recorder, not samples."""
    readings = np.array([np.isfinite(channel.values) for channel in channels])
    filled = readings.any(axis=0) if channels else np.zeros(stamps.times_s.size, dtype=np.bool_)
    stamped = np.isfinite(stamps.times_s)
    own = np.concatenate(([True], np.diff(stamps.times_s) != 0.0))
    own[:-1] &= np.diff(stamps.times_s) != 0.0
    filled |= stamped & own
    if filled.all():
        return Trace(name, stamps.times_s, tuple(channels), stamps.inferred)
    kept = tuple(replace(channel, values=channel.values[filled]) for channel in channels)
    times: FloatArray = stamps.times_s[filled]
    return Trace(name, times, kept, stamps.inferred)


def _with_absolute_pressures(trace: Trace, heads: list[Head], reading: Reading) -> Trace:
    channels = []
    inferred = list(trace.inferred)
    for channel, head in zip(trace.channels, heads, strict=True):
        if channel.kind is not ChannelKind.pressure or channel.role is not Role.chamber:
            channels.append(channel)
            continue
        if not reading.needs_pressure and head.reference is None:
            channels.append(replace(channel, kind=ChannelKind.other))
            continue
        values, notes = absolute_pressure(
            channel.values,
            said=head.reference,
            probes_c=trace.temperatures(),
            reading=reading,
            name=channel.name,
        )
        channels.append(replace(channel, values=values))
        inferred += notes
    beside = [channel for channel in channels if channel.role is Role.elsewhere]
    if beside:
        inferred.append(f"not in the chamber, so not judged: {named(beside)}")
    return replace(trace, channels=tuple(channels), inferred=tuple(inferred))
