"""How recorders write: units, delimiters, decimal signs, and what they call things."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from sinkside.cycles.reading.conversion import in_trace_units
from sinkside.cycles.simulate.recording import Recording
from sinkside.cycles.trace import ChannelKind
from sinkside.documents import write_bytes
from sinkside.errors import BadInput
from sinkside.science.steam import standard_atmosphere
from sinkside.science.validity import FloatArray

_MINUTE_S: Final = 60
_HOUR_S: Final = 3600
_DAY_S: Final = 86_400


@dataclass(frozen=True)
class Dialect:
    """One recorder's way of writing.

    Attributes:
        times: "elapsed" seconds, "mm:ss", "clock" times of day, or "date" and time.
        starts_s: Second of the day at which the record starts.
    """

    delimiter: str
    decimal: str
    encoding: str
    times: str
    starts_s: int
    time_head: str
    steam_probes: tuple[str, str]
    washer_probes: tuple[str, str]
    pressure_head: str
    dose_head: str
    temperature_unit: str
    pressure_unit: str
    is_gauge: bool
    pressure_decimals: int


DIALECTS: Final = {
    "si": Dialect(
        ",", ".", "utf-8", "elapsed", 0, "time_s",
        ("chamber_temperature_C", "drain_temperature_C"), ("water_temperature_C", "second_probe_C"),
        "chamber_pressure_kPa_abs", "detergent_mL", "°C", "kPa", False, 2,
    ),
    "us": Dialect(
        ",", ".", "utf-8", "mm:ss", 0, "Elapsed (mm:ss)",
        ("Chamber Temp (°F)", "Drain Temp (°F)"), ("Water Temp (°F)", "Probe 2 (°F)"),
        "Pressure (psia)", "Detergent (mL)", "°F", "psi", False, 3,
    ),
    "eu": Dialect(
        ";", ",", "utf-8", "date", 7 * _HOUR_S + 753, "Zeit",
        ("T Kammer [°C]", "T Ablauf [°C]"), ("T Wasser [°C]", "T Fühler 2 [°C]"),
        "p abs [mbar]", "Reiniger [mL]", "°C", "mbar", False, 1,
    ),
    "fr": Dialect(
        "\t", ",", "latin-1", "clock", 23 * _HOUR_S + 50 * _MINUTE_S, "Heure",
        ("Température chambre (°C)", "Température purge (°C)"), ("Température eau (°C)", "Sonde 2 (°C)"),
        "Pression relative (bar)", "Détergent (mL)", "°C", "bar", True, 4,
    ),
}  # fmt: skip


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
    way = DIALECTS[dialect]
    heads, columns = [way.time_head], [_stamps(recording.times_s, way)]
    probes = way.washer_probes if recording.pressure_kpa is None else way.steam_probes
    for head, values in zip(probes, recording.probes_c, strict=False):
        heads.append(head)
        columns.append(_written(_from_celsius(values, way.temperature_unit), 2, way))
    if recording.pressure_kpa is not None:
        below = standard_atmosphere(0.0) if way.is_gauge else 0.0
        unit_pa = float(in_trace_units(np.array([1.0]), unit=way.pressure_unit, kind=ChannelKind.pressure)[0])
        heads.append(way.pressure_head)
        pressure = (recording.pressure_kpa * 1000.0 - below) / unit_pa
        columns.append(_written(pressure, way.pressure_decimals, way))
    if recording.dosed_ml is not None:
        heads.append(way.dose_head)
        columns.append(_written(recording.dosed_ml, 0, way))
    lines = [way.delimiter.join(heads), *map(way.delimiter.join, zip(*columns, strict=True))]
    write_bytes(path, ("\n".join(lines) + "\n").encode(way.encoding))
    return recording.times_s.size


def _from_celsius(values: FloatArray, unit: str) -> FloatArray:
    """Readings in °C in the dialect's unit, by the straight line through two of its points."""
    at_zero, at_one = in_trace_units(np.array([0.0, 1.0]), unit=unit, kind=ChannelKind.temperature)
    written: FloatArray = (values - at_zero) / (at_one - at_zero)
    return written


def _written(values: FloatArray, decimals: int, way: Dialect) -> list[str]:
    text = [f"{value:.{decimals}f}" for value in values.tolist()]
    return text if way.decimal == "." else [cell.replace(".", way.decimal) for cell in text]


def _stamps(times_s: FloatArray, way: Dialect) -> list[str]:
    whole = np.rint(times_s).astype(np.int64)
    if way.times == "elapsed":
        return [f"{time:g}" for time in times_s.tolist()]
    if way.times == "mm:ss":
        return [f"{time // _MINUTE_S:02d}:{time % _MINUTE_S:02d}" for time in whole.tolist()]
    seconds = whole + way.starts_s
    clock = [
        f"{time // _HOUR_S % 24:02d}:{time // _MINUTE_S % 60:02d}:{time % _MINUTE_S:02d}"
        for time in seconds.tolist()
    ]
    if way.times == "clock":
        return clock
    first = 4
    return [
        f"{first + time // _DAY_S:02d}.03.2026 {text}"
        for time, text in zip(seconds.tolist(), clock, strict=True)
    ]
