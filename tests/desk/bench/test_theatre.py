"""From theatre to the sink: what theatre reports, the soil clock that it starts, lateness, lost fragments."""

from __future__ import annotations

import functools
from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.run import Run
from sinkside.desk.bench.alarms import alarms
from sinkside.desk.bench.late_cleaning import QUESTION
from sinkside.desk.bench.runs import copy_of_code, run_by_id
from sinkside.desk.bench.theatre_view import use_asked
from sinkside.desk.keeping import keep_next
from sinkside.desk.today import today
from sinkside.instruction import Instruction, Origin, Part, PartUse, Step
from sinkside.quantities import Figure
from support.bench_house import CODES, BenchHouse, bench_house, suction_tube

CASE = "2026-04711"


def _text(*more: str) -> Instruction:
    """The tube's text with an hour between use and cleaning, and further sentences of cleaning."""
    hour = Figure(quantity="time", max=60, unit="min", role="time-since-use", as_written="within 60 min")
    begin = Step.model_validate({
        "id": "late-1", "stage": "transport", "action": "start-cleaning", "figures": (hour,),
        "origin": Origin(page=1, line=99, text="Begin cleaning within 60 min."),
    })  # fmt: skip
    soaks = [
        Step.model_validate({
            "id": f"late-{n}", "stage": "cleaning", "action": "soak", "condition": "if soil has dried",
            "with": "neutral cleaner", "origin": Origin(page=2, line=n, text=words),
        })
        for n, words in enumerate(more, 2)
    ]  # fmt: skip
    text = suction_tube()
    first = [step for step in text.steps if step.stage == "point-of-use"]
    rest = [step for step in text.steps if step.stage != "point-of-use"]
    return text.model_copy(update={"steps": (*first, begin, *rest, *soaks)})


@functools.cache
def _made(*more: str, hour: bool) -> BenchHouse:
    return bench_house(_text(*more) if hour else suction_tube())


def _bench(*more: str, hour: bool = True) -> BenchHouse:
    """A bench of one's own; its tubes have an hour until cleaning unless told."""
    return deepcopy(_made(*more, hour=hour))


def _report(bench: BenchHouse, name: str = "nora", **more: Any) -> Any:
    fields = {"case": CASE, "last_used": bench.now.isoformat(), "treated": True, **more}
    return bench.tap(name, "report-use", **fields)


def _run(bench: BenchHouse) -> Run:
    with bench.house.archive.unit(writes=False) as unit:
        return run_by_id(unit, copy_of_code(unit, "north", CODES[0]).run).run


def _first_treatment(bench: BenchHouse) -> list[str]:
    nora = bench.house.visitor("nora")
    with bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", CODES[0]).id
    return [task.id for task in use_asked(bench.house.archive, nora, copy, now=bench.now).tasks]


def _questions(bench: BenchHouse) -> list[str]:
    with bench.house.archive.unit(writes=False) as unit:
        return [str(row.fields["question"]) for row in unit.rows.all(QUESTION, ["north"])]


def _late_by(bench: BenchHouse, minutes: float) -> str:
    """Reported at the end of use, arrived and taken up so much later."""
    assert _report(bench).outcome == "done"
    bench.later(minutes)
    bench.done("tom", "arrive")
    return bench.done("tom", "take-up").said


def test_scene_12_asks_the_maker_where_its_text_has_no_measure() -> None:
    """Used until 13:05, at the sink at 16:50, within 60 min: 2 h 45 min late, and never easier for it."""
    bench = _bench()
    said = _late_by(bench, 225)
    assert "2 h 45 min late (within 60 min)" in said
    (question,) = _questions(bench)
    assert '"within 60 min"; it began 2 h 45 min later' in question
    (late,) = [one for one in _run(bench).deviations if "late" in one.what]
    assert late.reason.startswith("asked the maker")


def test_scene_12_follows_the_texts_own_measure() -> None:
    """A text that says what to do with dried soil is quoted with its page; the maker is not asked."""
    bench = _bench("If soil has dried on, soak for 30 min before brushing.")
    said = _late_by(bench, 225)
    assert "“If soil has dried on, soak for 30 min before brushing.” (page 2)" in said
    assert _questions(bench) == []


def test_who_begins_in_time_is_not_late() -> None:
    """59 minutes after use nothing is said; 61 minutes after it is a minute late."""
    bench = _bench()
    assert "late" not in _late_by(bench, 59)
    other = _bench()
    assert "1 min late" in _late_by(other, 61)


def test_where_the_text_states_no_time_cleaning_begins_at_once() -> None:
    """The suction tube's text states none: its clock ends when it was last used."""
    bench = _bench(hour=False)
    assert "cleaning begins at once" in _report(bench).said
    assert _run(bench).clean_by == bench.now


