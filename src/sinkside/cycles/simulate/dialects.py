"""How recorders write: layouts, units, delimiters, decimal signs, clocks, and what they call things."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

_HOUR_S: Final = 3600
_MINUTE_S: Final = 60

Layout = Literal["delimited", "spaced", "tape", "readings", "transposed", "parquet"]

Times = Literal[
    "elapsed", "minutes", "mm:ss", "h:mm:ss", "clock", "clock with milliseconds", "dotted clock", "date",
    "apart",
    "clock first", "iso", "iso with offset", "compact", "twelve hours", "named month", "epoch ms",
    "spreadsheet days", "ten seconds",
]  # fmt: skip

#: What stands beside the probes and must not be taken for one.
Beside = Literal["jacket", "set point", "status", "counter", "phase", "row number", "operator", "copy"]


@dataclass(frozen=True, kw_only=True)
class Dialect:
    """One recorder's way of writing.

    Attributes:
        times: How stamps are written.
        starts_s: Second of the day at which the record starts.
        thousands: What stands between groups of three digits.
        preamble: Lines above the head.
        has_units_row: The units stand in a line of their own below the names, which is how heads in square
            brackets are then written.
        units_in_cells: Each reading carries its unit, and the head does not.
        quoted: Every cell stands in quotes.
        events: Lines of words stand between the samples.
        summary: Lines below the samples.
        page: The head stands again after so many lines; 0 for never.
        beside: Columns besides the probes, the pressure and the dose.
    """

    delimiter: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    times: Times = "elapsed"
    starts_s: int = 7 * _HOUR_S + 753
    time_head: str = "time_s"
    steam_probes: tuple[str, str] = ("Chamber [°C]", "Drain [°C]")
    washer_probes: tuple[str, str] = ("Water [°C]", "Probe 2 [°C]")
    pressure_head: str = "Pressure abs [kPa]"
    dose_head: str = "Detergent [mL]"
    temperature_unit: str = "°C"
    pressure_unit: str = "kPa"
    is_gauge: bool = False
    pressure_decimals: int = 2
    layout: Layout = "delimited"
    thousands: str = ""
    preamble: tuple[str, ...] = ()
    has_units_row: bool = False
    units_in_cells: bool = False
    quoted: bool = False
    events: tuple[str, ...] = ()
    summary: tuple[str, ...] = ()
    page: int = 0
    beside: tuple[Beside, ...] = ()
    newline: str = "\n"


_GERMAN: Final = Dialect(
    delimiter=";", decimal=",", times="date", time_head="Zeit",
    steam_probes=("T Kammer [°C]", "T Ablauf [°C]"), washer_probes=("T Wasser [°C]", "T Fühler 2 [°C]"),
    pressure_head="p abs [mbar]", dose_head="Reiniger [mL]", pressure_unit="mbar",
    pressure_decimals=1,
)  # fmt: skip
_FAHRENHEIT: Final = Dialect(
    steam_probes=("Chamber Temp (°F)", "Drain Temp (°F)"), washer_probes=("Water Temp (°F)", "Probe 2 (°F)"),
    dose_head="Detergent (mL)", temperature_unit="°F",
)  # fmt: skip

DIALECTS: Final[dict[str, Dialect]] = {
    "si": Dialect(
        times="elapsed", steam_probes=("chamber_temperature_C", "drain_temperature_C"),
        washer_probes=("water_temperature_C", "second_probe_C"), pressure_head="chamber_pressure_kPa_abs",
        dose_head="detergent_mL",
    ),
    "us": replace(
        _FAHRENHEIT, times="mm:ss", time_head="Elapsed (mm:ss)", pressure_head="Pressure (psia)",
        pressure_unit="psi", pressure_decimals=3,
    ),
    "eu": _GERMAN,
    "fr": Dialect(
        delimiter="\t", decimal=",", encoding="latin-1", times="clock",
        starts_s=23 * _HOUR_S + 50 * _MINUTE_S,
        time_head="Heure", steam_probes=("Température chambre (°C)", "Température purge (°C)"),
        washer_probes=("Température eau (°C)", "Sonde 2 (°C)"), pressure_head="Pression relative (bar)",
        dose_head="Détergent (mL)", pressure_unit="bar", is_gauge=True, pressure_decimals=4,
    ),
    "psig, twelve hours": replace(
        _FAHRENHEIT, times="twelve hours", starts_s=11 * _HOUR_S + 3400, time_head="Date/Time",
        pressure_head="Chamber Pressure (psig)", pressure_unit="psi", is_gauge=True, pressure_decimals=3,
    ),
    "inches of mercury": replace(
        _FAHRENHEIT, times="h:mm:ss", time_head="Run time", pressure_head="Pressure, in. Hg abs",
        pressure_unit="inHg", pressure_decimals=3, delimiter="\t",
    ),
    "kelvin and torr": Dialect(
        time_head="t / s", steam_probes=("T_chamber / K", "T_drain / K"), washer_probes=("T_water / K",
        "T2 / K"),
        temperature_unit="K", pressure_head="p_abs / Torr", pressure_unit="mmHg",
        dose_head="V_detergent / mL",
    ),
    "millimetres of mercury, gauge": Dialect(
        times="clock", time_head="Clock", pressure_head="Pressure gauge [mm Hg]", pressure_unit="mmHg",
        is_gauge=True, delimiter=";",
    ),
    "megapascal, gauge": Dialect(
        times="clock", time_head="時刻", steam_probes=("温度1(℃)", "温度2(℃)"),
        washer_probes=("温度1(℃)", "温度2(℃)"),
        pressure_head="圧力(MPa G)", pressure_unit="MPa", is_gauge=True, pressure_decimals=5,
    ),
    "pascal, groups of thousands": Dialect(
        thousands=",", quoted=True, pressure_head="Chamber pressure, absolute (Pa)", pressure_unit="Pa",
        pressure_decimals=1, time_head="Time (s)", steam_probes=("Chamber, °C", "Drain, °C"),
    ),
    "slashes": Dialect(
        delimiter=";", time_head="Zeit/min", times="minutes", steam_probes=("Temp. Kammer/°C",
        "Temp. Ablauf/°C"),
        washer_probes=("Temp. Wasser/°C", "Fühler 2/°C"), pressure_head="Druck/bar(a)", pressure_unit="bar",
        pressure_decimals=5, dose_head="Reiniger/mL",
    ),
    "ISO 8601": Dialect(
        times="iso", time_head="timestamp", steam_probes=("chamberTempC", "drainTempC"),
        washer_probes=("waterTempC", "probe2TempC"), pressure_head="pressureKPaAbs", dose_head="detergentMl",
    ),
    "ISO 8601 with offset": Dialect(
        times="iso with offset", time_head="ts", steam_probes=("t1_degc", "t2_degc"),
        washer_probes=("t1_degc", "t2_degc"), pressure_head="p_mbara", pressure_unit="mbar",
        pressure_decimals=1,
        dose_head="detergent_ml",
    ),
    "milliseconds since 1970": Dialect(times="epoch ms", time_head="Timestamp", delimiter=";"),
    "days of a spreadsheet": Dialect(times="spreadsheet days", time_head="Date", delimiter=";"),
    "units in a line of their own": replace(
        _GERMAN, has_units_row=True,
        preamble=(
            "Gerät;Dampfsterilisator 2;;", "Seriennummer;00123;;", "Programm;134 °C verpackt;;",
            "Bediener;B. Muster;;", "Charge;417;;", "",
        ),
    ),
    "units in the cells": Dialect(
        quoted=True, decimal=",", units_in_cells=True, times="clock", time_head="Time",
        pressure_head="Pressure absolute [kPa]",
    ),
    "quoted, decimal comma": Dialect(
        quoted=True, decimal=",", times="date", time_head="Datum/Uhrzeit",
        steam_probes=("Kammer, °C", "Ablauf, °C"), washer_probes=("Wasser, °C", "Fühler 2, °C"),
        pressure_head="Druck, mbar absolut", pressure_unit="mbar", pressure_decimals=1,
    ),
    "UTF-16": replace(_GERMAN, delimiter="\t", encoding="utf-16", newline="\r\n"),
    "UTF-8 with a mark, lines of Windows": replace(
        _GERMAN, encoding="utf-8-sig", newline="\r\n", preamble=("sep=;",)
    ),
    "Italian": Dialect(
        delimiter=";", decimal=",", encoding="latin-1", times="dotted clock", time_head="Ora",
        steam_probes=("Temperatura camera (°C)", "Temperatura scarico (°C)"),
        washer_probes=("Temperatura vasca (°C)", "Sonda 2 (°C)"), pressure_head="Pressione assoluta (mbar)",
        pressure_unit="mbar", pressure_decimals=1, dose_head="Detergente (mL)",
        beside=("jacket", "operator"),
    ),
    "Dutch": Dialect(
        delimiter=";", decimal=",", times="apart", time_head="Datum;Tijd",
        steam_probes=("Temperatuur kamer [°C]", "Temperatuur afvoer [°C]"),
        washer_probes=("Temperatuur water [°C]", "Voeler 2 [°C]"), pressure_head="Druk absoluut [kPa]",
        dose_head="Reinigingsmiddel [mL]",
    ),
    "Polish": Dialect(
        delimiter=";", decimal=",", times="date", time_head="Czas",
        steam_probes=("Temperatura komory [°C]", "Temperatura odpływu [°C]"),
        washer_probes=("Temperatura wody [°C]", "Temperatura 2 [°C]"),
        pressure_head="Ciśnienie bezwzględne [kPa]", dose_head="Detergent [mL]", beside=("set point",),
    ),
    "Swedish": Dialect(
        delimiter="\t", decimal=",", encoding="latin-1", times="iso", time_head="Tid",
        steam_probes=("Temperatur kammare (°C)", "Temperatur avlopp (°C)"),
        washer_probes=("Temperatur vatten (°C)", "Givare temperatur 2 (°C)"),
        pressure_head="Övertryck kammare (bar)", pressure_unit="bar", is_gauge=True, pressure_decimals=4,
        dose_head="Diskmedel (mL)",
    ),
    "Spanish, groups of thousands": Dialect(
        delimiter=";", decimal=",", thousands=".", times="date", time_head="Fecha y hora",
        steam_probes=("Temperatura cámara (°C)", "Temperatura drenaje (°C)"),
        washer_probes=("Temperatura agua (°C)", "Sonda 2 (°C)"), pressure_head="Presión absoluta (mbar)",
        pressure_unit="mbar", pressure_decimals=1, dose_head="Detergente (mL)",
    ),
    "apostrophes between thousands": Dialect(
        delimiter=";", thousands="'", pressure_head="Druck mbar abs", pressure_unit="mbar",
        pressure_decimals=2,
        times="clock", time_head="Uhrzeit",
    ),
    "spaces between thousands": Dialect(
        delimiter="\t", decimal=",", thousands=" ", pressure_head="Pression absolue (mbar)",
        pressure_unit="mbar",
        pressure_decimals=1, times="clock", time_head="Heure",
        steam_probes=("Température cuve (°C)", "Température purge (°C)"),
    ),
    "columns under each other": Dialect(
        layout="spaced", times="clock", time_head="Time",
        preamble=("STEAM STERILIZER 4", "LOAD 0417    PROGRAM 2", "----------------------------"),
    ),
    "columns under each other, with units": Dialect(
        layout="spaced", times="date", time_head="Date and time", decimal=",", has_units_row=True,
        steam_probes=("Kammer [°C]", "Ablauf [°C]"), pressure_head="Druck [bar(a)]", pressure_unit="bar",
        pressure_decimals=4, summary=("Ende des Protokolls", "Ergebnis: in Ordnung"),
    ),
    "single spaces": Dialect(
        layout="spaced", delimiter=" ", time_head="t_s", steam_probes=("T1_C", "T2_C"),
        washer_probes=("T1_C", "T2_C"), pressure_head="P_kPa_abs", dose_head="detergent_mL",
    ),
    "tape": Dialect(
        layout="tape", times="clock", pressure_head="Pressure [kPa abs]", steam_probes=("[C]", "[C]"),
        washer_probes=("[C]", "[C]"), dose_head="Detergent [mL]",
        preamble=("STERILIZER 4  SERIAL 00123", "PROGRAM 2 132C 4MIN", "OPERATOR 12 MUSTER"),
        events=("DOOR LOCKED", "AIR REMOVAL", "STERILIZE", "DRYING"), summary=("CYCLE COMPLETE",
        "MAX 135.0C"),
    ),
    "tape in Fahrenheit and psia": Dialect(
        layout="tape", times="h:mm:ss", temperature_unit="°F", steam_probes=("T1 [F]", "T2 [F]"),
        washer_probes=("T1 [F]", "T2 [F]"), pressure_head="P [psia]", pressure_unit="psi",
        pressure_decimals=3,
        dose_head="DET [mL]", beside=("phase",),
    ),
    "tape with decimal commas": Dialect(
        layout="tape", times="clock", decimal=",", steam_probes=("T1 [°C]", "T2 [°C]"),
        washer_probes=("T1 [°C]", "T2 [°C]"), pressure_head="P [mbar abs]", pressure_unit="mbar",
        pressure_decimals=1, dose_head="R [mL]",
    ),
    "one row for each reading": Dialect(layout="readings", times="iso", time_head="time"),
    "one row for each reading, units apart": Dialect(
        layout="readings", times="clock", time_head="Zeit", delimiter=";", decimal=",", has_units_row=True,
        steam_probes=("T Kammer [°C]", "T Ablauf [°C]"), washer_probes=("T Wasser [°C]", "T 2 [°C]"),
        pressure_head="Druck absolut [mbar]", pressure_unit="mbar", pressure_decimals=1,
        dose_head="Reiniger [mL]",
    ),
    "one column for each sample": Dialect(layout="transposed", time_head="Time (s)", delimiter=";"),
    "Parquet": Dialect(layout="parquet", times="iso", time_head="stamp"),
    "Parquet, units in its metadata": Dialect(
        layout="parquet", time_head="time_s", has_units_row=True, pressure_head="pressure absolute [kPa]"
    ),
    "lines of events": replace(
        _GERMAN, events=("Tür verriegelt", "Schritt 2: Vorvakuum", "Schritt 5: Sterilisieren"),
    ),
    "events with their time": Dialect(
        times="clock", time_head="Time", events=("@Door locked, start", "@Phase: exposure", "@Vent"),
        steam_probes=("T1 (deg C)", "T2 (deg C)"), washer_probes=("T1 (deg C)", "T2 (deg C)"),
        pressure_head="P (kPaA)",
    ),
    "summary below": replace(
        _GERMAN, summary=("Minimum;20,10;20,05;31,2", "Maximum;135,10;134,95;3102,5", "Ergebnis;OK;;",
        "F0;52,1"),
    ),
    "date and time apart, month first": Dialect(
        delimiter="\t", times="apart", time_head="Date\tTime", starts_s=23 * _HOUR_S + 3000,
        pressure_head="P bar abs", pressure_unit="bar", pressure_decimals=5,
        steam_probes=("T1 °C", "T2 °C"), washer_probes=("T1 °C", "T2 °C"),
    ),
    "clock before date": Dialect(times="clock first", time_head="Stamp", delimiter=";"),
    "compact stamps": Dialect(times="compact", time_head="Stamp"),
    "named months": Dialect(times="named month", time_head="Date", delimiter="|"),
    "milliseconds": Dialect(times="clock with milliseconds", time_head="Time"),
    "stamps of ten seconds": Dialect(times="ten seconds", time_head="Time"),
    "much beside": Dialect(
        times="clock", time_head="Time",
        beside=("row number", "jacket", "set point", "status", "counter", "phase", "operator"),
    ),
    "a probe written twice": Dialect(times="clock", time_head="Time", beside=("copy",)),
    "pages": replace(_GERMAN, page=60),
    "bars": Dialect(
        delimiter="|", times="clock", time_head="Time", steam_probes=("T1 °C", "T2 °C"), newline="\r\n",
    ),
    "remark signs": Dialect(time_head="# time_s", preamble=("# recorder 7", "# interval 1 s")),
}  # fmt: skip
