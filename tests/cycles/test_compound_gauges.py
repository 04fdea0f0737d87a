"""Compound gauges: vacuum in one unit below zero, overpressure in another above it, in one column."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import Reading, Trace, judge, read_trace
from sinkside.cycles.reading.reader import reader_for, trace_from_bytes
from sinkside.department import Program
from sinkside.errors import BadInput
from sinkside.science.validity import FloatArray

#: In kPa, as tables print them (NIST Special Publication 811, appendix B, from memory).
PSI, INHG, MMHG, BAR, KGF_CM2 = 6.894757, 3.386389, 0.1333224, 100.0, 98.0665
ATMOSPHERE = 101.325


@pytest.fixture(scope="module")
def cycle(traces: Path) -> Trace:
    """A normal cycle of the 132 °C, 4 min program."""
    return read_trace(traces / "r-009.csv")


@pytest.fixture(scope="module")
def gauge_kpa(cycle: Trace) -> FloatArray:
    """Its pressure above the atmosphere."""
    assert cycle.pressure_kpa is not None
    return cycle.pressure_kpa - ATMOSPHERE


def record(cycle: Trace, head: str, cells: list[str], *, sep: str = ",", decimal: str = ".") -> bytes:
    """A file of the cycle with its pressure in one column, written by whoever asks."""
    rows = [
        sep.join((str(at), *(f"{value:.2f}".replace(".", decimal) for value in probes), cell))
        for at, (probes, cell) in enumerate(zip(cycle.temperatures().T.tolist(), cells, strict=True))
    ]
    return "\n".join([sep.join(("t [s]", "T1 [°C]", "T2 [°C]", head)), *rows, ""]).encode()


def both(gauge_kpa: FloatArray, above: float, below: float, form: str = "%.3f") -> list[str]:
    """Overpressure in one unit, vacuum as a negative number in another."""
    return [form % (value / (above if value >= 0.0 else below)) for value in gauge_kpa.tolist()]


@pytest.mark.parametrize(
    ("head", "above", "below"),
    [
        ("Chamber (inHg/psig)", PSI, INHG),
        ("P inHg vac / psi", PSI, INHG),
        ("Pressure [psi | in. Hg]", PSI, INHG),
        ("Druck [bar(ü)/mmHg]", BAR, MMHG),
        ("Presión (kg/cm² / cmHg)", KGF_CM2, 10.0 * MMHG),
    ],
)
def test_a_head_that_names_both_units_is_read(
    head: str, above: float, below: float, cycle: Trace, gauge_kpa: FloatArray, programs: dict[str, Program]
) -> None:
    """Below zero in the one unit and above it in the other: the pressure is the one that was written."""
    trace = trace_from_bytes(record(cycle, head, both(gauge_kpa, above, below)), name="record")
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, gauge_kpa + ATMOSPHERE, atol=0.1)
    assert any("below zero in" in note for note in trace.inferred)
    assert judge(trace, programs["132-4"]).verdict == "meets"


def test_cells_that_carry_their_unit_are_read(cycle: Trace, gauge_kpa: FloatArray) -> None:
    """`24.1 inHg` is vacuum and `30.2 psig` is overpressure, without a sign and whatever the head says."""
    cells = [
        f"{value / PSI:.2f} psig" if value >= 0.0 else f"{-value / INHG:.2f} inHg"
        for value in gauge_kpa.tolist()
    ]
    trace = trace_from_bytes(record(cycle, "Pressure", cells), name="record")
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, gauge_kpa + ATMOSPHERE, atol=0.1)


def test_a_line_above_the_table_says_both(cycle: Trace, gauge_kpa: FloatArray) -> None:
    """`Pressure: psig, vacuum in inHg` above the table counts like a head."""
    data = record(cycle, "Pressure", both(gauge_kpa, PSI, INHG))
    trace = trace_from_bytes(b"Pressure: psig, vacuum in inHg\n" + data, name="record")
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, gauge_kpa + ATMOSPHERE, atol=0.1)


def test_lower_than_any_vacuum_is_asked_about(
    cycle: Trace, gauge_kpa: FloatArray, programs: dict[str, Program]
) -> None:
    """28 psi below the atmosphere is no pressure: the unit of the vacuum is asked for, and then it meets."""
    data = record(cycle, "P (psig)", both(gauge_kpa, PSI, INHG))
    with pytest.raises(BadInput, match=r"lower than any vacuum.*--vacuum-unit inHg"):
        trace_from_bytes(data, name="record")
    said = Reading(vacuum_unit="inHg")
    trace = trace_from_bytes(data, name="record", reading=said)
    assert judge(trace, programs["132-4"]).verdict == "meets"
    reader = reader_for(data, name="first", reading=said)
    again = trace_from_bytes(data, name="next", reading=Reading(reader=reader))
    assert again.pressure_kpa is not None
    np.testing.assert_allclose(again.pressure_kpa, gauge_kpa + ATMOSPHERE, atol=0.1)


def test_vacuum_without_a_sign_is_asked_about(cycle: Trace, gauge_kpa: FloatArray) -> None:
    """Without a minus sign vacuum and overpressure look alike, and nothing is guessed."""
    cells = [cell.lstrip("-") for cell in both(gauge_kpa, PSI, INHG)]
    with pytest.raises(BadInput, match="has no minus sign"):
        trace_from_bytes(record(cycle, "P (inHg/psig)", cells), name="record")


def test_units_that_change_far_from_zero_are_no_compound_gauge(cycle: Trace, gauge_kpa: FloatArray) -> None:
    """Absolute pressures in inHg below the atmosphere are near 30 where the unit changes: refused."""
    cells = [
        f"{value / PSI:.2f} psi" if value >= 0.0 else f"{(value + ATMOSPHERE) / INHG:.2f} inHg"
        for value in gauge_kpa.tolist()
    ]
    with pytest.raises(BadInput, match="far from zero"):
        trace_from_bytes(record(cycle, "Pressure", cells), name="record")


def test_vacuum_and_overpressure_in_two_columns_are_one_gauge(
    cycle: Trace, gauge_kpa: FloatArray, programs: dict[str, Program]
) -> None:
    """Two columns of which one is zero at each moment are the two sides of one scale, and it is said so."""
    sides = [f"{max(-value, 0.0) / INHG:.2f},{max(value, 0.0) / PSI:.2f}" for value in gauge_kpa.tolist()]
    data = record(cycle, "Vacuum (inHg),Pressure (psig)", sides)
    trace = trace_from_bytes(data, name="record")
    assert trace.pressure_kpa is not None
    np.testing.assert_allclose(trace.pressure_kpa, gauge_kpa + ATMOSPHERE, atol=0.1)
    assert any("the same gauge below zero" in note for note in trace.inferred)
    assert judge(trace, programs["132-4"]).verdict == "meets"


def test_two_gauges_of_their_own_are_not_joined(
    cycle: Trace, gauge_kpa: FloatArray, programs: dict[str, Program]
) -> None:
    """A vacuum that stays deep while the chamber is under pressure is no other side, and meets nothing."""
    sides = [f"20.00,{max(value, 0.0) / PSI:.2f}" for value in gauge_kpa.tolist()]
    trace = trace_from_bytes(record(cycle, "Vacuum (inHg),Pressure (psig)", sides), name="record")
    assert not any("the same gauge" in note for note in trace.inferred)
    assert judge(trace, programs["132-4"]).verdict != "meets"
