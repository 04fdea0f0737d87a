"""What is gathered of a run: everything as it stood then, and what is not recorded told as such."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.aids.evidence import EvidenceTable
from sinkside.department import Department
from sinkside.desk import departments, machine_checks, sign_offs
from sinkside.desk.evidence.facts import RunFacts
from sinkside.desk.evidence.gathering import facts_of_code, facts_of_run
from sinkside.desk.evidence.told_loads import of_load
from sinkside.desk.evidence.wording import Clock
from sinkside.desk.history.reading import see_history
from sinkside.desk.machine_rows import OUT_OF_USE, row_id
from sinkside.desk.recall import recalling
from sinkside.desk.recall.recalling import Scope
from sinkside.errors import NotAllowed, NotThere
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, State
from support.bench_house import BY_HAND, CODES, bench_house, demo_department
from support.evidence_house import CASE, DEVIATION, LOT, EvidenceHouse, evidence_house
from support.recalled_house import POSITIVE
from support.set_house import approved
from support.standing_house import ALONE

FIRST, SECOND, THIRD = CODES
UTC = Clock("UTC")


@pytest.fixture
def made() -> EvidenceHouse:
    """Two sets in the store."""
    return evidence_house()


def gathered(made: EvidenceHouse, code: str = FIRST, *, by: str = "lena") -> RunFacts:
    """The facts of a set's last run."""
    house = made.bench.house
    return facts_of_code(house.archive, house.visitor(by), code, now=made.bench.now)


def test_everything_of_a_run_is_put_together(made: EvidenceHouse) -> None:
    """Texts with who approved them, tasks, both loads, verdict, decision, papers, solution, case, head."""
    facts, people = gathered(made), made.bench.house.people
    text = facts.texts[0]
    assert text.approval is not None
    assert (text.approval.revision, text.approval.digest) == (text.made.number, text.made.digest)
    assert text.route is not None
    by_hand = [one for one in facts.tasks if one.task.required and one.task.whose == "hand"]
    assert {one.task.station for one in by_hand if not one.done} == {Station.store}
    assert [one.load.id for one in facts.loads] == [made.washer_load, made.steam_load]
    cycle = facts.loads[1].cycle
    assert cycle is not None
    assert cycle.judged is not None
    assert (cycle.row.id, cycle.judged.outcome) == (made.cycle, "meets")
    assert cycle.decision is not None
    assert (cycle.decision.decided, cycle.decision.by) == ("released", people["lena"])
    assert [one.what for one in facts.run.deviations] == [DEVIATION]
    assert [one.code for one in facts.papers] == [made.poster]
    assert facts.papers[0].is_of_the_run
    assert [one.lot for _, one in facts.solutions] == [LOT]
    assert facts.before is not None
    assert facts.before.case.number == CASE
    assert facts.head is not None
    assert {people[name] for name in ("tom", "lena", "nora", "eve")} <= facts.people


def test_what_is_not_recorded_is_a_gap(made: EvidenceHouse) -> None:
    """A washer without a record, a test of the day that nobody kept, somebody without a sign-off."""
    sentences = [one.sentence for one in gathered(made, SECOND).gaps]
    assert any("the record of Washer 1;" in one and "92 °C for 5 min" in one for one in sentences)
    assert any("air-removal test of the day (None was recorded" in one for one in sentences)
    unsigned = [one for one in gathered(made, SECOND).gaps if one.about == "Sign-offs"]
    assert [(one.person, one.station) for one in unsigned] == [(made.bench.house.people["tia"], Station.sink)]
    assert all(one.about != "Sign-offs" for one in gathered(made, FIRST).gaps)


def test_a_test_of_the_day_that_came_after_the_decision_was_not_there_before_it(made: EvidenceHouse) -> None:
    """Released without the air-removal test, kept an hour later: it stays a gap, in the history too."""
    bench = made.bench
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    machine_checks.record_check(archive, tom, "sterilizer-1", "air-removal", ["yes"], now=bench.later(60))
    late = "when the load was released; afterwards: Passed on"
    assert any(
        f"air-removal test of the day (Not there {late}" in one.sentence for one in gathered(made).gaps
    )
    history = see_history(archive, bench.house.visitor("lena"), "load", made.steam_load, now=bench.now)
    assert any("air-removal test of the day (Not there" in one.words for one in history.gaps)
    tables = [one for one in of_load(gathered(made).loads[1], {}, UTC) if isinstance(one, EvidenceTable)]
    needed = next(one for one in tables if one.heading == "What must be there before release")
    stands = {row[0]: row[1:] for row in needed.rows}
    assert stands["Air-removal test of the day"][0] == "afterwards"
    assert "Not there at the decision, " in stands["Air-removal test of the day"][1]


def test_a_machine_that_went_out_of_use_since_is_no_gap_of_its_loads(made: EvidenceHouse) -> None:
    """It was in use when the load was released: that it is out of use by now is not something unrecorded."""
    bench = made.bench
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    machine_checks.record_check(archive, tom, "sterilizer-1", "air-removal", ["no"], now=bench.later(60))
    with archive.unit(writes=False) as unit:
        row = unit.rows.get("machine", row_id("north", "sterilizer-1"))
    assert row is not None
    assert row.state == OUT_OF_USE
    assert not any("machine in use" in one.sentence for one in gathered(made).gaps)


