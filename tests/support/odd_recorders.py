"""Recorder files as invented recorders write them that no other part of the project knows of.

Each writes a simulated recording its own way. They were written down before it was tried whether they can be
read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta, timezone
from itertools import chain
from typing import Final

from sinkside.cycles import Recording
from sinkside.science.validity import FloatArray

#: One psi and one mmHg in kPa, and the standard atmosphere.
#: Source: NIST Special Publication 811, appendix B (from memory).
_PSI_KPA: Final = 6.894757
_MMHG_KPA: Final = 0.1333224
_ATMOSPHERE_KPA: Final = 101.325
_START: Final = datetime(2026, 3, 4, 23, 51, 7, tzinfo=UTC)

Writer = Callable[[Recording], bytes]


def _samples(recording: Recording) -> Iterator[tuple[int, float, FloatArray, float]]:
    """Row, seconds since the start, temperatures in °C and pressure in kPa absolute, sample by sample."""
    pressure = recording.pressure_kpa
    assert pressure is not None
    times = recording.times_s - recording.times_s[0]
    yield from (
        (at, float(times[at]), recording.probes_c[:, at], float(pressure[at])) for at in range(times.size)
    )


def _comma(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".replace(".", ",")


def _text(lines: list[str], *, encoding: str = "utf-8", newline: str = "\n") -> bytes:
    return (newline.join(lines) + newline).encode(encoding)


def words_between(recording: Recording) -> bytes:
    """Semicolons and decimal commas, and what the machine did on lines of its own, in German."""
    told = {
        30: "Vakuum 1 erreicht",
        400: "Sterilisierzeit läuft",
        700: "Trocknung",
        900: "Meldung 17 quittiert",
    }
    lines = [
        "Protokoll;Dampfsterilisator 2",
        "Programm;Universal 134 °C",
        "",
        "Zeit;Kammer [°C];Abfluss [°C];Druck [mbar abs.]",
    ]
    for at, seconds, probes, kpa in _samples(recording):
        if at in told:
            lines.append(f"*** {told[at]} ***;;;")
        stamp = (_START + timedelta(seconds=seconds)).strftime("%d.%m.%Y %H:%M:%S")
        lines.append(";".join([stamp, *(_comma(one, 2) for one in probes), _comma(kpa * 10.0, 1)]))
    return _text(lines, encoding="latin-1", newline="\r\n")


def units_above(recording: Recording) -> bytes:
    """Units in a sentence above the table alone, and heads of one letter and a number."""
    lines = ["Batch 4711", "Temperatures in °C, pressure in kPa absolute, time in s", "t,T1,T2,P1"]
    lines += [
        f"{seconds:g},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}"
        for _, seconds, probes, kpa in _samples(recording)
    ]
    return _text(lines)


def seconds_since_a_date(recording: Recording) -> bytes:
    """Seconds since a moment that stands above the table, with an offset from UTC."""
    start = _START.astimezone(timezone(timedelta(hours=1)))
    lines = [
        f"start\t{start.isoformat()}",
        "site\tA",
        "",
        "elapsed\tT_cham_degC\tT_drain_degC\tp_cham_kPa(abs)",
    ]
    lines += [
        f"{seconds:.1f}\t{probes[0]:.2f}\t{probes[1]:.2f}\t{kpa:.2f}"
        for _, seconds, probes, kpa in _samples(recording)
    ]
    return _text(lines)


def heads_of_two_lines(recording: Recording) -> bytes:
    """A line of places, one of quantities, and one of units below them."""
    lines = ["Time;Chamber;Drain;Chamber", ";Temperature;Temperature;Pressure", "hh:mm:ss;°C;°C;bar abs"]
    for _, seconds, probes, kpa in _samples(recording):
        stamp = (_START + timedelta(seconds=seconds)).strftime("%H:%M:%S")
        lines.append(f"{stamp};{probes[0]:.2f};{probes[1]:.2f};{kpa / 100.0:.4f}")
    return _text(lines)


def remarks_with_a_sign(recording: Recording) -> bytes:
    """Lines that begin with a sign of remarks, above, between and below, in a table parted by tabs."""
    lines = [
        "% logger 3 fw 1.9",
        "% columns: time_s T_chamber_C T_drain_C P_kPa_abs",
        "time_s\tT_chamber_C\tT_drain_C\tP_kPa_abs",
    ]
    for at, seconds, probes, kpa in _samples(recording):
        if at and at % 500 == 0:
            lines.append(f"% checkpoint {at // 500}, memory 93 %")
        lines.append(f"{seconds:g}\t{probes[0]:.2f}\t{probes[1]:.2f}\t{kpa:.2f}")
    return _text([*lines, "% end of log, 2 channels, 0 errors"])


def fahrenheit_and_psig(recording: Recording) -> bytes:
    """Fahrenheit with one decimal and psig with two, month first and twelve hours, through midnight."""
    lines = [
        "Cycle Log",
        "Cycle: PREVAC 270F 4 MIN",
        "DATE,TIME,CHMBR TEMP (F),DRAIN TEMP (F),CHMBR PRESS (PSIG)",
    ]
    for _, seconds, probes, kpa in _samples(recording):
        stamp = (_START + timedelta(seconds=seconds)).strftime("%m/%d/%Y,%I:%M:%S %p")
        degrees = (f"{one * 1.8 + 32.0:.1f}" for one in probes)
        lines.append(",".join([stamp, *degrees, f"{(kpa - _ATMOSPHERE_KPA) / _PSI_KPA:.2f}"]))
    return _text(lines)


def gauge_beside_absolute(recording: Recording) -> bytes:
    """One pressure twice, above the atmosphere and absolute, as the transducer and the controller say it."""
    lines = ["time (s),temp 1 (°C),temp 2 (°C),pressure kPa(g),pressure kPa(a)"]
    lines += [
        f"{seconds:g},{probes[0]:.2f},{probes[1]:.2f},{kpa - _ATMOSPHERE_KPA:.1f},{kpa:.1f}"
        for _, seconds, probes, kpa in _samples(recording)
    ]
    return _text(lines)


def labels_of_numbers(recording: Recording) -> bytes:
    """Channels that have a number and a unit and no name, with a column of scans before them."""
    lines = ["Scan,Time,101 <TC> (C),102 <TC> (C),103 <P> (kPa abs)"]
    for at, seconds, probes, kpa in _samples(recording):
        stamp = (_START + timedelta(seconds=seconds)).strftime("%Y/%m/%d %H:%M:%S:000")
        lines.append(f"{at + 1},{stamp},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}")
    return _text(lines)


def autumn_with_offsets(recording: Recording) -> bytes:
    """The hour that comes twice in autumn, with the offset from UTC behind each stamp."""
    start = datetime(2026, 10, 25, 0, 52, tzinfo=UTC)
    lines = ["stamp,T1 [°C],T2 [°C],p abs [kPa]"]
    for _, seconds, probes, kpa in _samples(recording):
        moment = start + timedelta(seconds=seconds)
        summer = moment < datetime(2026, 10, 25, 1, 0, tzinfo=UTC)
        local = moment.astimezone(timezone(timedelta(hours=2 if summer else 1)))
        lines.append(f"{local.isoformat(timespec='seconds')},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}")
    return _text(lines)


def table_of_results_below(recording: Recording) -> bytes:
    """A second table below the samples, with other columns: least, most and mean of each channel."""
    hottest = [f"{one.min():.1f};{one.max():.1f};{one.mean():.1f}" for one in recording.probes_c]
    lines = ["Time [s];Chamber [°C];Drain [°C];Pressure [kPa abs]"]
    lines += [
        f"{seconds:g};{probes[0]:.2f};{probes[1]:.2f};{kpa:.2f}"
        for _, seconds, probes, kpa in _samples(recording)
    ]
    below = [
        "",
        "Statistics",
        "Channel;Min;Max;Mean",
        f"Chamber;{hottest[0]}",
        f"Drain;{hottest[1]}",
        "",
        "Result;PASS",
    ]
    return _text([*lines, *below])


def pages_with_totals(recording: Recording) -> bytes:
    """Pages of fifty lines, each with its title, its head and its number."""
    lines: list[str] = []
    head = ["Steam sterilizer 1 - cycle report", "", "Time      Chamber/C  Drain/C  Press/kPaA"]
    for at, seconds, probes, kpa in _samples(recording):
        if at % 50 == 0:
            lines += [*([f"Page {at // 50}", "\f"] if at else []), *head]
        stamp = (_START + timedelta(seconds=seconds)).strftime("%H:%M:%S")
        lines.append(f"{stamp}  {probes[0]:8.2f}  {probes[1]:8.2f}  {kpa:8.2f}")
    return _text([*lines, f"Page {len(recording.times_s) // 50 + 1}", "End of report"])


def names_as_codes(recording: Recording) -> bytes:
    """Channels by the codes of a drawing: TT for temperature, PT for pressure; units in a line below."""
    lines = ['"Date/Time","TT-101","TT-102","PT-201"', '"","degC","degC","mmHg abs"']
    for _, seconds, probes, kpa in _samples(recording):
        stamp = (_START + timedelta(seconds=seconds)).strftime("%d-%b-%y %H:%M:%S")
        cells = [stamp, *(f"{one:.2f}" for one in probes), f"{kpa / _MMHG_KPA:.1f}"]
        lines.append(",".join(f'"{cell}"' for cell in cells))
    return _text(lines)


def two_cycles(recording: Recording) -> bytes:
    """A cycle and another one after it in one file, under one head, the time going on."""
    lines = ["time_s,T_chamber_C,T_drain_C,P_kPa_abs"]
    lasts = float(recording.times_s[-1] - recording.times_s[0]) + 120.0
    rows = chain(
        ((seconds, probes, kpa) for _, seconds, probes, kpa in _samples(recording)),
        ((seconds + lasts, probes, kpa) for _, seconds, probes, kpa in _samples(recording)),
    )
    lines += [f"{seconds:g},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}" for seconds, probes, kpa in rows]
    return _text(lines)


ODD_RECORDERS: Final[dict[str, Writer]] = {
    "words between": words_between,
    "units above": units_above,
    "seconds since a date": seconds_since_a_date,
    "heads of two lines": heads_of_two_lines,
    "remarks with a sign": remarks_with_a_sign,
    "Fahrenheit and psig": fahrenheit_and_psig,
    "gauge beside absolute": gauge_beside_absolute,
    "labels of numbers": labels_of_numbers,
    "autumn with offsets": autumn_with_offsets,
    "a table of results below": table_of_results_below,
    "pages with totals": pages_with_totals,
    "names as codes": names_as_codes,
}
