"""Implants before their result, and immediate use: by a loud form alone, all else in order (scene 4)."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta
from typing import Any, Final

import pytest

from sinkside.department import Department
from sinkside.desk import departments
from sinkside.desk.bench import exceptions
from sinkside.desk.indicator_reading import read_biological
from sinkside.desk.indicators import add_lot, look_at_chemical, place_biological
from sinkside.desk.machine_checks import record_check
from sinkside.instruction import Instruction, Step
from support.bench_house import CODES, BenchHouse, bench_house, demo_department, suction_tube
from support.load_house import (
    STERILIZER,
    at_the_sink,
    copy_now,
    decided,
    load_now,
    load_with,
    recorded,
    sterilized,
    to_the_pack,
    washed,
)

FIRST, SECOND, _ = CODES
FORM: Final = {
    "case": "26-0417",
    "authority": "surgeon on duty, theatre 2",
    "reason": "no other plate of this size in the house",
}
QUICK: Final = "134 °C, 3 min, immediate use"


def _with_a_quick_cycle() -> Instruction:
    """The tube's text, which also names a cycle for immediate use."""
    text = suction_tube()
    last = next(step for step in reversed(text.steps) if step.action.value == "sterilize")
    words = "For immediate use: steam, prevacuum, 134 °C, 3 min, unwrapped."
    quick = Step.model_validate(
        {
            **last.model_dump(by_alias=True),
            "id": "quick",
            "figures": [one for one in last.model_dump()["figures"] if one.get("role") != "drying"],
            "origin": {**last.origin.model_dump(), "text": words},
            "alternative": None,
        }
    )
    at = text.steps.index(last) + 1
    return text.model_copy(update={"steps": (*text.steps[:at], quick, *text.steps[at:])})


