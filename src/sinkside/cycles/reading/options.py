"""What a person may say about a recorder file that the file itself does not say."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.cycles.reading.saved import Reader
from sinkside.cycles.reading.spelling import DateOrder, PressureReference, VacuumUnit


@dataclass(frozen=True, kw_only=True)
class Reading:
    """What to take as said where a file is silent; what a file says itself is never overruled.

    Attributes:
        pressure: Whether pressures without a word are absolute or gauge.
        temperature_unit: "°C" or "°F", for temperatures without a unit.
        pressure_unit: Such as "kPa" or "psi", for pressures without a unit.
        vacuum_unit: "inHg", "mmHg" or "cmHg", for readings below zero of a compound gauge.
        time_unit: "s", "min" or "h", for plain numbers of time without a unit; "mm:ss" or "hh:mm" for times
            of two parts.
        date_order: In which order a date's numbers stand, where the record does not settle it.
        cycle: Which cycle of a file that holds several, counted from 1.
        altitude_m: Of the site; the atmosphere that a gauge pressure stands on follows from it.
        needs_pressure: Whether the judge leans on the chamber's pressure. If not, one that cannot be told is
            left aside instead of being asked about.
        reader: How the files of this recorder are to be read, made from one that was read before.
    """

    pressure: PressureReference | None = None
    temperature_unit: str | None = None
    pressure_unit: str | None = None
    time_unit: str | None = None
    altitude_m: float = 0.0
    needs_pressure: bool = True
    date_order: DateOrder | None = None
    cycle: int | None = None
    reader: Reader | None = None
    vacuum_unit: VacuumUnit | None = None