def test_a_run_that_has_only_begun_has_no_gaps_ahead_of_it() -> None:
    """What is still to come is not missing: only the report that theatre never sent is."""
    bench = bench_house()
    bench.done("tom", "arrive")
    lena = bench.house.visitor("lena")
    facts = facts_of_code(bench.house.archive, lena, FIRST, now=bench.now)
    assert {one.about for one in facts.gaps} <= {"Use", "Papers", "Instruction"}
    assert any("when it was last used" in one.sentence for one in facts.gaps)


def test_a_sign_off_is_told_as_it_stood_at_that_moment(made: EvidenceHouse) -> None:
    """Tom is opened again after the run and Tia signed off after it: neither changes what was."""
    house = made.bench.house
    eve = house.visitor("eve")
    later = made.bench.now + timedelta(days=1)
    tom, tia = house.people["tom"], house.people["tia"]
    before = gathered(made).stood
    sign_offs.after_an_error(
        house.archive, eve, tom, "tubular", Station.sink, reason="a lumen was left out", now=later
    )
    sign_offs.give(house.archive, eve, tia, "tubular", BY_HAND, ALONE, now=later)
    assert gathered(made).stood == before
    assert {(one.person, one.level, one.state) for one in before} == {(tom, Level.independent, State.holds)}
    of_tia = next(one for one in gathered(made, SECOND).stood if one.person == tia)
    assert of_tia.level is None


def test_a_sign_off_that_a_text_opened_again_did_not_hold(made: EvidenceHouse) -> None:
    """A changed text is approved between the sign-off and the next run: there he worked with a gap."""
    bench = made.bench
    changed = bench.house
    with changed.archive.unit(writes=False) as unit:
        row = unit.rows.get("instruction", bench.instruction)
    assert row is not None
    text = gathered(made).texts[0].instruction
    soaked = [
        step.model_copy(update={"figures": tuple(_longer(one) for one in step.figures)})
        if step.action == "soak"
        else step
        for step in text.steps
    ]
    changed.now = bench.later(10)
    approved(changed, text.model_copy(update={"steps": tuple(soaked)}), follows=bench.instruction)
    bench.now = changed.now
    bench.later(5)
    bench.done("nora", "report-use", code=THIRD, case="2026-0900", last_used=bench.now.isoformat())
    bench.done("tom", "take-up", code=THIRD)
    wiped = next(one for one in gathered(made, THIRD).plan.at(Station.sink) if not one.at_least_s)
    done = {"times": wiped.times, "seen": bool(wiped.until)}
    bench.done("tom", "finish-task", code=THIRD, task=wiped.id, **done)
    stood = gathered(made, THIRD).stood
    assert [one.state for one in stood] == [State.open_again]
    assert any(one.about == "Sign-offs" for one in gathered(made, THIRD).gaps)
    assert all(one.worked_alone for one in gathered(made, FIRST).stood)


def _longer(figure: object) -> object:
    from sinkside.quantities import Figure

    assert isinstance(figure, Figure)
    if figure.quantity.value != "time":
        return figure
    return figure.model_copy(update={"min": 15.0, "as_written": "15 minutes"})


def test_the_route_is_that_of_the_department_as_it_stood(made: EvidenceHouse) -> None:
    """The department changes afterwards, twice: the plan's own digests still tell which one it was."""
    house = made.bench.house
    route = gathered(made).texts[0].route
    for name in ("North, after the move", "North, extended"):
        site = demo_department().model_copy(update={"name": name})
        departments.keep_department(house.archive, house.visitor("lena"), site, now=made.bench.later(60))
    after = gathered(made)
    assert isinstance(after.department, Department)
    assert after.department.name == demo_department().name
    assert after.texts[0].route == route


def test_a_recall_that_reached_the_run_is_told(made: EvidenceHouse) -> None:
    """A positive indicator in the sterilizer: the recall stands among the facts."""
    house = made.bench.house
    lena = house.visitor("lena")
    recall = recalling.open_recall(
        house.archive, lena, POSITIVE, Scope(until=made.bench.later(1)), now=made.bench.now
    )
    found = gathered(made).recalls
    assert [(one.id, one.reached.code) for one in found] == [(recall, FIRST)]


def test_who_may_not_read_evidence_gets_none(made: EvidenceHouse) -> None:
    """A technician has no right; an auditor has; a run of nowhere is not there."""
    house = made.bench.house
    with pytest.raises(NotAllowed):
        gathered(made, by="tom")
    assert gathered(made, by="olga").run.id == made.run()
    with pytest.raises(NotThere):
        facts_of_run(house.archive, house.visitor("lena"), "r-nothing", now=made.bench.now)
    with pytest.raises(NotThere):
        gathered(made, "NO-SUCH")
    with pytest.raises(NotThere, match="was on no run yet"):
        gathered(made, THIRD)
