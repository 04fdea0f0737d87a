"""Writing a recording as a recorder of some dialect would."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import numpy as np

from sinkside.cycles.reading.conversion import in_trace_units
from sinkside.cycles.simulate.dialects import DIALECTS, Dialect
from sinkside.cycles.simulate.recording import BESIDE_HEADS, Recording
from sinkside.cycles.trace import ChannelKind
from sinkside.documents import write_bytes
from sinkside.errors import BadInput
from sinkside.science.steam import standard_atmosphere
from sinkside.science.validity import FloatArray

_MINUTE_S: Final = 60
_FIRST_DAY: Final = datetime(2026, 3, 4, tzinfo=UTC)
_SPREADSHEET_DAY: Final = (_FIRST_DAY - datetime(1899, 12, 30, tzinfo=UTC)).days
_EPOCH_DAY: Final = (_FIRST_DAY - datetime(1970, 1, 1, tzinfo=UTC)).days
_NARROWEST: Final = 9
_SHORT: Final = 3
_STERILIZING_C: Final = 121.0

Column = tuple[str, list[str]]


def write_recorder_file(recording: Recording, path: Path, *, dialect: str = "si") -> int:
    """Write a recording as a recorder of some dialect would; the number of samples.

    Args:
        recording: What the recorder saw.
        path: The file.
        dialect: One of `DIALECTS`. A gauge pressure is written for a site at sea level.

    Raises:
        BadInput: if there is no such dialect.
        UnreadableFile: if the file cannot be written.
    """
    if dialect not in DIALECTS:
        raise BadInput(f"there is no dialect '{dialect}'; expected one of {', '.join(DIALECTS)}")
    write_bytes(path, as_written(recording, DIALECTS[dialect]))
    return recording.times_s.size


def as_written(recording: Recording, way: Dialect) -> bytes:
    """The bytes of a recorder's file."""
    stamps = (way.time_head, _stamps(recording.times_s, way))
    columns = [*_channels(recording, way), *_beside(recording, way)]
    if way.layout == "parquet":
        return _parquet(recording, columns, way)
    if way.layout == "tape":
        lines = _tape(stamps[1], columns, way)
    elif way.layout == "readings":
        lines = _readings(stamps, columns, way)
    elif way.layout == "transposed":
        lines = [way.delimiter.join([head, *cells]) for head, cells in (stamps, *columns)]
    else:
        lines = _table(stamps, columns, way)
    text = way.newline.join([*way.preamble, *lines, *way.summary, ""])
    return text.encode(way.encoding)


def _channels(recording: Recording, way: Dialect) -> list[Column]:
    probes = way.washer_probes if recording.pressure_kpa is None else way.steam_probes
    columns = [
        (head, _written(_from_celsius(values, way.temperature_unit), 2, way))
        for head, values in zip(probes, recording.probes_c, strict=False)
    ]
    if recording.pressure_kpa is not None:
        below = standard_atmosphere(0.0) if way.is_gauge else 0.0
        unit_pa = float(in_trace_units(np.array([1.0]), unit=way.pressure_unit, kind=ChannelKind.pressure)[0])
        pressure = (recording.pressure_kpa * 1000.0 - below) / unit_pa
        columns.append((way.pressure_head, _written(pressure, way.pressure_decimals, way)))
    if recording.dosed_ml is not None:
        columns.append((way.dose_head, _written(recording.dosed_ml, 0, way)))
    for what, values in recording.beside.items():
        columns.append((BESIDE_HEADS[what], _written(values, 1, way)))
    return columns


