"""Gaps, each on both sides: with what is expected missing there is one, with it there is none.

What is expected comes from the plan, the policy of release and what the tool never does; no published source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.gaps_of_loads import Asked, LoadKnown, load_gaps
from sinkside.bench.gaps_of_others import (
    CaseKnown,
    CheckAsked,
    DaysOf,
    LotKnown,
    LotUse,
    SetOfCase,
    SolutionKnown,
    Worked,
    case_gaps,
    lot_gaps,
    machine_gaps,
    person_gaps,
    solution_gaps,
)
from sinkside.bench.gaps_of_runs import run_gaps
from sinkside.bench.history import Evidence
from sinkside.bench.loads import LoadState
from sinkside.bench.plan import Line, Plan, Task, TextBehind
from sinkside.bench.run import Counted, Deviation, Done, InLoad, Looked, Packed, Place, Run
from sinkside.department import Station
from sinkside.instruction import Action, Stage

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def _task(task: str, station: Station, **more: Any) -> Task:
    told = {
        "member": "tube",
        "letter": task[-1],
        "station": station,
        "stage": Stage.cleaning,
        "action": Action.flush,
        "words": f"Do {task}.",
    }
    return Task(id=task, **{**told, **more})


PLAN = Plan(
    set="s-1",
    name="Suction set",
    set_revision=1,
    texts=(TextBehind(member="tube", instruction="i-1", revision=2),),
    tasks=(
        _task("1.A", Station.theatre, required=False),
        _task("1.B", Station.sink),
        _task("1.C", Station.washer, machine="washer-1", program="Instruments 90"),
        _task("1.D", Station.bench),
        _task("1.E", Station.packing),
        _task("1.F", Station.sterilizer, machine="sterilizer-1", program="134 °C, 3 min"),
        _task("1.G", Station.sterilizer),
    ),
    lines=(Line(id="1", member="tube", expected=2, critical=True),),
)
DONE = Done(at=NOW, by="p-tom")


def _load(station: Station, **more: Any) -> InLoad:
    told = {"machine": "m", "program": "p", "members": ("tube",), "at": NOW, "end": "released", "ended": NOW}
    return InLoad(load=f"l-{station}", station=station, **{**told, **more})


def _whole(**change: Any) -> Run:
    """A run in store of which everything is recorded."""
    told: dict[str, Any] = {
        "place": Place.in_store,
        "last_used": NOW - HOUR,
        "done": {f"1.{letter}": DONE for letter in "ABDEG"},
        "looked": {"1": Looked(passed=True, at=NOW, by="p-tom")},
        "counted": {"1": Counted(found=2, at_station=Station.packing, at=NOW, by="p-tom")},
        "packed": Packed(packaging="pouch", at=NOW, by="p-tom"),
        "loads": (_load(Station.washer), _load(Station.sterilizer)),
    }
    return Run(id="r-1", copy_id="c-1", plan="d", last_at=NOW + HOUR, **{**told, **change})


def _without(letter: str) -> dict[str, Done]:
    return {f"1.{one}": DONE for one in "ABDEG" if one != letter}


def _words(run: Run) -> list[str]:
    return [one.words for one in run_gaps(PLAN, run, opened=NOW - HOUR)]


def test_a_run_with_everything_has_no_gap() -> None:
    """All that its plan asks for is there."""
    assert _words(_whole()) == []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"last_used": None}, "when it was last used; its soil clock began when it arrived"),
        ({"done": _without("A")}, "the first treatment in theatre (A, do 1.a)"),
        ({"done": _without("B")}, "what the texts ask for at the sink (B, do 1.b)"),
        ({"done": _without("D")}, "what the texts ask for at the bench (D, do 1.d)"),
        ({"done": _without("E")}, "what the texts ask for at the packing (E, do 1.e)"),
        ({"done": _without("G")}, "what the texts ask for at the sterilizer (G, do 1.g)"),
        (
            {"loads": (_load(Station.sterilizer),)},
            "a load of a washer that a named person released (C, do 1.c)",
        ),
        (
            {"loads": (_load(Station.washer), _load(Station.sterilizer, end="held"))},
            "a load of a sterilizer that a named person released (F, do 1.f)",
        ),
        ({"looked": {}}, "the inspection of tube"),
        ({"counted": {}}, "the count of tube"),
        ({"packed": None}, "who packed it, and in what"),
    ],
)
def test_each_missing_thing_of_a_run_is_one_gap(change: dict[str, Any], said: str) -> None:
    """With one thing missing there is one gap, which says it, and the run is its evidence."""
    (one,) = run_gaps(PLAN, _whole(**change), opened=NOW - HOUR)
    assert one.gap is not None
    assert one.gap.expected == said
    assert one.gap.policy
    assert one.evidence == (Evidence("run", "r-1"),)


def test_what_is_ahead_of_a_run_is_no_gap() -> None:
    """At the sink with nothing done but its treatment in theatre, nothing is missing yet."""
    empty: dict[str, Any] = {"looked": {}, "counted": {}, "packed": None, "loads": ()}
    begun = _whole(place=Place.at_sink, done={"1.A": DONE}, **empty)
    assert _words(begun) == []
    assert _words(begun.model_copy(update={"place": Place.in_washer})) == [
        "Not recorded: what the texts ask for at the sink (B, do 1.b)."
    ]


def test_what_theatre_said_was_not_done_is_recorded_and_no_gap() -> None:
    """A deviation on the task tells it."""
    told = Deviation(id="1", task="1.A", what="not done in theatre", reason="told", at=NOW, by="p-nora")
    assert _words(_whole(done=_without("A"), deviations=(told,))) == []


def test_the_way_from_theatre_is_told_once_it_lies_behind() -> None:
    """What a text asks for between theatre and here has no gap before the set was taken up."""
    kept_moist = _task("1.H", Station.transport, action=Action.keep_moist)
    told = PLAN.model_copy(update={"tasks": (*PLAN.tasks, kept_moist)})
    (one,) = run_gaps(told, _whole(), opened=NOW)
    assert one.words == "Not recorded: what the texts ask for on the way from theatre (H, do 1.h)."
    assert one.station is Station.transport
    assert run_gaps(told, _whole(place=Place.soiled), opened=NOW) == ()


def test_a_pack_is_weighed_where_its_mass_is_known() -> None:
    """Where the list tells no mass nobody weighs; where it does, a pack without one has a gap."""
    heavy = PLAN.model_copy(update={"mass_kg": 1.2})
    (one,) = run_gaps(heavy, _whole(), opened=NOW)
    assert one.words == "Not recorded: what the pack weighed."
    weighed = Packed(packaging="pouch", mass_kg=1.2, at=NOW, by="p-tom")
    assert run_gaps(heavy, _whole(packed=weighed), opened=NOW) == ()


def test_what_moments_tell_is_no_gap_of_theatre() -> None:
    """When cleaning had to begin needs no entry of its own; a flush there does."""
    told = PLAN.model_copy(
        update={"tasks": (_task("1.A", Station.theatre, action=Action.start_cleaning), *PLAN.tasks[1:])}
    )
    run = _whole(done=_without("A"))
    assert run_gaps(told, run, opened=NOW - HOUR) == ()
    assert len(run_gaps(PLAN, run, opened=NOW - HOUR)) == 1


RELEASED = LoadKnown(
    "l-1",
    "Washer 1",
    Station.washer,
    LoadState.released,
    NOW,
    started=NOW,
    ended=NOW + HOUR,
    cycle="y-1",
    is_judged=True,
    decided=NOW + 2 * HOUR,
)
SEEN = Asked("Leak test", "None was recorded.", "this department")
GROWS = Asked("Biological indicator", "It incubates.", "this department", waits=True)


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        (RELEASED, []),
        (replace(RELEASED, state=LoadState.building, started=None, ended=None, cycle=""), []),
        (replace(RELEASED, state=LoadState.running, ended=None, cycle="", decided=None), []),
        (replace(RELEASED, started=None), ["when Washer 1 began"]),
        (replace(RELEASED, ended=None), ["when the load came out of Washer 1"]),
        (replace(RELEASED, cycle=""), ["the record of Washer 1"]),
        (
            replace(RELEASED, cycle="", read="92 °C"),
            ["the record of Washer 1; what was read at it: 92 °C"],
        ),
        (replace(RELEASED, is_judged=False), ["a verdict on the record of Washer 1"]),
        (
            replace(RELEASED, is_judged=False, unjudged="No channel of pressure."),
            ["a verdict on the record of Washer 1 (No channel of pressure)"],
        ),
        (
            replace(RELEASED, unseen=("exposure", "drying")),
            ["what the record of Washer 1 leaves open: exposure, drying"],
        ),
        (replace(RELEASED, state=LoadState.over, decided=None), ["a decision on the load of Washer 1"]),
        (replace(RELEASED, state=LoadState.held), []),
        (replace(RELEASED, asked=(SEEN,)), ["Washer 1, leak test (None was recorded)"]),
        (replace(RELEASED, asked=(GROWS,)), ["Washer 1, biological indicator (It incubates)"]),
        (replace(RELEASED, state=LoadState.held, asked=(GROWS,)), []),
    ],
)
def test_a_load_lacks_what_is_not_there_and_nothing_else(known: LoadKnown, expected: list[str]) -> None:
    """Record, verdict, decision, begin, end, and what release asks for: each missing, and each there."""
    assert [one.gap.expected for one in load_gaps(known) if one.gap] == expected
    assert {one.station for one in load_gaps(known)} <= {Station.washer}


def test_a_machine_was_used_without_its_test() -> None:
    """Days of use without a test in its interval, in stretches; with a longer interval none."""
    used = {date(2026, 3, day): datetime(2026, 3, day, 8, tzinfo=UTC) for day in (2, 3, 4, 5, 9)}
    days = DaysOf(used, frozenset({date(2026, 3, 2), date(2026, 3, 5)}))
    daily, weekly = CheckAsked("Leak test", 1, "policy"), CheckAsked("Leak test", 7, "policy")
    found = machine_gaps("s-1", daily, days)
    assert [one.gap.expected for one in found if one.gap] == [
        "leak test, passed: 2 days of use without it, from 2026-03-03 until 2026-03-04",
        "leak test, passed, on 2026-03-09, when it was used",
    ]
    assert [one.at for one in found] == [used[date(2026, 3, 3)], used[date(2026, 3, 9)]]
    assert machine_gaps("s-1", weekly, days) == ()


def test_work_that_a_sign_off_carried_is_no_gap() -> None:
    """One gap a family that none covered; with every family covered there is none."""
    work = Worked(NOW, "sink", (), "Suction set", "r-1")
    assert person_gaps([work]) == ()
    assert len(person_gaps([replace(work, unsigned=("tubular", "hooks"))])) == 2


def test_work_on_one_run_at_one_station_is_told_once() -> None:
    """Ten acts without a sign-off are one gap, since the first; another run's are another."""
    works = [Worked(NOW + n * HOUR / 10, "sink", ("hooks",), "Set", "r-1") for n in range(10)]
    (one,) = person_gaps(works)
    assert one.at == NOW
    assert len(person_gaps([*works, replace(works[0], run="r-2")])) == 2


