"""Histories of sets and loads as a house has them: what is told, who may read it, what is found."""

from __future__ import annotations

import pytest

from sinkside.bench.history import Mark
from sinkside.bench.tap import Tap
from sinkside.desk.bench import tapping
from sinkside.desk.history import finding
from sinkside.desk.history.reading import History, see_history
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import WantedCopies
from support.bench_house import CODES, BenchHouse, bench_house
from support.evidence_house import EvidenceHouse, evidence_house


@pytest.fixture(scope="module")
def house() -> EvidenceHouse:
    """Two sets went from theatre to the store; the washer has no record, the sterilizer has one."""
    return evidence_house()


def _read(bench: BenchHouse, noun: str, thing: str, *, name: str = "lena", before: str = "") -> History:
    return see_history(
        bench.house.archive, bench.house.visitor(name), noun, thing, now=bench.now, before=before
    )


def _copy(bench: BenchHouse, code: str) -> str:
    with bench.house.archive.unit(writes=False) as unit:
        (known,) = unit.bench.copies.found("north", WantedCopies(text=code))
        return known.id


def test_a_set_has_its_acts_its_loads_and_their_records_on_one_line(house: EvidenceHouse) -> None:
    """From its code to the store, with records and decisions of both loads, by name, each with its entry."""
    read = _read(house.bench, "set", _copy(house.bench, CODES[0]))
    told = [one.words for one in read.lines]
    assert told[0] == "Suction set is in store."
    assert told[-1].endswith(f"the code {CODES[0]}.")
    assert "Decided on the load of Sterilizer 1: released." in told
    assert "Had the record normal.csv judged: meets." in told
    assert all(one.entries for one in read.lines)
    assert {"Lena", "Tom", "Nora"} <= set(read.names.values())


def test_tasks_of_one_go_are_one_line(house: EvidenceHouse) -> None:
    """Tia did the second set step by step; three tasks within an hour are told together."""
    read = _read(house.bench, "set", _copy(house.bench, CODES[1]))
    assert [one.count for one in read.lines if one.words == "3 tasks done."] == [3]


def test_what_nobody_recorded_of_a_load_stands_first(house: EvidenceHouse) -> None:
    """The washer has no record: said with what was read instead; the sterilizer has one."""
    washed = [one.words for one in _read(house.bench, "load", house.washer_load).gaps]
    assert washed == [
        "Not recorded: the record of Washer 1; what was read at it: 92 °C for 5 min on the display."
    ]
    steamed = [one.words for one in _read(house.bench, "load", house.steam_load).gaps]
    assert not [one for one in steamed if "the record of" in one]
    assert [one for one in steamed if "air-removal test of the day" in one]


def test_a_load_has_what_was_put_into_it(house: EvidenceHouse) -> None:
    """Both sets went in; each line leads to the set."""
    lines = _read(house.bench, "load", house.steam_load).lines
    into = [one for one in lines if "is in; " in one.words]
    assert len(into) == 2
    assert all("set" in {each.noun for each in one.evidence} for one in into)


def test_names_of_others_are_for_whom_may_read_sign_offs(house: EvidenceHouse) -> None:
    """A technician sees what was done and their own name; the auditor and the lead see everybody's."""
    copy = _copy(house.bench, CODES[0])
    assert set(_read(house.bench, "set", copy, name="tom").names.values()) == {"Tom"}
    assert "Nora" in _read(house.bench, "set", copy, name="olga").names.values()


def test_who_may_not_read_histories_reads_none(house: EvidenceHouse) -> None:
    """Theatre is refused; what is not here, and what has no history, is not there."""
    with pytest.raises(NotAllowed):
        _read(house.bench, "set", _copy(house.bench, CODES[0]), name="nora")
    with pytest.raises(NotThere):
        _read(house.bench, "set", "c-none")
    with pytest.raises(NotThere):
        _read(house.bench, "poem", "c-none")
    with pytest.raises(BadInput):
        _read(house.bench, "set", _copy(house.bench, CODES[0]), before="yesterday")


def test_a_refused_act_stands_on_the_line_and_is_marked(house: EvidenceHouse) -> None:
    """What somebody tried and could not do is told as refused; what was done is not marked so."""
    del house
    bench = bench_house()
    bench.done("tom", "arrive")
    assert bench.tap("tom", "to-clean-side").outcome == "refused"
    lines = _read(bench, "set", _copy(bench, CODES[0])).lines
    assert lines[0].words.startswith("“to clean side” was refused: ")
    assert [Mark.refused in one.marks for one in lines] == [True, False, False]


def test_what_was_entered_from_paper_is_marked() -> None:
    """It stands at the moment at which it was done, and is marked; what was tapped then is not."""
    bench = bench_house()
    done = bench.now
    bench.later(90)
    act = {"act": "arrive", "code": CODES[0]}
    entered = Tap.model_validate({"key": "paper-001", "at": done, "entered": True, "act": act})
    tapping.tap(bench.house.archive, bench.house.visitor("tom"), [entered], now=bench.now)
    bench.done("tom", "take-up")
    lines = _read(bench, "set", _copy(bench, CODES[0])).lines
    assert [(Mark.entered in one.marks, one.at) for one in lines[:2]] == [(False, bench.now), (True, done)]


def test_an_exception_is_marked_and_has_its_form_beside_it() -> None:
    """The act and the form's own entry are both loud, and lead to the form; the other set has neither."""
    made = evidence_house()
    words = {"authority": "Head of theatre", "reason": "No other set is clean, it cannot wait."}
    made.bench.done("lena", "hold", code=CODES[0], why="its label was asked after")
    made.bench.done("lena", "issue-under-exception", code=CODES[0], case="C-1184", **words)
    copies = [_copy(made.bench, code) for code in CODES[:2]]
    loud, quiet = (
        [one for one in _read(made.bench, "set", copy).lines if Mark.exception in one.marks]
        for copy in copies
    )
    assert len(loud) == 2
    assert all("exception" in {each.noun for each in one.evidence} for one in loud)
    assert quiet == []


def test_a_scanned_code_is_one_thing_and_words_are_several(house: EvidenceHouse) -> None:
    """The code finds the set alone; the name all three; nothing finds nothing."""
    archive, lena = house.bench.house.archive, house.bench.house.visitor("lena")

    def titles(text: str) -> list[str]:
        return [one.title for one in finding.find(archive, lena, text, now=house.bench.now)]

    assert titles(CODES[1]) == [f"Suction set, {CODES[1]}"]
    assert len(titles("suction")) == len(CODES)
    assert titles("no such thing") == titles("  ") == []