def test_a_later_report_only_worsens_the_clock() -> None:
    """A set that came before theatre's report gets the earlier use; a later use changes nothing."""
    bench = _bench()
    came = bench.now
    bench.done("tom", "arrive", last_used=came.isoformat())
    assert _run(bench).clean_by == came + timedelta(minutes=60)
    bench.later(10)
    assert _report(bench).outcome == "done"
    assert _run(bench).clean_by == came + timedelta(minutes=60)
    earlier = came - timedelta(minutes=30)
    assert _report(bench, last_used=earlier.isoformat()).outcome == "done"
    assert (_run(bench).last_used, _run(bench).clean_by) == (earlier, came + timedelta(minutes=30))


def test_theatre_tells_what_it_did_and_saw() -> None:
    """First treatment is done but for one step; damage and a missing piece stand on the run."""
    bench = _bench(hour=False)
    first, *_, last = _first_treatment(bench)
    _report(
        bench, undone=[last], damaged=[{"line": "1", "kind": "bent"}], missing=[{"line": "1", "count": 1}]
    )
    run = _run(bench)
    assert first in run.done
    assert last not in run.done
    told = [one.what for one in run.deviations]
    assert told[0].endswith("bent")
    assert told[1].endswith("1 missing after the case")
    assert told[2].startswith("not done in theatre: ")


def test_a_case_gets_what_was_used_in_it_and_is_closed_once() -> None:
    """Nobody had planned the case: it is kept by its number, with the set; closing it twice is refused."""
    bench = _bench(hour=False)
    _report(bench)
    assert bench.done("nora", "close-case", case=CASE).said == f"Case {CASE} is closed."
    assert "closed already" in bench.tap("nora", "close-case", case=CASE).said
    with bench.house.archive.unit(writes=False) as unit:
        case = unit.bench.cases.by_number("north", CASE)
        assert case is not None
        used = unit.bench.cases.sets_of(case.id)
        assert [(one.set, one.state) for one in used] == [(bench.set, "used")]
        assert case.ended == bench.now


def test_what_is_in_the_department_is_not_used_in_a_case() -> None:
    """A set on the clean side was not used; a use in the future is none; a technician reports none."""
    bench = _bench(hour=False)
    later = (bench.now + timedelta(hours=1)).isoformat()
    assert "later than now" in _report(bench, last_used=later).said
    assert "does not allow" in _report(bench, "tom").said
    _report(bench)
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    bench.done("tom", "send-back", reason="soil at the bench")
    assert "is in the department" in _report(bench).said


def test_scene_9_a_missing_fragment_is_told_in_one_tap_and_acknowledged() -> None:
    """The sink counts one short: one tap tells theatre, which answers with case number and time, once."""
    bench = _bench(hour=False)
    _report(bench)
    bench.later(20)
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    told = bench.done("tom", "missing-fragment", line="1").said
    assert told.startswith(f"Theatre of case {CASE} is told: 1 × ")
    assert "already" in bench.done("tom", "missing-fragment", line="1").said
    nora = bench.house.visitor("nora")
    (alarm,) = alarms(bench.house.archive, nora)
    assert (alarm.state, alarm.case, alarm.raised) == ("open", CASE, bench.now)
    answered = bench.later(4)
    bench.done("nora", "acknowledge-alarm", alarm=alarm.id, case=CASE)
    (alarm,) = alarms(bench.house.archive, nora)
    assert (alarm.state, alarm.acknowledged) == ("acknowledged", answered)
    bench.later(30)
    bench.done("nora", "acknowledge-alarm", alarm=alarm.id, case=CASE, outcome="found")
    assert alarms(bench.house.archive, nora) == ()
    assert "closed" in bench.tap("nora", "acknowledge-alarm", alarm=alarm.id, case=CASE).said


def test_a_fragment_told_missing_is_counted_missing() -> None:
    """The alarm is a count too: the line stands short on the run, so that no pack closes over it."""
    bench = _bench(hour=False)
    _report(bench)
    bench.done("tom", "missing-fragment", line="1")
    assert _run(bench).counted["1"].found == 1


