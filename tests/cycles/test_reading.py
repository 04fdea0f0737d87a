"""Reading recorder files: many spellings of one record, and questions instead of guesses."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from sinkside.cycles import Reading, Trace, judge, read_trace
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.department import Program
from sinkside.errors import BadInput, UnreadableFile

SAMPLES = 2284


@pytest.fixture(scope="module")
def cycle(traces: Path) -> Trace:
    """A normal cycle of the 132 °C, 4 min program."""
    return read_trace(traces / "r-009.csv")


def clock(second: int) -> str:
    return f"{second // 3600 % 24:02d}:{second // 60 % 60:02d}:{second % 60:02d}"


Stamp = Callable[[int], str]
Column = tuple[str, np.ndarray]


def written(
    head: str,
    stamp: Stamp,
    columns: list[Column],
    *,
    sep: str = ",",
    decimal: str = ".",
    encoding: str = "utf-8",
) -> bytes:
    cells = [[(form % value).replace(".", decimal) for value in values.tolist()] for form, values in columns]
    rows = [sep.join([stamp(second), *row]) for second, row in enumerate(zip(*cells, strict=True))]
    return "\n".join([head, *rows, ""]).encode(encoding)


def celsius(cycle: Trace) -> list[Column]:
    return [("%.2f", values) for values in cycle.temperatures()]


def fahrenheit(cycle: Trace) -> list[Column]:
    return [("%.2f", values * 1.8 + 32.0) for values in cycle.temperatures()]


def kpa(cycle: Trace) -> np.ndarray:
    assert cycle.pressure_kpa is not None
    return cycle.pressure_kpa


#: 1 psi and 1 atmosphere in kPa, as tables print them (from memory), not as the code converts them.
PSI, ATMOSPHERE = 6.894757, 101.325

DIALECTS: dict[str, Callable[[Trace], bytes]] = {
    "plain, no word for the pressure": lambda c: written(
        "Time (s),T1 (C),T2 (C),P (kPa)", str, [*celsius(c), ("%.1f", kpa(c))]
    ),
    "psig, clock across midnight": lambda c: written(
        "Clock;Chamber °F;Drain °F;Chamber psig",
        lambda s: clock(s + 85_000),
        [*fahrenheit(c), ("%.2f", (kpa(c) - ATMOSPHERE) / PSI)],
        sep=";",
    ),
    "bar(g), decimal comma, Latin-1": lambda c: written(
        "Uhrzeit;Temp. Kammer/°C;Temp. Ablauf/°C;Druck/bar(g)",
        lambda s: clock(s + 30_000),
        [*celsius(c), ("%.4f", (kpa(c) - ATMOSPHERE) / 100.0)],
        sep=";",
        decimal=",",
        encoding="latin-1",
    ),
    "date and time apart, month first": lambda c: written(
        "Date\tTime\tT1 °C\tT2 °C\tP bar abs",
        lambda s: f"03/{4 + (s + 85_000) // 86_400:02d}/2026\t{clock(s + 85_000)}",
        [*celsius(c), ("%.4f", kpa(c) / 100.0)],
        sep="\t",
    ),
    "ISO 8601 in UTC": lambda c: written(
        "time,t_chamber_c,t_drain_c,p_chamber_mbar_abs",
        lambda s: f"2026-03-04T{clock(s + 30_000)}Z",
        [*celsius(c), ("%.1f", kpa(c) * 10.0)],
    ),
    "twelve hours": lambda c: written(
        "Timestamp,Chamber Temperature (Deg C),Drain Temperature (Deg C),Chamber Pressure (kPaA)",
        lambda s: (
            f"3/4/2026 {(((s + 42_000) // 3600) - 1) % 12 + 1}:{clock(s + 42_000)[3:]} "
            + ("AM" if s + 42_000 < 43_200 else "PM")
        ),
        [*celsius(c), ("%.2f", kpa(c))],
    ),
    "minutes": lambda c: written(
        "Elapsed time (min),T chamber (°C),T drain (°C),P (kPa abs)",
        lambda s: f"{s / 60:.5f}",
        [*celsius(c), ("%.2f", kpa(c))],
    ),
    "Spanish": lambda c: written(
        "Hora;Temperatura cámara (°C);Temperatura drenaje (°C);Presión absoluta (kPa)",
        lambda s: clock(s + 30_000),
        [*celsius(c), ("%.1f", kpa(c))],
        sep=";",
        decimal=",",
    ),
    "Polish, no word": lambda c: written(
        "Czas;Temperatura komory [°C];Temperatura odpływu [°C];Ciśnienie [kPa]",
        clock,
        [*celsius(c), ("%.1f", kpa(c))],
        sep=";",
        decimal=",",
    ),
    "Japanese, MPa": lambda c: written(
        "時間;温度1(℃);温度2(℃);圧力(MPa abs)", clock, [*celsius(c), ("%.5f", kpa(c) / 1000.0)], sep=";"
    ),
    "quoted": lambda c: written(
        '"Time","Chamber temp, °C","Drain temp, °C","Pressure, kPa (abs)"',
        lambda s: f'"{clock(s)}"',
        [*((f'"{form}"', values) for form, values in celsius(c)), ('"%.1f"', kpa(c))],
        decimal=",",
    ),
    "jacket beside": lambda c: written(
        "time_s,chamber_temp_C,drain_temp_C,jacket_temp_C,pressure_kPa_abs",
        str,
        [*celsius(c), ("%.1f", np.full(SAMPLES, 138.0)), ("%.2f", kpa(c))],
    ),
    "row numbers, words for phases": lambda c: written(
        "No.,Time,Temp A(°C),Temp B(°C),Press(kPa abs),Phase",
        lambda s: f"{s + 1},{clock(s)}",
        [*celsius(c), ("%.2f", kpa(c)), ("Phase %d", np.zeros(SAMPLES))],
    ),
}


@pytest.mark.parametrize("dialect", sorted(DIALECTS))
def test_one_record_in_many_dialects(dialect: str, cycle: Trace, programs: dict[str, Program]) -> None:
    """The same cycle meets with the same F0, however its recorder writes."""
    trace = trace_from_bytes(DIALECTS[dialect](cycle), name="record")
    verdict = judge(trace, programs["132-4"])
    assert verdict.verdict == "meets", verdict.summary
    assert trace.interval_s == pytest.approx(1.0, abs=0.01)
    # The label of this record, tests/samples/traces/labels.json.
    assert verdict.values["f0"].value == pytest.approx(69.506, rel=0.005)


def test_preamble_unit_line_and_footer_are_no_samples(cycle: Trace) -> None:
    """Lines before the head, a line of units below it and remarks at the end are passed over."""
    body = written("Zeit;T1;T2;P1\ns;°C;°C;mbar", str, [*celsius(cycle), ("%.0f", kpa(cycle) * 10)], sep=";")
    data = b"Machine 1;;;\nCharge No.;1234;;\n\n" + body + b"End;;;\n"
    trace = trace_from_bytes(data, name="record")
    assert trace.times_s.size == SAMPLES
    assert [channel.unit for channel in trace.channels] == ["°C", "°C", "mbar"]


def test_heads_with_the_delimiter_in_them_are_joined(cycle: Trace) -> None:
    """`Chamber temp, °C` in a file parted by commas is one head."""
    head = "# Time,Chamber temp, °C,Drain temp, °C,Pressure abs, kPa"
    data = written(head, clock, [*celsius(cycle), ("%.1f", kpa(cycle))])
    trace = trace_from_bytes(data, name="record")
    assert [channel.name for channel in trace.probes] == ["Chamber temp [°C]", "Drain temp [°C]"]
    assert trace.pressure is not None


def test_parquet_is_read_like_text(cycle: Trace, programs: dict[str, Program]) -> None:
    """A Parquet file with typed times gives the verdict that the text gives."""
    start = pl.datetime(2026, 3, 4, 23, 50, 0)
    frame = pl.DataFrame({"s": cycle.times_s}).select(
        (start + pl.duration(seconds=pl.col("s"))).alias("stamp"),
        pl.Series("T1 °C", cycle.temperatures()[0]),
        pl.Series("T2 °C", cycle.temperatures()[1]),
        pl.Series("p (kPa abs)", kpa(cycle)),
    )
    file = io.BytesIO()
    frame.write_parquet(file)
    trace = trace_from_bytes(file.getvalue(), name="record.parquet")
    np.testing.assert_allclose(trace.times_s, cycle.times_s)
    assert judge(trace, programs["132-4"]).verdict == "meets"


def test_gauge_without_a_word_is_settled_by_steam(cycle: Trace, programs: dict[str, Program]) -> None:
    """A pressure without a word that only agrees with steam as gauge is taken for gauge, and said so."""
    gauge = np.maximum(kpa(cycle) - ATMOSPHERE, -1.0)
    data = written("t [s],T1 [°C],T2 [°C],P [kPa]", str, [*celsius(cycle), ("%.2f", gauge)])
    trace = trace_from_bytes(data, name="record")
    assert trace.inferred[0].startswith("pressure gauge: agrees with saturated steam within 0.")
    assert "101.3 kPa at 0 m" in trace.inferred[1]
    assert judge(trace, programs["132-4"]).evidence["saturation"] == "met"


def test_altitude_moves_a_gauge_pressure(cycle: Trace) -> None:
    """At 1,609 m the atmosphere under a gauge pressure is 83.4 kPa (standard atmosphere, ISO 2533)."""
    data = written("t [s],T1 [°C],T2 [°C],P gauge [kPa]", str, [*celsius(cycle), ("%.2f", kpa(cycle) - 83.4)])
    trace = trace_from_bytes(data, name="record", reading=Reading(altitude_m=1609.0))
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, kpa(cycle), atol=0.1)


def test_what_cannot_be_told_is_asked_for() -> None:
    """Gauge or absolute, a missing unit and a unit of time are asked for by the option that settles them."""
    cold = "time_s,T1 [°C],P [kPa]\n" + "\n".join(f"{s},40.0,95.0" for s in range(50))
    with pytest.raises(BadInput, match="--pressure absolute"):
        trace_from_bytes(cold.encode(), name="record")
    said = trace_from_bytes(cold.encode(), name="record", reading=Reading(pressure="gauge"))
    assert said.pressure_kpa is not None
    assert said.pressure_kpa[0] == pytest.approx(95.0 + ATMOSPHERE)
    unitless = cold.replace("[°C]", "").encode()
    with pytest.raises(BadInput, match="--temperature-unit"):
        trace_from_bytes(unitless, name="record", reading=Reading(pressure="absolute"))
    timeless = "time,T1 [°C]\n" + "\n".join(f"{s},40.0" for s in range(50))
    with pytest.raises(BadInput, match="--time-unit"):
        trace_from_bytes(timeless.encode(), name="record")


def test_a_word_in_the_file_is_never_overruled(cycle: Trace) -> None:
    """A pressure that the file calls absolute stays absolute, whatever option is given."""
    data = written("t [s],T1 [°C],T2 [°C],P abs [kPa]", str, [*celsius(cycle), ("%.2f", kpa(cycle))])
    trace = trace_from_bytes(data, name="record", reading=Reading(pressure="gauge"))
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, kpa(cycle), atol=0.01)


@pytest.mark.parametrize(
    ("stamps", "seconds"),
    [
        (["14:02", "14:03", "14:04", "14:06"], [0, 60, 120, 240]),
        (["59:58", "59:59", "1:00:00", "1:00:01"], [0, 1, 2, 3]),
        (["23:59:59", "0:00:00", "0:00:01", "0:00:02"], [0, 1, 2, 3]),
        (["11:59:59 PM", "12:00:00 AM", "12:00:01 AM", "1:00:00 AM"], [0, 1, 2, 3601]),
        (["31.03.2026 23:59:59", "01.04.2026 00:00:00", "", "01.04.2026 00:00:02"], [0, 1, np.nan, 3]),
        (["2026-03-29T01:59:59+01:00", "2026-03-29T03:00:00+02:00", "", ""], [0, 1]),
        (["02:00:01", "02:00:02", "01:00:03", "01:00:04"], [0, 1, -3598, -3597]),
        (["00:01,5", "00:02,0", "00:02,5", "00:03,0"], [0, 0.5, 1, 1.5]),
    ],
)
def test_stamps_as_they_stand(stamps: list[str], seconds: list[float]) -> None:
    """Clock times become seconds; midnight is crossed, a clock set back is left for the judge to see."""
    body = "\n".join(f"{stamp};{20 + index},5" for index, stamp in enumerate(stamps))
    trace = trace_from_bytes(f"Zeit;T [°C]\n{body}\n".encode(), name="record")
    np.testing.assert_allclose(trace.times_s, seconds)


def test_missing_readings_stay_missing() -> None:
    """Blanks, dashes and words among the readings are missing values, not zeros and not repairs."""
    body = "0,20.0\n1,\n2,--\n3,ERR\n4,21.0\n4,21.0\n6,21.5\n"
    trace = trace_from_bytes(f"time_s,T [°C]\n{body}".encode(), name="record")
    assert np.isnan(trace.probes[0].values).tolist() == [False, True, True, True, False, False, False]
    assert trace.times_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0, 4.0, 6.0]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\x00\x01\x02\x03" * 50, "binary"),
        (b"just words\nand more words\n", "no table"),
        (b"1,2\n3,4\n", "no head line"),
        (b"time_s,note\n0,a\n1,b\n", "line with readings|temperature"),
        (b"time_s,P abs [kPa]\n0,95.0\n1,94.0\n2,93\n", "no column is a temperature"),
        (b"A,T [\xb0C]\n1,20\n1,21\n1,22\n", "no column is a time"),
        (b"time_s,T [\xb0C],p abs [kPa]\n0,20,5,95,0\n1,20,6,95,0\n2,20,6,95,0\n", "5 values under 3 heads"),
        (b"PAR1" + b"x" * 40, "Parquet file is damaged"),
        (b"time_s,T [\xb0C]\n0,20.0\n", "fewer than two samples"),
    ],
)
def test_unusable_files_get_one_sentence(data: bytes, sentence: str) -> None:
    """What is no record is refused with its name and one plain sentence."""
    with pytest.raises(BadInput, match=sentence) as refused:
        trace_from_bytes(data, name="record.csv")
    assert str(refused.value).startswith("record.csv: ")
    assert "\n" not in str(refused.value)


def test_missing_and_empty_files_are_unreadable(tmp_path: Path) -> None:
    """A file that is not there, or has nothing in it, is unreadable."""
    (tmp_path / "empty.csv").write_bytes(b"")
    for name in ("absent.csv", "empty.csv"):
        with pytest.raises(UnreadableFile):
            read_trace(tmp_path / name)
