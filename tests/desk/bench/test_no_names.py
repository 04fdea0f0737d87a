"""No field of any act takes a patient's name: cases are numbers, things are known, words are listened to."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any, get_args

import pytest
from pydantic import ValidationError

from sinkside.bench.every_act import Act
from sinkside.bench.no_names import LEFT_OUT, THINGS, WORDS, reads_like_a_name
from sinkside.records import Wanted
from support.bench_house import BenchHouse, bench_house

CASES = {"case"}
NAMES = ("Anna Kowalska", "KOWALSKA", "Berg, A.", "Nguyễn Thị Mai", "03.04.1957")


def _acts() -> list[type[Any]]:
    return list(get_args(Act))


def _is_open(shown: dict[str, Any]) -> bool:
    """Whether a field takes any text: its schema has text that no pattern, list or kind of moment closes."""
    text = json.dumps(shown)
    return '"string"' in text and not any(
        word in text for word in ("pattern", "const", "enum", "date-time", "$ref")
    )


def test_every_open_field_is_a_thing_a_case_number_or_words() -> None:
    """Of all acts together no other field takes open text: whoever adds one must say here which it is."""
    others = {
        (act.__name__, name)
        for act in _acts()
        for name, shown in act.model_json_schema()["properties"].items()
        if _is_open(shown) and name not in THINGS | CASES | WORDS
    }
    assert others == set()


@pytest.mark.parametrize("name", NAMES)
def test_no_case_field_of_any_act_takes_a_name(name: str) -> None:
    """Every act with a case refuses names and birthdays in it before a tap is made of it."""
    with_case = [act for act in _acts() if "case" in act.model_fields]
    assert len(with_case) >= 5
    for act in with_case:
        with pytest.raises(ValidationError) as refused:
            act.model_validate({"case": name})
        assert ("case",) in {fault["loc"] for fault in refused.value.errors()}


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("soil in the lumen, asked Frau Berg", True), ("patient Kowalska, second case", True),
        ("Patient: Berg", True), ("Mrs. Nguyen's set", True), ("born 03.04.1957", True),
        ("DOB 1957-04-03", True),
        ("jaw bent at the tip", False), ("Gelenk rostig, Blut im Schaft", False), ("50 ms Delay", False),
        ("it may be in the patient", False), ("dropped on 03.04.2026", False), ("Hibari 55 stiff", False),
    ],
)  # fmt: skip
def test_plain_names_are_heard_and_work_is_not(words: str, named: bool) -> None:
    """Titles with names, patients called something and birthdays are heard; words about work are not."""
    assert reads_like_a_name(words) is named


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """A bench, made once."""
    return bench_house()


def test_what_reads_like_a_name_is_refused_and_kept_nowhere(made: BenchHouse) -> None:
    """The tap is refused, its words are left out of what is kept, and the queue goes on with the next."""
    bench = deepcopy(made)
    bench.done("tom", "arrive")
    answer = bench.tap("tom", "hold", why="patient Kowalska said so")
    assert (answer.outcome, "without" in answer.said) == ("refused", True)
    with bench.house.archive.unit(writes=False) as unit:
        kept = unit.bench.taps.refused("north")
        events = unit.journal.events("north", Wanted(kinds=["tapped"]))
    assert len(kept) == 1
    told = json.dumps([event.data for event in events], default=str)
    assert "Kowalska" not in told
    assert LEFT_OUT in told
    assert bench.done("tom", "hold", why="asked the maker").state == "held"


def test_a_name_as_a_substitute_is_refused_too(made: BenchHouse) -> None:
    """Words inside a list of words are listened to as well."""
    bench = deepcopy(made)
    bench.done("tom", "arrive")
    answer = bench.tap("tom", "count", found={"1": 1}, substitutes={"1": "tube of Mr Berg"})
    assert "reads like a name" in answer.said


@pytest.mark.parametrize("fields", [{"code": "Kowalska"}, {"found": {"Kowalska": 1}}])
def test_what_is_no_thing_of_the_house_is_not_kept(made: BenchHouse, fields: dict[str, Any]) -> None:
    """A name typed where a code or a line belongs is refused; neither the act nor its answer repeats it."""
    bench = deepcopy(made)
    bench.done("tom", "arrive")
    answer = bench.tap("tom", "count", **{"found": {"1": 1}, **fields})
    assert answer.outcome == "refused"
    with bench.house.archive.unit(writes=False) as unit:
        kept = repr(unit.bench.taps.refused("north")) + repr(unit.journal.events("north", Wanted()))
    assert "Kowalska" not in kept + answer.said
