"""A recorder's file as a trace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import all_numbers, has_decimal_comma, without_units
from sinkside.cycles.reading.channels import (
    in_channel_units,
    unit_from_beside,
    without_drain_pipes,
    without_duplicates,
)
from sinkside.cycles.reading.compound import gauge_values, joined_gauges, one_scale
from sinkside.cycles.reading.figures import is_figure
from sinkside.cycles.reading.heads import Head, read_head
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.pressure import absolute_pressure
from sinkside.cycles.reading.rows import label_column, labels_in, one_cycle_of, remarks_among, samples_among
from sinkside.cycles.reading.saved import Reader
from sinkside.cycles.reading.spelling import UnitSaid
from sinkside.cycles.reading.stamps import Stamps, read_stamps
from sinkside.cycles.reading.table import read_table
from sinkside.cycles.spans import Mask
from sinkside.cycles.trace import Channel, ChannelKind, Role, Trace, named
from sinkside.documents import read_bytes
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

#: A day of samples every tenth of a second is smaller.
_LARGEST_RECORD_BYTES: Final = 200_000_000
_FEWEST_SAMPLES: Final = 2
_CELLS_LOOKED_AT: Final = 20
_OPTIONS: Final = {ChannelKind.temperature: "--temperature-unit", ChannelKind.pressure: "--pressure-unit"}


def read_trace(path: Path, reading: Reading | None = None) -> Trace:
    """The trace in a recorder's file.

    Args:
        path: Delimited, spaced or printed text, or Parquet; the name means nothing.
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
    return trace_from_table(read_table(data, resource=name), name=name, reading=reading)


def trace_from_table(table: Table, *, name: str, reading: Reading | None = None) -> Trace:
    """The trace in a table, from a file or cut from one that holds many cycles; else as `read_trace`."""
    return _read(table, name=name, reading=reading or Reading())[0]


def reader_for(data: bytes, *, name: str, reading: Reading | None = None) -> Reader:
    r"""The reader of a recorder, from one of its files and what a person said of it.

    Raises:
        UnreadableFile: if it is no table.
        BadInput: if the file does not tell all and nobody said it.

    >>> reader = reader_for(b"time_s,T1\n0,20.5\n1,20.6\n", name="a", reading=Reading(temperature_unit="°C"))
    >>> again = trace_from_bytes(b"time_s,T1\n0,20.5\n1,20.6\n", name="b", reading=Reading(reader=reader))
    >>> again.probes[0].unit
    '°C'
    """
    said = reading or Reading()
    table = read_table(data, resource=name)
    _, heads = _read(table, name=name, reading=said)
    return Reader.of(heads, table.heads, date_order=said.date_order, altitude_m=said.altitude_m)


def _read(table: Table, *, name: str, reading: Reading) -> tuple[Trace, list[Head]]:
    """The trace, and what each column turned out to be."""
    try:
        return _trace_of(table, name, reading)
    except BadInput as error:
        if error.resource == name:
            raise
        raise type(error)(error.message, resource=name) from error


@dataclass(frozen=True, eq=False)
class _Columns:
    """The columns of a table that are channels: heads, values as recorded, and where they stand."""

    heads: list[Head]
    values: list[FloatArray]
    places: list[int]