LOT = LotKnown(
    "Growfast, lot A17",
    date(2026, 3, 2),
    needs_control=True,
    uses=(LotUse(NOW, "the indicator of load 1", Evidence("cycle", "y-1"), control_grew=True),),
    since=NOW,
    evidence=Evidence("lot", "t-1"),
)


@pytest.mark.parametrize(
    ("known", "gaps"),
    [
        (LOT, 0),
        (replace(LOT, last_day=None), 1),
        (replace(LOT, last_day=date(2026, 3, 1)), 1),
        (replace(LOT, uses=(replace(LOT.uses[0], control_grew=False),)), 1),
        (replace(LOT, uses=(replace(LOT.uses[0], control_grew=None),)), 1),
        (replace(LOT, uses=(replace(LOT.uses[0], control_grew=None, waits=True),)), 0),
        (replace(LOT, needs_control=False, uses=(replace(LOT.uses[0], control_grew=None),)), 0),
    ],
)
def test_a_lot_is_used_within_its_date_and_beside_a_control(known: LotKnown, gaps: int) -> None:
    """No date, used after it, no control or one that did not grow: a gap; none while it incubates."""
    assert len(lot_gaps(known, day_of={NOW: date(2026, 3, 2)})) == gaps


def test_a_solution_is_discarded_in_time() -> None:
    """Late, or still in use after its time: a gap; in time, or in use within it: none."""
    known = SolutionKnown("Neutraflow", NOW, NOW, Evidence("sink-solution", "u-1"))
    assert solution_gaps(known, now=NOW + HOUR) == ()
    assert solution_gaps(replace(known, discarded=None), now=NOW) == ()
    assert len(solution_gaps(replace(known, discarded=NOW + HOUR), now=NOW + HOUR)) == 1
    assert len(solution_gaps(replace(known, discarded=None), now=NOW + HOUR)) == 1


CASE = CaseKnown(
    "case-1", "OP-1", NOW, NOW + HOUR, is_cancelled=False, sets=(SetOfCase("Set", "used", "c-1", "r-1"),)
)


@pytest.mark.parametrize(
    ("known", "gaps"),
    [
        (CASE, 0),
        (replace(CASE, ended=None), 1),
        (replace(CASE, ended=None, begins=NOW + HOUR), 0),
        (replace(CASE, ended=None, is_cancelled=True), 0),
        (replace(CASE, sets=(SetOfCase("Set", "issued", "c-1", "r-1"),)), 1),
        (replace(CASE, sets=(SetOfCase("Set", "used", "c-1"),)), 1),
        (replace(CASE, sets=(SetOfCase("Set", "wanted"),)), 0),
    ],
)
def test_a_case_ends_with_a_report_on_each_set(known: CaseKnown, gaps: int) -> None:
    """Not closed a day later, a set out without report, one used whose run nobody knows: a gap each."""
    assert len(case_gaps(known, now=NOW + timedelta(hours=24))) == gaps