def _beside(recording: Recording, way: Dialect) -> list[Column]:
    """Columns that a recorder adds and that are no probes of the chamber."""
    size = recording.times_s.size
    coldest = recording.probes_c.min(axis=0)
    thirds = ["FILL" if row * 3 < size else "HOLD" if row * 3 < 2 * size else "END" for row in range(size)]
    jacket = coldest[0] * 0.0 + 133.0 + np.sin(recording.times_s / 60.0)
    made: dict[str, Column] = {
        "jacket": ("Jacket [°C]", _written(jacket, 2, way)),
        "set point": ("Set point [°C]", _written(np.full(size, 134.0), 1, way)),
        "status": ("Valve bits", [f"{int(row / 200) % 16:04b}" for row in range(size)]),
        "counter": (
            "F0 (min)",
            _written(np.maximum(0.0, np.cumsum(coldest > _STERILIZING_C) / 60.0), 1, way),
        ),
        "phase": ("Phase", thirds),
        "row number": ("No.", [str(row + 1) for row in range(size)]),
        "operator": ("Operator", ["B. Muster"] * size),
        "copy": (way.steam_probes[0], _written(recording.probes_c[0], 2, way)),
    }
    if recording.pressure_kpa is None:
        made["copy"] = (way.washer_probes[0], made["copy"][1])
    return [made[name] for name in way.beside]


def _table(stamps: Column, columns: list[Column], way: Dialect) -> list[str]:
    """Head and rows, with lines of events between and heads repeated page by page."""
    if way.units_in_cells:
        columns = [
            (_name(head), [f"{cell} {_unit(head)}".strip() for cell in cells]) for head, cells in columns
        ]
    heads = [stamps[0], *(head for head, _ in columns)]
    rows = [list(row) for row in zip(stamps[1], *(cells for _, cells in columns), strict=True)]
    head_rows = [heads]
    if way.has_units_row:
        head_rows = [[_name(head) for head in heads], ["", *(_unit(head) for head, _ in columns)]]
    widths = [
        max(_NARROWEST, *(len(row[at]) for row in (*head_rows, rows[0], rows[-1]))) + 2
        for at in range(len(heads))
    ]
    above = [_line(row, widths, way) for row in head_rows]
    body = [_line(row, widths, way) for row in rows]
    return _with_events([*above, *_in_pages(body, above, way)], stamps[1], way)


def _in_pages(body: list[str], above: list[str], way: Dialect) -> list[str]:
    if not way.page:
        return body
    starts = range(0, len(body), way.page)
    return [
        line
        for start in starts
        for line in ([*above, *body[start : start + way.page]] if start else body[: way.page])
    ]


