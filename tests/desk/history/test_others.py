"""Histories of machines, people, lots, cases, instruments and of what is lent, with what is not recorded."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.bench.loans import LoanPart, Way
from sinkside.desk import indicators
from sinkside.desk.bench import loans
from sinkside.desk.bench.loans import Agreed, CameIn
from sinkside.desk.bench.pieces import mark_piece
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.evidence.gathering import facts_of_code
from sinkside.desk.history import finding
from sinkside.desk.history.reading import History, see_history
from sinkside.errors import BadInput, NotAllowed, NotThere
from support.bench_house import CODES, BenchHouse, at_packing, bench_house
from support.evidence_house import CASE, LOT, EvidenceHouse, evidence_house


@pytest.fixture(scope="module")
def house() -> EvidenceHouse:
    """Two sets went from theatre to the store."""
    return evidence_house()


def _read(bench: BenchHouse, noun: str, thing: str, *, name: str = "lena", before: str = "") -> History:
    visitor = bench.house.visitor(name)
    return see_history(bench.house.archive, visitor, noun, thing, now=bench.now, before=before)


def _gaps(history: History) -> list[str]:
    return [one.gap.expected for one in history.gaps if one.gap]


def _found(bench: BenchHouse, text: str) -> list[tuple[str, str]]:
    found = finding.find(bench.house.archive, bench.house.visitor("lena"), text, now=bench.now)
    return [(one.noun, one.id) for one in found]


def test_a_machine_has_its_loads_and_lacks_its_tests(house: EvidenceHouse) -> None:
    """One line a load, from its start to its end; used on a day on which no test of the day had passed."""
    read = _read(house.bench, "machine", "sterilizer-1")
    (load,) = [one for one in read.lines if one.kind == "load"]
    assert load.words == "134 °C, 3 min, 2 pieces: released."
    assert load.until is not None
    assert (load.until - load.at) == timedelta(minutes=45)
    assert "air-removal test, passed, on 2026-03-02, when it was used" in _gaps(read)
    assert _found(house.bench, "Sterilizer 1") == [("machine", "sterilizer-1")]
    with pytest.raises(NotThere):
        _read(house.bench, "machine", "mangle-1")


def test_a_machine_of_many_loads_has_pages_that_meet(
    house: EvidenceHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With one load a page, the page below goes on where this one ends, and repeats nothing."""
    monkeypatch.setattr("sinkside.desk.history.machines._LOADS", 1)
    first = _read(house.bench, "machine", "washer-1")
    assert first.before
    below = _read(house.bench, "machine", "washer-1", before=first.before)
    loads = [one.evidence for page in (first, below) for one in page.lines if one.kind == "load"]
    assert len(loads) == len(set(loads)) == 1
    with pytest.raises(BadInput):
        _read(house.bench, "machine", "washer-1", before="12")


def test_work_without_a_sign_off_is_a_gap_of_its_person(house: EvidenceHouse) -> None:
    """Tia had none and worked at the sink: told once for the run; Tom had all of them."""
    people = house.bench.house.people
    (gap,) = _gaps(_read(house.bench, "person", people["tia"]))
    assert gap.startswith("a sign-off for tubular instruments at the sink")
    assert _gaps(_read(house.bench, "person", people["tom"])) == []
    with pytest.raises(NotThere):
        _read(house.bench, "person", "p-nobody")


def test_a_set_tells_whose_work_no_sign_off_carried(house: EvidenceHouse) -> None:
    """Tia worked on the second set: her name stands at the gap for who may know it; Tom's set has none."""
    with house.bench.house.archive.unit(writes=False) as unit:
        first, second = (copy_of_code(unit, "north", code).id for code in CODES[:2])
    people = house.bench.house.people
    by = [one.by for one in _read(house.bench, "set", second).gaps if "a sign-off for" in one.words]
    assert by == [people["tia"]]
    assert not [one for one in _read(house.bench, "set", first).gaps if "a sign-off for" in one.words]
    assert people["tia"] not in _read(house.bench, "set", second, name="tom").names


def test_a_set_lacks_what_the_evidence_file_of_its_last_run_lacks(house: EvidenceHouse) -> None:
    """The edition of the maker's text is not stated; solution and poster were recorded and are no gap."""
    with house.bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", CODES[0]).id
    told = [one.words for one in _read(house.bench, "set", copy).gaps]
    assert [one for one in told if "edition of the maker" in one]
    assert not [one for one in told if "poster" in one or "of which lot" in one]


@pytest.mark.parametrize("code", CODES[:2])
def test_a_gap_reads_alike_on_the_page_and_in_the_file(house: EvidenceHouse, code: str) -> None:
    """Whatever the evidence file of the last run says is missing stands word for word on the set's page."""
    lena = house.bench.house.visitor("lena")
    facts = facts_of_code(house.bench.house.archive, lena, code, now=house.bench.now)
    with house.bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", code).id
    on_the_page = {(one.words, one.by) for one in _read(house.bench, "set", copy).gaps}
    in_the_file = {(one.sentence, one.person) for one in facts.gaps}
    assert in_the_file
    assert on_the_page == in_the_file