def _site() -> Department:
    """The demo's department; its first sterilizer has a program for immediate use as well."""
    site = demo_department()
    machine = next(one for one in site.machines if one.id == STERILIZER["machine"])
    plain = next(one for one in machine.programs if one.name == "134 °C, 3 min")
    quick = plain.model_copy(update={"name": QUICK, "use": "immediate-use", "drying": None})
    more = machine.model_copy(update={"programs": (*machine.programs, quick)})
    return site.model_copy(
        update={"machines": tuple(more if one.id == machine.id else one for one in site.machines)}
    )


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench whose text and sterilizer have a quick cycle beside the ordinary one, set up once."""
    made = bench_house(_with_a_quick_cycle())
    lena = made.house.visitor("lena")
    departments.keep_department(made.house.archive, lena, _site(), now=made.now)
    return made


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def _refused(bench: BenchHouse, act: str, name: str = "lena", **fields: Any) -> str:
    answer = bench.tap(name, act, **fields)
    assert answer.outcome == "refused", answer.said
    return answer.said


def _lot(bench: BenchHouse, kind: Any) -> str:
    return add_lot(
        bench.house.archive,
        bench.house.visitor("tom"),
        kind,
        name="Sporetell" if kind == "biological" else "Stripfive",
        lot="A17",
        expires=bench.now.date() + timedelta(days=90),
        hours=3 if kind == "biological" else None,
        now=bench.now,
    )


def _implant_load(bench: BenchHouse) -> str:
    """A load with an implant, out of the machine, its record handed in; the cycle."""
    to_the_pack(bench, FIRST)
    tom = bench.house.visitor("tom")
    record_check(bench.house.archive, tom, "sterilizer-1", "air-removal", ["yes"], now=bench.now)
    bench.done("tom", "open-load", **STERILIZER, program="134 °C, 3 min")
    bench.done("tom", "add-to-load", **STERILIZER, code=FIRST)
    bench.done("tom", "mark-implant", **STERILIZER, words="plate, four holes")
    bench.done("tom", "start-load", **STERILIZER)
    bench.later(45)
    bench.done("tom", "end-load", **STERILIZER, complete=True)
    return recorded(bench, load_with(bench, FIRST))


def _indicators(bench: BenchHouse, cycle: str) -> str:
    """The chemical one changed, the biological one incubates; the biological one."""
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    look_at_chemical(archive, tom, cycle, _lot(bench, "chemical"), passed=True, now=bench.now)
    return place_biological(archive, tom, cycle, _lot(bench, "biological"), started=bench.now, now=bench.now)


def test_scene_4_an_implant_goes_out_early_by_the_form_and_its_result_follows(bench: BenchHouse) -> None:
    """Out at 13:20, due 16:20, case at 15:00: held; every field demanded; the late result links to it."""
    cycle = _implant_load(bench)
    indicator = _indicators(bench, cycle)
    with pytest.raises(Exception, match="cannot be released without"):
        decided(bench, cycle)
    bench.later(60)
    assert "does not allow" in _refused(bench, "early-implant", "tom", **FORM)
    answer = bench.done("lena", "early-implant", **FORM)
    assert answer.state == "issued"
    assert load_now(bench, load_with(bench, FIRST)).state == "over"
    archive, eve = bench.house.archive, bench.house.visitor("eve")
    ((key, form),) = exceptions.find_exceptions(archive, eve).to_review
    assert (form.kind, form.case, form.copy_code) == ("early-implant", "26-0417", FIRST)
    assert "It incubates." in form.in_the_way[0]
    bench.later(121)
    read_biological(
        archive, bench.house.visitor("tom"), indicator, grew=False, control_grew=True, now=bench.now
    )
    assert exceptions.open_exception(archive, eve, key).later == (
        "Biological indicator (Sporetell, lot A17): no growth, and its control grew.",
    )


@pytest.mark.parametrize("field", ["case", "authority", "reason"])
def test_the_form_demands_every_field(bench: BenchHouse, field: str) -> None:
    """A form without case number, authority or reason is no form."""
    with pytest.raises(ValueError, match=field):
        bench.tap("lena", "early-implant", code=FIRST, **{**FORM, field: ""})


def test_only_the_biological_result_may_be_missing(bench: BenchHouse) -> None:
    """Without a record, an indicator that incubates, or the strip, nothing goes out early."""
    to_the_pack(bench, SECOND)
    assert "did not come out of a sterilizer" in _refused(bench, "early-implant", code=SECOND, **FORM)
    sterilized(bench, SECOND)
    assert "hand in the record" in _refused(bench, "early-implant", code=SECOND, **FORM)
    cycle = recorded(bench, load_with(bench, SECOND))
    assert "nobody said that an implant" in _refused(bench, "early-implant", code=SECOND, **FORM)
    bench.done("tom", "mark-implant", **STERILIZER, words="screw")
    assert "no biological indicator of it incubates" in _refused(bench, "early-implant", code=SECOND, **FORM)
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    place_biological(archive, tom, cycle, _lot(bench, "biological"), started=bench.now, now=bench.now)
    assert "more is missing than the biological result" in _refused(
        bench, "early-implant", code=SECOND, **FORM
    )


def test_a_record_that_fails_lets_nothing_out_early(bench: BenchHouse) -> None:
    """An implant in a load that was dried too short stays, whatever the form says."""
    to_the_pack(bench, FIRST)
    sterilized(bench, FIRST)
    bench.done("tom", "mark-implant", **STERILIZER, words="screw")
    _indicators(bench, recorded(bench, load_with(bench, FIRST), "short-dry"))
    assert "does not meet its program" in _refused(bench, "early-implant", **FORM)


def _open_and_clean(bench: BenchHouse) -> None:
    at_the_sink(bench, FIRST)
    washed(bench, FIRST)
    bench.done("tom", "to-clean-side")


def test_immediate_use_has_a_form_and_ends_at_its_case(bench: BenchHouse) -> None:
    """An inspected set, alone, in the cycle that its text names; released, it is issued and not stored."""
    _open_and_clean(bench)
    asked = {**STERILIZER, "program": QUICK, "code": FIRST, **FORM}
    assert "is for immediate use, which has a form of its own" in _refused(
        bench, "open-load", "tom", **STERILIZER, program=QUICK
    )
    assert "not inspected" in _refused(bench, "immediate-use", **asked)
    bench.done("tom", "look-all")
    bench.done("tom", "finish-station", station="bench")
    assert "does not allow" in _refused(bench, "immediate-use", "tom", **asked)
    assert "is no program for immediate use" in _refused(
        bench, "immediate-use", **{**asked, "program": "134 °C, 5 min"}
    )
    assert bench.done("lena", "immediate-use", **asked).state == "in-sterilizer"
    assert "by the form" in _refused(bench, "take-out-of-load", "tom", **STERILIZER, code=FIRST)
    bench.done("tom", "start-load", **STERILIZER)
    bench.later(12)
    bench.done("tom", "end-load", **STERILIZER, complete=True)
    decided(bench, recorded(bench, load_with(bench, FIRST)))
    copy = copy_now(bench)
    assert (copy.state, copy.fields["case"]) == ("issued", "26-0417")
    ((_, form),) = exceptions.find_exceptions(bench.house.archive, bench.house.visitor("eve")).to_review
    assert (form.kind, form.in_the_way[0]) == ("immediate-use", "it is not packed")


def test_immediate_use_is_never_offered_to_a_text_that_does_not_name_it(bench: BenchHouse) -> None:
    """The ordinary text of the tube names no such cycle: the form is refused, nothing goes in."""
    plain = bench_house()
    departments.keep_department(plain.house.archive, plain.house.visitor("lena"), _site(), now=plain.now)
    _open_and_clean(plain)
    plain.done("tom", "look-all")
    plain.done("tom", "finish-station", station="bench")
    said = _refused(plain, "immediate-use", **STERILIZER, program=QUICK, code=FIRST, **FORM)
    assert "its text names no such cycle for immediate use" in said
    assert copy_now(plain).state == "clean-side"