def _trace_of(table: Table, name: str, reading: Reading) -> tuple[Trace, list[Head]]:
    heads, reading = _heads_of(table, reading)
    stamps = read_stamps(heads, table.columns, reading, table.preamble)
    part = one_cycle_of(table, heads, stamps, reading)
    if part is not table:
        table, stamps = part, read_stamps(heads, part.columns, reading, part.preamble)
    columns = _channels(table, heads, stamps)
    kept = _samples_among(table, heads, stamps, columns)
    times = _kept(stamps.times_s, kept)
    if times.size < _FEWEST_SAMPLES:
        raise UnreadableFile("there are fewer than two samples", resource=name)
    before_s = float(times[np.isfinite(times)][0]) if np.isfinite(times).any() else 0.0
    times = times - before_s
    columns = replace(columns, values=[_kept(values, kept) for values in columns.values])
    channels, notes = _as_channels(columns, table, reading)
    inferred = (*table.inferred, *stamps.inferred, *notes)
    if reading.reader is not None:
        inferred = ("read by the recorder's saved reader", *inferred)
    first = stamps.first and stamps.first + timedelta(seconds=before_s)
    remarks = remarks_among(table, stamps, kept)
    trace = Trace(name, times, tuple(channels), inferred, remarks=remarks, first_stamp=first)
    labelled = label_column(heads, table.columns, stamps.taken)
    if labelled is not None:
        trace = replace(trace, labels=labels_in(table.columns[labelled], kept, trace.elapsed_s))
    told = {head.name: head for head in columns.heads}
    trace = _with_absolute_pressures(trace, told, reading)
    if not trace.probes:
        listed = ", ".join(table.heads)
        raise BadInput(f"no column is a temperature in the chamber; the heads are {listed}", resource=name)
    for head, place in zip(columns.heads, columns.places, strict=True):
        heads[place] = told.get(head.name, head)
    for at in stamps.taken:
        heads[at] = replace(heads[at], kind="time", unit=stamps.unit or heads[at].unit)
    return trace, heads


def _heads_of(table: Table, reading: Reading) -> tuple[list[Head], Reading]:
    """What the columns are, by the saved reader or by their heads; and what is said of the file."""
    reader = reading.reader
    if reader is None:
        return [read_head(head) for head in table.heads], reading
    said = replace(
        reading,
        date_order=reading.date_order or reader.date_order,
        altitude_m=reading.altitude_m or reader.altitude_m or 0.0,
    )
    return reader.heads_for(table.heads), said


def _samples_among(table: Table, heads: Sequence[Head], stamps: Stamps, columns: _Columns) -> Mask | None:
    words = [at for at in range(len(heads)) if heads[at].kind == "other"]
    readings = [v for h, v in zip(columns.heads, columns.values, strict=True) if h.kind != "other"]
    return samples_among(table, stamps, readings or columns.values, (*stamps.taken, *words))


def _kept(values: FloatArray, kept: Mask | None) -> FloatArray:
    return values if kept is None else values[kept]


def _channels(table: Table, heads: Sequence[Head], stamps: Stamps) -> _Columns:
    """The columns that hold numbers, with the unit that their cells carry where the head names none."""
    bare: list[tuple[Head, pl.Series, int]] = []
    for at, (head, column) in enumerate(zip(heads, table.columns, strict=True)):
        if at in stamps.taken:
            continue
        scale = one_scale(column, head.name) if head.kind in {"pressure", "other"} else None
        plain, said = scale or without_units(column)
        bare.append((_with_unit(head, said), plain, at))
    comma = has_decimal_comma([column for _, column, _ in bare])
    numeric = [at for at, (head, column, _) in enumerate(bare) if not _begins_as_words(head, column)]
    read = dict(zip(numeric, all_numbers([bare[at][1] for at in numeric], decimal_comma=comma), strict=True))
    return _Columns(
        [head for head, _, _ in bare],
        [read[at] if at in read else np.full(len(column), np.nan) for at, (_, column, _) in enumerate(bare)],
        [at for _, _, at in bare],
    )


def _begins_as_words(head: Head, column: pl.Series) -> bool:
    """Whether cells begin as words under a head of no quantity: no numbers are looked for in them."""
    import polars as pl

    if head.kind != "other" or column.dtype != pl.String:
        return False
    first = next((cell for cell in column.head(_CELLS_LOOKED_AT).to_list() if cell), "")
    return not is_figure(first.strip())


