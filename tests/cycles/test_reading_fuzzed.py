"""Recorder files spoilt by Hypothesis: never a crash, never `meets` where what counts was destroyed."""

from __future__ import annotations

import functools
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sinkside import documents
from sinkside.cycles import DIALECTS, Reading, judge, simulate
from sinkside.cycles.reading import trace_from_bytes
from sinkside.cycles.simulate.writing import as_written
from sinkside.department import Program
from sinkside.errors import SinksideError

#: Layouts of text whose lines stand for samples, one of each kind.
LINED = (
    "si", "us", "eu", "fr", "psig, twelve hours", "units in a line of their own", "quoted, decimal comma",
    "columns under each other", "tape", "Spanish, groups of thousands", "lines of events", "much beside",
)  # fmt: skip
PROGRAM = {
    "kind": "steam-prevacuum",
    "name": "134 °C, 3 min",
    "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
    "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
    "drying": {"time": "15 min", "vacuum": "10 kPa"},
}
READING = re.compile(r'(?<=[;,\t ])[+-]?\d[\d.,]*(?=[^\d:]*([;,\t ]|$|"))')
BOUNDED = settings(
    max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)


@functools.cache
def program() -> Program:
    return documents.validate(Program, PROGRAM, resource="program")


@functools.cache
def file_of(dialect: str) -> tuple[list[str], str, tuple[int, int]]:
    """The lines of a normal cycle, their encoding, and the lines between which exposure lies."""
    way = DIALECTS[dialect]
    recording = simulate(program(), seed=17)
    lines = as_written(recording, way).decode(way.encoding).split(way.newline)
    verdict = judge(recording.as_trace("plain"), program())
    (phase,) = [phase for phase in verdict.phases if phase.name == "exposure"]
    above = next(at for at, line in enumerate(lines) if re.match(r'\s*"?\d', line))
    return lines, way.encoding, (above + int(phase.start_s) + 20, above + int(phase.end_s) - 20)


def answer(data: bytes) -> str:
    """The verdict, or `refused`; a refusal is one sentence that names the file."""
    try:
        trace = trace_from_bytes(data, name="record", reading=Reading())
        return judge(trace, program()).verdict
    except SinksideError as error:
        sentence = str(error)
    assert sentence.startswith("record: ")
    assert "\n" not in sentence
    return "refused"


def joined(lines: list[str], encoding: str) -> bytes:
    return "\n".join(lines).encode(encoding, errors="replace")


@pytest.mark.parametrize("dialect", LINED)
def test_a_whole_file_meets(dialect: str) -> None:
    """What is spoilt below meets as long as it is whole, so that the other tests can fail."""
    lines, encoding, _ = file_of(dialect)
    assert answer(joined(lines, encoding)) == "meets"


@BOUNDED
@given(st.sampled_from(LINED), st.data())
def test_destroyed_exposure_never_meets(dialect: str, data: st.DataObject) -> None:
    """A quarter of exposure cut out, blanked, garbled or repeated: unclear or refused, in every layout."""
    lines, encoding, (first, last) = file_of(dialect)
    size = (last - first) // 4
    start = data.draw(st.integers(first, last - size))
    how = data.draw(st.sampled_from(("cut", "blank", "garble", "repeat", "no readings")))
    part = lines[start : start + size]
    spoilt = {
        "cut": [],
        "blank": ["" for _ in part],
        "garble": ["".join(chr(data.draw(st.integers(33, 90))) for _ in range(9))] * len(part),
        "repeat": [part[0]] * len(part),
        "no readings": [
            re.sub(r"(?<=[;,\t ])[+-]?\d[\d.,]*(?=[^\d:]*([;,\t ]|$|\"))", "--", line) for line in part
        ],
    }[how]
    assert answer(joined([*lines[:start], *spoilt, *lines[start + size :]], encoding)) != "meets", how


@BOUNDED
@given(st.sampled_from(LINED), st.data())
def test_files_cut_off_before_drying_never_meet(dialect: str, data: st.DataObject) -> None:
    """Wherever the file ends before drying is done, in the middle of a line too, it does not meet."""
    lines, encoding, (_, last) = file_of(dialect)
    whole = joined(lines[: last + 600], encoding)
    kept = data.draw(st.integers(0, len(whole)))
    assert answer(whole[:kept]) != "meets"


@BOUNDED
@given(
    st.sampled_from(LINED), st.lists(st.tuples(st.integers(0, 200_000), st.binary(max_size=6)), max_size=40)
)
def test_scattered_bytes_never_crash(dialect: str, scattered: list[tuple[int, bytes]]) -> None:
    """Bytes written over a file at random are read or refused in one sentence."""
    lines, encoding, _ = file_of(dialect)
    data = bytearray(joined(lines, encoding))
    for at, new in scattered:
        place = at % len(data)
        data[place : place + len(new)] = new
    assert answer(bytes(data)) in {"meets", "unclear", "fails", "refused"}


@BOUNDED
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    """Whatever the bytes, there is a sentence, and no verdict that meets."""
    assert answer(data) != "meets"


CELLS = st.one_of(
    st.sampled_from(
        (
            "",
            "--",
            "Zeit",
            "T1 [°C]",
            "P [kPa]",
            "12:00",
            "1:00:00 PM",
            "°C",
            "kPa",
            "01.02.2026",
            "NaN",
            "1e309",
            '"',
        )
    ),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.text(max_size=6),
)


@BOUNDED
@given(st.sampled_from(",;\t| "), st.lists(st.lists(CELLS, max_size=6), max_size=30))
def test_any_table_is_read_or_refused(delimiter: str, rows: list[list[str]]) -> None:
    """Tables of whatever cells end in a sentence or a verdict, and never in one that meets."""
    assert answer("\n".join(delimiter.join(row) for row in rows).encode("utf-8", "replace")) != "meets"
