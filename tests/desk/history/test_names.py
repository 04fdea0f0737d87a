"""Histories speak of things by their names: no line shows an id that nobody outside the program knows."""

from __future__ import annotations

import re

import pytest

from sinkside.bench.history import Line
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.called import called
from sinkside.desk.evidence.making import make_evidence
from sinkside.desk.history.reading import History, see_history
from sinkside.desk.machine_checks import record_check
from support.bench_house import CODES
from support.evidence_house import EvidenceHouse, evidence_house

#: Ids as the program makes them, pseudonyms, and what a department calls its things in files.
_ID = re.compile(r"\b[a-z]-[0-9a-f]{16}\b|\bp-[A-Z2-7]{16}\b|\b(washer|sterilizer)-\d\b")


@pytest.fixture(scope="module")
def house() -> EvidenceHouse:
    """Two sets went from theatre to the store; an evidence file was made, and a machine was checked."""
    made = evidence_house()
    archive, bench = made.bench.house.archive, made.bench
    make_evidence(archive, bench.house.visitor("lena"), made.run(), now=bench.now)
    record_check(archive, bench.house.visitor("tom"), "sterilizer-1", "air-removal", ["yes"], now=bench.now)
    return made


def _read(house: EvidenceHouse, noun: str, thing: str) -> History:
    bench = house.bench
    return see_history(bench.house.archive, bench.house.visitor("lena"), noun, thing, now=bench.now)


def _copy(house: EvidenceHouse, code: str) -> str:
    with house.bench.house.archive.unit(writes=False) as unit:
        return copy_of_code(unit, "north", code).id


def test_no_line_shows_an_id(house: EvidenceHouse) -> None:
    """Sets, loads, a machine, a record, a text and people: every line and every gap is told by names."""
    people = house.bench.house.people
    asked = [
        *(("set", _copy(house, code)) for code in CODES[:2]),
        *(("load", load) for load in (house.washer_load, house.steam_load)),
        ("machine", "sterilizer-1"),
        ("cycle", house.cycle),
        ("instruction", house.bench.instruction),
        *(("person", people[name]) for name in ("tom", "eve", "lena")),
    ]
    told = [line.words for noun, thing in asked for line in _lines(_read(house, noun, thing))]
    assert len(told) > len(asked)
    assert [words for words in told if _ID.search(words)] == []


def _lines(read: History) -> tuple[Line, ...]:
    return (*read.lines, *read.gaps)


def test_a_run_is_told_by_its_set_and_a_machine_by_its_name(house: EvidenceHouse) -> None:
    """Whose evidence file was made; which machine was checked; what has no name is told by what it is."""
    book = _read(house, "person", house.bench.house.people["lena"])
    assert any(f"evidence file 1 of Suction set ({CODES[0]})" in one.words for one in book.lines)
    checked = _read(house, "person", house.bench.house.people["tom"])
    assert any("Sterilizer 1" in one.words for one in checked.lines)
    run = f"run:{house.run()}"
    with house.bench.house.archive.unit(writes=False) as unit:
        names = called(unit, house.bench.house.visitor("lena"), [run, "run:gone", "alarm:x", "load:gone"])
    assert names == {
        run: f"a run of Suction set ({CODES[0]})",
        "run:gone": "a run",
        "alarm:x": "an alarm",
        "load:gone": "a load",
    }
