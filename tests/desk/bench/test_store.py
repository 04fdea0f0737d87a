"""The store: nothing in or out with something in its way, except by the loud form; packs keep or go back."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta
from typing import Any, Final

import pytest

from sinkside.bench.cases import PlannedCase
from sinkside.bench.in_loads import decided, put_in
from sinkside.bench.run import InLoad
from sinkside.department import Station
from sinkside.desk.bench import cases, exceptions, store_policy
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_of
from sinkside.errors import BadInput, NotAllowed
from sinkside.records import CaseSet, KeptCase
from support.bench_house import CODES, BenchHouse, bench_house

CASE: Final = "C-1183"
FORM: Final = {
    "case": CASE,
    "authority": "surgeon on duty, theatre 2",
    "reason": "no other set in the house before morning",
}


def _opened(bench: BenchHouse) -> OpenRun:
    with bench.house.archive.unit(writes=False) as unit:
        return run_of(unit, copy_of_code(unit, "north", CODES[0]))


def _load(bench: BenchHouse, load: str, station: Station, end: str, cool_min: float = 0) -> None:
    """As a load leaves it that ended so; loads have tests of their own."""
    task = next(one for one in _opened(bench).plan.machines(station) if one.required)
    inside = InLoad(
        load=load,
        station=station,
        machine=task.machine,
        program=task.program,
        members=(task.member,),
        at=bench.now,
    )
    cooled = bench.now + timedelta(minutes=cool_min)
    with bench.house.archive.unit() as unit:
        opened = run_of(unit, copy_of_code(unit, "north", CODES[0]))
        opened = keep_run(unit, opened, put_in(opened.plan, opened.run, inside), now=bench.now)
        after = decided(opened.run, load, end, at=bench.now, cooled=cooled)  # type: ignore[arg-type]
        keep_run(unit, opened, after, now=bench.now)


@pytest.fixture(scope="module")
def prepared() -> BenchHouse:
    """A bench with a set that is packed."""
    made = bench_house()
    made.done("tom", "arrive")
    made.done("tom", "take-up")
    made.done("tom", "start-station", station="sink")
    made.later(11)
    made.done("tom", "finish-station", station="sink")
    _load(made, "l-1", Station.washer, "released")
    for act in ("to-clean-side", "look-all"):
        made.done("tom", act)
    made.done("tom", "finish-station", station="bench")
    made.done("tom", "count-all")
    made.done("tom", "pack", packaging="pouch")
    return made


@pytest.fixture
def bench(prepared: BenchHouse) -> BenchHouse:
    """The same for one test alone."""
    return deepcopy(prepared)


def _stored(bench: BenchHouse) -> BenchHouse:
    _load(bench, "l-2", Station.sterilizer, "released")
    bench.done("tom", "put-in-store", place="shelf 4")
    return bench


def _refused(bench: BenchHouse, act: str, name: str = "tom", **fields: Any) -> str:
    answer = bench.tap(name, act, **fields)
    assert answer.outcome == "refused", answer.said
    return answer.said


def _plan_case(bench: BenchHouse, number: str = CASE) -> None:
    with bench.house.archive.unit() as unit:
        begins = bench.now + timedelta(hours=14)
        unit.bench.cases.put(KeptCase(f"k-{number}", "north", number, "OR 3", begins, "planned"))
        unit.bench.cases.put_set(CaseSet(f"k-{number}", bench.set))


def _sets(bench: BenchHouse, number: str = CASE) -> list[tuple[str, str]]:
    with bench.house.archive.unit(writes=False) as unit:
        code = {copy.id: copy.code for copy in map(unit.bench.copies.get, _ids(bench)) if copy}
        found = unit.bench.cases.sets_of(f"k-{number}")
        return [(one.state, code.get(one.copy, one.copy)) for one in found]


def _ids(bench: BenchHouse) -> list[str]:
    with bench.house.archive.unit(writes=False) as unit:
        return [copy_of_code(unit, "north", code).id for code in CODES]


@pytest.mark.parametrize(
    ("end", "cool_min", "said"),
    [
        ("open", 0, "no sterilizer load that somebody released"),
        ("held", 0, "no sterilizer load that somebody released"),
        ("released", 30, "still cooling"),
    ],
)
def test_the_store_takes_nothing_from_an_undecided_held_or_hot_load(
    bench: BenchHouse, end: str, cool_min: float, said: str
) -> None:
    """Whatever the load says but released by a person and cooled: the pack stays out, and it is said why."""
    _load(bench, "l-2", Station.sterilizer, end, cool_min)
    assert said in _refused(bench, "put-in-store")
    assert bench.tap("tom", "issue", case=CASE, whole=True).outcome == "refused"


def test_a_pack_that_saw_no_sterilizer_is_never_let_out(bench: BenchHouse) -> None:
    """Not into the store, not to a case, and by no exception either: immediate use is never offered here."""
    assert "cannot go from there" in _refused(bench, "put-in-store")
    assert "cannot go from there" in _refused(bench, "issue", case=CASE, whole=True)
    assert "no exception lets it out" in _refused(bench, "issue-under-exception", "lena", **FORM)


def test_a_pack_goes_in_store_to_its_case_and_back(bench: BenchHouse) -> None:
    """Reserved, issued and taken back unopened: the case wants its set again, and the pack is in store."""
    _plan_case(_stored(bench))
    assert "no case C-9999 is known here" in _refused(bench, "reserve", case="C-9999")
    bench.done("tom", "reserve", case=CASE)
    assert _sets(bench) == [("reserved", CODES[0])]
    assert "is kept for case C-1183" in _refused(bench, "issue", case="C-2000", whole=True)
    assert bench.done("tom", "issue", case=CASE, whole=True).state == "issued"
    assert _sets(bench) == [("issued", CODES[0])]
    assert bench.done("tom", "take-back", whole=True).state == "in-store"
    assert _sets(bench) == [("wanted", "")]


def test_a_case_that_is_called_off_lets_go_of_its_pack(bench: BenchHouse) -> None:
    """Another case may have the pack at once; what was given out stays given out until somebody brings it."""
    _plan_case(_stored(bench))
    bench.done("tom", "reserve", case=CASE)
    off = PlannedCase(
        number=CASE, begins=bench.now + timedelta(hours=14), room="OR 3", sets=(bench.set,), cancelled=True
    )
    cases.plan_case(bench.house.archive, bench.house.visitor("lena"), off, now=bench.now)
    assert _sets(bench) == [("wanted", "")]
    assert bench.done("tom", "issue", case="C-2000", whole=True).state == "issued"
    other = off.model_copy(update={"number": "C-2000"})
    cases.plan_case(bench.house.archive, bench.house.visitor("lena"), other, now=bench.now)
    assert _opened(bench).copy.state == "issued"


def test_an_opened_pack_comes_back_soiled(bench: BenchHouse) -> None:
    """Opened and not used is soiled all the same: the whole route again."""
    _stored(bench).done("tom", "issue", case=CASE, whole=True)
    assert bench.done("tom", "take-back", whole=False).state == "soiled"
    assert "cannot go from there" in _refused(bench, "put-in-store")


def test_what_happens_to_a_pack_ends_it(bench: BenchHouse) -> None:
    """Wet in store: soiled again; its case wants another. A pack that is not whole is not given out."""
    _plan_case(_stored(bench))
    bench.done("tom", "reserve", case=CASE)
    assert "whole, dry and readable" in _refused(bench, "issue", case=CASE, whole=False)
    assert bench.done("tom", "pack-mishap", what="wet").state == "soiled"
    assert _sets(bench) == [("wanted", "")]


def test_days_that_the_department_set_end_a_pack(bench: BenchHouse) -> None:
    """Kept 30 days here: on day 31 it is not given out, and taken back it is soiled."""
    lena = bench.house.visitor("lena")
    archive = bench.house.archive
    store_policy.keep_for(archive, lena, "pouch", 30, reason="open shelves", now=bench.now)
    _stored(bench).later(31 * 24 * 60)
    assert "kept 30 days here" in _refused(bench, "issue", case=CASE, whole=True)
    with pytest.raises(BadInput, match="expected one of container, pouch, wrap"):
        store_policy.keep_for(archive, lena, "tray", 30, reason="ours", now=bench.now)
    with pytest.raises(NotAllowed):
        store_policy.keep_for(archive, bench.house.visitor("tom"), "pouch", 300, reason="ours", now=bench.now)


def test_an_exception_is_loud_and_reviewed_by_somebody_else(bench: BenchHouse) -> None:
    """From a held load: only the lead, by the form, with what stood in the way; then somebody else looks."""
    _load(bench, "l-2", Station.sterilizer, "held")
    assert "does not allow you" in _refused(bench, "issue-under-exception", **FORM)
    assert bench.done("lena", "issue-under-exception", **FORM).state == "issued"
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    ((key, form),) = exceptions.find_exceptions(archive, lena).to_review
    assert form.in_the_way == ("no sterilizer load that somebody released",)
    assert _opened(bench).run.exceptions == (key,)
    with pytest.raises(BadInput, match="nobody reviews their own"):
        exceptions.review_exception(archive, lena, key, "it was right to do so", now=bench.now)
    eve = bench.house.visitor("eve")
    exceptions.review_exception(archive, eve, key, "a second set is bought", now=bench.now)
    assert exceptions.find_exceptions(archive, eve).to_review == ()
    assert bench.done("tom", "take-back", whole=True).state == "soiled"


def test_what_has_nothing_in_its_way_needs_no_exception(bench: BenchHouse) -> None:
    """The form is never a shorter way: a sound pack is issued as any other."""
    assert "nothing stands in the way" in _refused(_stored(bench), "issue-under-exception", "lena", **FORM)


def test_no_act_of_the_store_takes_a_name(bench: BenchHouse) -> None:
    """A case is a number: a name is refused before anything is done."""
    said: dict[str, Any] = {**FORM, "case": "Jane Roe"}
    for act in ("issue", "reserve", "issue-under-exception"):
        with pytest.raises(ValueError, match="expected a case number"):
            bench.tap("tom", act, **said)