def _line(cells: list[str], widths: list[int], way: Dialect) -> str:
    if way.layout == "spaced" and way.delimiter != " ":
        return "".join(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
    if way.quoted:
        return way.delimiter.join(f'"{cell}"' for cell in cells)
    return way.delimiter.join(cells)


def _with_events(lines: list[str], stamps: list[str], way: Dialect) -> list[str]:
    """Events at even distances among the samples; one that begins with @ carries a time."""
    apart = len(lines) // (len(way.events) + 1)
    for number, event in reversed(list(enumerate(way.events, 1))):
        at = number * apart
        stamp = stamps[min(at, len(stamps) - 1)]
        lines.insert(at, f"{stamp}{way.delimiter}{event[1:]}" if event.startswith("@") else event)
    return lines


def _tape(stamps: list[str], columns: list[Column], way: Dialect) -> list[str]:
    heads = [head for head, _ in columns]
    lines = []
    for stamp, *cells in zip(stamps, *(cells for _, cells in columns), strict=True):
        parts = [
            f"{_name(head)} {cell}{_unit(head)}".strip()
            if len(_name(head)) <= _SHORT
            else f"{cell}{_unit(head)}"
            for head, cell in zip(heads, cells, strict=True)
        ]
        lines.append("  ".join([stamp, *parts]))
    return _with_events(lines, stamps, way)


def _readings(stamps: Column, columns: list[Column], way: Dialect) -> list[str]:
    """One line for each reading, with its unit in a column of its own or in the channel's name."""
    heads = [stamps[0], "Channel", "Value", *(["Unit"] if way.has_units_row else [])]
    lines = [way.delimiter.join(heads)]
    for at, stamp in enumerate(stamps[1]):
        for head, cells in columns:
            parted = [stamp, _name(head), cells[at], _unit(head)]
            lines.append(way.delimiter.join(parted if way.has_units_row else [stamp, head, cells[at]]))
    return lines


def _parquet(recording: Recording, columns: list[Column], way: Dialect) -> bytes:
    import polars as pl

    if way.times == "iso":
        start = _FIRST_DAY + timedelta(seconds=way.starts_s)
        micros = np.rint(recording.times_s * 1e6).astype(np.int64)
        stamps = pl.Series(micros).cast(pl.Duration("us")) + start
    else:
        stamps = pl.Series(recording.times_s)
    named = {
        (_name(head) if way.has_units_row else head): [float(cell) for cell in cells]
        for head, cells in columns
    }
    units = {_name(head): _unit(head) for head, _ in columns}
    file = io.BytesIO()
    pl.DataFrame({way.time_head: stamps, **named}).write_parquet(
        file, metadata={"units": json.dumps(units)} if way.has_units_row else None
    )
    return file.getvalue()


def _name(head: str) -> str:
    return head.partition("[")[0].strip()


def _unit(head: str) -> str:
    return head.partition("[")[2].partition("]")[0]


def _from_celsius(values: FloatArray, unit: str) -> FloatArray:
    """Readings in °C in the dialect's unit, by the straight line through two of its points."""
    at_zero, at_one = in_trace_units(np.array([0.0, 1.0]), unit=unit, kind=ChannelKind.temperature)
    written: FloatArray = (values - at_zero) / (at_one - at_zero)
    return written


def _written(values: FloatArray, decimals: int, way: Dialect) -> list[str]:
    text = [
        f"{value:,.{decimals}f}" if way.thousands else f"{value:.{decimals}f}" for value in values.tolist()
    ]
    if way.decimal == "." and way.thousands in {"", ","}:
        return text
    swap = str.maketrans({",": way.thousands, ".": way.decimal})
    return [cell.translate(swap) for cell in text]


def _stamps(times_s: FloatArray, way: Dialect) -> list[str]:
    """Every stamp as the dialect writes it."""
    if way.times == "elapsed":
        return [f"{time:g}" for time in times_s.tolist()]
    if way.times == "minutes":
        return [f"{time / _MINUTE_S:.5f}".replace(".", way.decimal) for time in times_s.tolist()]
    whole = np.rint(times_s).astype(np.int64).tolist()
    counted: dict[str, Callable[[int], str]] = {
        "mm:ss": lambda time: f"{time // _MINUTE_S:02d}:{time % _MINUTE_S:02d}",
        "h:mm:ss": lambda time: str(timedelta(seconds=time)),
        "epoch ms": lambda time: str((_EPOCH_DAY * 86_400 + way.starts_s + time) * 1000),
        "spreadsheet days": lambda time: f"{_SPREADSHEET_DAY + (way.starts_s + time) / 86_400:.8f}",
    }
    start = _FIRST_DAY + timedelta(seconds=way.starts_s)
    write = counted.get(way.times) or (lambda time: _clock(start + timedelta(seconds=time), way))
    return [write(time) for time in whole]


def _clock(moment: datetime, way: Dialect) -> str:
    apart = f"%d.%m.%Y{way.delimiter}%H:%M:%S" if "." not in way.time_head and way.decimal == "," else ""
    patterns = {
        "clock": "%H:%M:%S",
        "clock with milliseconds": "%H:%M:%S:000",
        "dotted clock": "%H.%M.%S",
        "date": "%d.%m.%Y %H:%M:%S",
        "apart": apart or f"%m/%d/%Y{way.delimiter}%H:%M:%S",
        "clock first": "%H:%M:%S %d/%m/%Y",
        "iso": "%Y-%m-%dT%H:%M:%S",
        "iso with offset": "%Y-%m-%dT%H:%M:%S.000+01:00",
        "compact": "%Y%m%d%H%M%S",
        "twelve hours": "%m/%d/%Y %I:%M:%S %p",
        "named month": "%d-%b-%Y %H:%M:%S",
    }
    if way.times == "ten seconds":
        return moment.strftime("%H:%M:%S")[:-1] + "0"
    return moment.strftime(patterns[way.times])