@pytest.mark.parametrize("name", ["Anna Kowalska", "KOWALSKA", "Berg, A.", "Nguyễn"])
@pytest.mark.parametrize(
    ("act", "field"),
    [
        ("report-use", "case"), ("report-use", "undone"), ("close-case", "case"),
        ("missing-fragment", "line"), ("acknowledge-alarm", "alarm"), ("acknowledge-alarm", "case"),
        ("acknowledge-alarm", "outcome"),
    ],
)  # fmt: skip
def test_no_field_of_a_case_takes_a_name(act: str, field: str, name: str) -> None:
    """A name in any field of theatre's acts makes no tap at all, so that none is kept even as refused."""
    from pydantic import ValidationError

    from sinkside.bench.tap import Tap

    now = datetime.fromisoformat("2026-12-01T08:00:00+00:00")
    good: dict[str, Any] = {
        "act": act, "code": CODES[0], "case": CASE, "last_used": now, "line": "1", "alarm": "a-0123",
    }  # fmt: skip
    wanted = {
        "report-use": ("act", "code", "case", "last_used"), "close-case": ("act", "case"),
        "missing-fragment": ("act", "code", "line"), "acknowledge-alarm": ("act", "alarm", "case"),
    }[act]  # fmt: skip
    values = {key: good[key] for key in wanted}
    Tap.model_validate({"key": "key-00001", "at": now, "act": values})
    values[field] = [name] if field == "undone" else name
    with pytest.raises(ValidationError):
        Tap.model_validate({"key": "key-00001", "at": now, "act": values})


def test_theatre_finds_a_missing_fragment_at_the_top_of_today() -> None:
    """What may be in the patient is a stop for theatre until it is answered, a concern until it closes."""
    bench = _bench(hour=False)
    _report(bench)
    bench.done("tom", "missing-fragment", line="1")
    nora = bench.house.visitor("nora")

    def told() -> tuple[str, str]:
        first = today(bench.house.archive, nora, now=bench.now)[0]
        return first.level.value, first.sentence

    assert told()[0] == "stop"
    assert "may be in the patient" in told()[1]
    (alarm,) = alarms(bench.house.archive, nora)
    bench.done("nora", "acknowledge-alarm", alarm=alarm.id, case=CASE)
    assert told() == ("concern", f"{alarm.what} of {alarm.copy_name}, case {CASE}: say whether it was found.")


def test_a_used_set_comes_back_although_its_text_is_not_approved_any_more() -> None:
    """It goes by the plan of its last run, and is held until whoever decides says how to go on."""
    bench = _bench(hour=False)
    _report(bench)
    with bench.house.archive.unit() as unit:
        copy = copy_of_code(unit, "north", CODES[0])
        unit.bench.copies.put(replace(copy, state="in-use"))
        row = unit.rows.get("instruction", bench.instruction)
        assert row is not None
        kept = keep_next(unit, "instruction", row.id, _text(), by="p-eve", now=bench.now)
        unit.rows.put(replace(row, fields={**row.fields, "approved": 0, "revision": kept.number}))
    answer = _report(bench)
    assert (answer.outcome, answer.state) == ("done", "held")
    assert "not approved" in _run(bench).open_holds()[0].why


def test_the_maker_is_asked_once_however_many_sets_are_late() -> None:
    """Two sets with the same text come late: both say so, and one question waits."""
    bench = _bench()
    for code in CODES[:2]:
        bench.done("tom", "arrive", code=code, last_used=(bench.now - timedelta(hours=3)).isoformat())
        assert "2 h late" in bench.done("tom", "take-up", code=code).said
    assert len(_questions(bench)) == 1


def test_a_second_report_of_a_set_adds_what_is_new() -> None:
    """What was done stays done, what is told twice is kept once, and another damaged piece stands beside."""
    bench = _bench(hour=False)
    first, *_, last = _first_treatment(bench)
    _report(bench, undone=[last], damaged=[{"line": "1", "kind": "bent"}])
    before = [one.what for one in _run(bench).deviations]
    _report(bench, treated=False, damaged=[{"line": "1", "kind": "stiff"}])
    run = _run(bench)
    assert first in run.done
    (new,) = [one.what for one in run.deviations][len(before) :]
    assert new.endswith("stiff")


def test_parts_for_one_use_are_asked_after_when_a_case_closes() -> None:
    """A part to discard after use is asked for by name; one that was not thrown away stands on the run."""
    text = suction_tube()
    parts = tuple(
        Part(id=f"single-{use.value}", name=f"{use.value} tip", use=use)
        for use in (PartUse.discard_after_use, PartUse.new_at_assembly, PartUse.sterile_at_field)
    )
    device = text.device.model_copy(update={"parts": (*text.device.parts, *parts)})
    bench = bench_house(text.model_copy(update={"device": device}))
    with bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", CODES[0]).id
    asked = use_asked(bench.house.archive, bench.house.visitor("nora"), copy, now=bench.now)
    assert list(asked.thrown_away.values()) == ["discard-after-use tip of suction tube"]
    _report(bench)
    kept = "not thrown away in theatre: discard-after-use tip of suction tube"
    assert kept in [one.what for one in _run(bench).deviations]
    answer = _report(bench, code=CODES[1], discarded=list(asked.thrown_away))
    assert answer.outcome == "done"
    with bench.house.archive.unit(writes=False) as unit:
        other = run_by_id(unit, copy_of_code(unit, "north", CODES[1]).run).run
    assert kept not in [one.what for one in other.deviations]