def _with_unit(head: Head, said: UnitSaid | None) -> Head:
    """A head with the unit that its cells carry, if it names none itself and speaks of nothing else."""
    if said is not None and said.vacuum_unit is not None:
        unit, reference = said.unit, head.reference or said.reference
        return replace(head, kind="pressure", unit=unit, reference=reference, vacuum_unit=said.vacuum_unit)
    if said is None or head.unit is not None or head.kind not in {said.kind, "other", "time"}:
        return head
    told = read_head(f"{head.name} [{said.unit}]")
    return replace(told, name=head.name, reference=head.reference or said.reference)


def _as_channels(columns: _Columns, table: Table, reading: Reading) -> tuple[list[Channel], list[str]]:
    """The columns in a trace's units; pressures are still as recorded, absolute or gauge."""
    heads, notes = unit_from_beside(columns.heads, columns.values, table.preamble)
    columns.heads[:] = heads
    channels = []
    for at, (head, values) in enumerate(zip(heads, columns.values, strict=True)):
        channel = _channel(head, values, reading)
        if channel.unit and head.unit is None:
            columns.heads[at] = replace(head, unit=channel.unit)
        if channel.kind is not ChannelKind.other or np.isfinite(values).any():
            channels.append(channel)
    channels, more = without_duplicates(channels)
    channels, columns.heads[:], joined = joined_gauges(channels, columns.heads)
    return without_drain_pipes(channels), [*notes, *more, *joined]


def _channel(head: Head, values: FloatArray, reading: Reading) -> Channel:
    kind = head.channel_kind
    unit = head.unit
    if unit is None and kind is ChannelKind.temperature:
        unit = reading.temperature_unit
    if unit is None and kind is ChannelKind.pressure:
        unit = reading.pressure_unit
    if unit is None and kind in _OPTIONS:
        needless = kind is ChannelKind.pressure and not reading.needs_pressure
        if head.role is not Role.chamber or needless or _is_status(values):
            kind = ChannelKind.other
        elif np.isfinite(values).any():
            raise BadInput(f"the column '{head.name}' names no unit; say it with {_OPTIONS[kind]}")
    if (
        unit is not None
        and kind is ChannelKind.pressure
        and head.role is Role.chamber
        and reading.needs_pressure
    ):
        values = gauge_values(values, head, unit, reading)
    elif unit is not None:
        values = in_channel_units(values, unit=unit, kind=kind)
    return Channel(head.name, kind, head.role, unit or "", values, head.place)


def _is_status(values: FloatArray) -> bool:
    """Whether a column holds nothing but zeros and ones, as an alarm or a valve does."""
    known = values[np.isfinite(values)]
    return bool(known.size) and bool(np.isin(known, (0.0, 1.0)).all())


def _with_absolute_pressures(trace: Trace, heads: dict[str, Head], reading: Reading) -> Trace:
    channels = []
    inferred = list(trace.inferred)
    for channel in trace.channels:
        if channel.kind is not ChannelKind.pressure or channel.role is not Role.chamber:
            channels.append(channel)
            continue
        head = heads.get(channel.name.partition(" #")[0])
        said = head.reference if head else None
        if not reading.needs_pressure and said is None:
            channels.append(replace(channel, kind=ChannelKind.other))
            continue
        values, reference, notes = absolute_pressure(channel, said=said, trace=trace, reading=reading)
        channels.append(channel if values is channel.values else replace(channel, values=values))
        inferred += notes
        if head is not None:
            vacuum_unit = head.vacuum_unit or reading.vacuum_unit
            heads[head.name] = replace(head, reference=reference, vacuum_unit=vacuum_unit)
            if vacuum_unit is not None:
                inferred.append(f"{head.name} below zero in {vacuum_unit}, above in {channel.unit}")
    beside = [
        channel
        for channel in channels
        if channel.role is Role.elsewhere and channel.kind in {ChannelKind.temperature, ChannelKind.pressure}
    ]
    if beside:
        inferred.append(f"not in the chamber, so not judged: {named(beside)}")
    return replace(trace, channels=tuple(channels), inferred=tuple(inferred))