def test_a_person_is_read_by_themselves_and_by_who_may_read_sign_offs(house: EvidenceHouse) -> None:
    """Tia reads her own and not Tom's; the auditor reads both."""
    people = house.bench.house.people
    assert _read(house.bench, "person", people["tia"], name="tia").title == "Tia"
    assert _read(house.bench, "person", people["tom"], name="olga").title == "Tom"
    with pytest.raises(NotAllowed):
        _read(house.bench, "person", people["tom"], name="tia")


def test_a_case_has_what_was_used_in_it(house: EvidenceHouse) -> None:
    """Both sets were reported; found by number; a day later it is not closed, and runs are unknown."""
    ((noun, case),) = _found(house.bench, CASE)
    read = _read(house.bench, noun, case)
    assert [one.words.partition(" is reported")[0] for one in read.lines] == [
        "Suction set (SET-2)",
        "Suction set (SET-1)",
    ]
    assert _gaps(read) == []
    late = see_history(
        house.bench.house.archive,
        house.bench.house.visitor("lena"),
        noun,
        case,
        now=house.bench.now + timedelta(days=1),
    )
    assert f"the end of case {CASE}" in _gaps(late)
    assert f"the run by which Suction set had been processed before case {CASE}" in _gaps(late)


def test_a_lot_has_what_it_was_used_for(house: EvidenceHouse) -> None:
    """A chemical by its number, whose date nobody said; indicators by name, with each result."""
    assert _found(house.bench, LOT) == [("lot", LOT)]
    chemical = _read(house.bench, "lot", LOT)
    assert _gaps(chemical) == [f"until when lot {LOT} may be used"]
    assert chemical.lines[0].words.startswith("Made up ")
    ((noun, lot),) = _found(house.bench, "A17")
    told = [one.words for one in _read(house.bench, noun, lot).lines]
    assert "One was put into a load of Sterilizer 1: changed as it should." in told
    with pytest.raises(NotThere):
        _read(house.bench, "lot", "no-such-lot")


def test_a_biological_indicator_without_its_control_is_a_gap_of_its_lot() -> None:
    """While it incubates nothing is missing."""
    made = evidence_house()
    bench, tom = made.bench, made.bench.house.visitor("tom")
    lot = indicators.add_lot(
        bench.house.archive,
        tom,
        "biological",
        name="Growfast",
        lot="B3",
        hours=24,
        expires=bench.now.date() + timedelta(days=9),
        now=bench.now,
    )
    indicators.place_biological(bench.house.archive, tom, made.cycle, lot, started=bench.now, now=bench.now)
    read = _read(bench, "lot", lot)
    assert _gaps(read) == []
    assert any("it incubates" in one.words for one in read.lines)


def test_a_solution_in_use_after_its_time_is_a_gap(house: EvidenceHouse) -> None:
    """Within its time only its lot's date is missing; a month later nobody has discarded it."""
    with house.bench.house.archive.unit(writes=False) as unit:
        solution = unit.rows.all("sink-solution", ["north"])[0].id
    assert len(_gaps(_read(house.bench, "solution", solution))) == 1
    late = see_history(
        house.bench.house.archive,
        house.bench.house.visitor("lena"),
        "solution",
        solution,
        now=house.bench.now + timedelta(days=30),
    )
    assert any("was discarded in time" in one for one in _gaps(late))


def test_a_marked_instrument_has_the_runs_that_it_was_put_into() -> None:
    """Of its set only the run that it lay in: not the other tube's, and nothing before it was put in."""
    bench = bench_house()
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    for code in ("TUBE-1", "TUBE-2"):
        mark_piece(archive, lena, CODES[0], "1", code=code, now=bench.now)
    at_packing(bench)
    bench.done("tom", "put-in", piece="TUBE-1")
    read = {code: _read(bench, "set", _found(bench, code)[0][1]) for code in ("TUBE-1", "TUBE-2")}
    told = [one.words for one in read["TUBE-1"].lines]
    assert any("TUBE-1 is in" in one for one in told)
    assert any("SET-1" in one and "clean side" in one for one in told)
    assert len(read["TUBE-2"].lines) == 1


def test_what_is_borrowed_has_its_loan_on_its_line() -> None:
    """Received, it stands on the history of the copy; another set's has nothing of it."""
    bench = bench_house()
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    parts = (LoanPart(name="tube", expected=2),)
    agreed = Agreed(
        Way.borrowed, "Suction kit", "Hillside", bench.now + timedelta(days=3), of=bench.set, parts=parts
    )
    loan = loans.agree(archive, tom, agreed, now=bench.now)
    loans.receive(archive, tom, loan, CameIn("LOAN-1", (2,)), now=bench.later(5))
    with archive.unit(writes=False) as unit:
        copies = {code: copy_of_code(unit, "north", code).id for code in ("LOAN-1", CODES[0])}
    borrowed = [one.words for one in _read(bench, "set", copies["LOAN-1"]).lines]
    assert any(one.startswith("Received ") for one in borrowed)
    assert not [one for one in _read(bench, "set", copies[CODES[0]]).lines if "eceived" in one.words]
