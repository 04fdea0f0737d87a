"""The fit table in the house: what is kept, what is worked out again, and by whom it may be seen."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.department import Brush, Department
from sinkside.desk import departments, fit_answers, fit_page
from sinkside.desk.fit_job import WorkOutFits, ask_to_work_out, work_that_goes_on
from sinkside.desk.fit_page import FitTable
from sinkside.desk.jobs import FIT_JOB, cancel, work_once
from sinkside.errors import NotAllowed, NotThere
from sinkside.quantities import Quantity
from sinkside.records import Grant
from sinkside.route import FitWord
from support.desk_house import ELSEWHERE, SITE, House, drafted, new_house
from support.fitting import a_site, a_text, brushed
from support.routing import named_cycle

HANDLERS = {FIT_JOB: WorkOutFits()}


@pytest.fixture
def house() -> House:
    """North dries for 15 min, South for 20 min; Ada leads both, and one text is on North's shelf."""
    house = new_house()
    with house.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(house.people["ada"], ELSEWHERE.id, "lead"))
    house.add("tess", "technician")
    _keep(house, a_site("15 min"))
    _keep(house, a_site("20 min"), ELSEWHERE.id)
    drafted(house, "ada", a_text("Hook", named_cycle(134, 3, 20)))
    return house


def _keep(house: House, department: Department, site: str = SITE.id) -> None:
    departments.keep_department(
        house.archive, house.visitor("ada", site), department, now=house.later(hours=1)
    )


def _table(house: House, name: str = "ada", **asked: Any) -> FitTable:
    return fit_page.fit_page(house.archive, house.visitor(name), now=house.now, **asked)


def _words(table: FitTable) -> dict[str, list[FitWord | None]]:
    return {row.row.title: [cell.word for cell in row.cells] for row in table.rows}


def _kept(house: House, site: str = SITE.id) -> dict[str, fit_answers.Answer]:
    with house.archive.unit(writes=False) as unit:
        return dict(fit_answers.kept_answers(unit, SITE.id, site))


def _work(house: House) -> None:
    done = work_once(house.archive, HANDLERS, worker="w", clock=lambda: house.now)
    assert done is not None
    assert done.state == "done", done.error


def test_each_instruction_stands_against_each_department_that_one_may_see(house: House) -> None:
    """The lead of both sees North, her own, first, and South; the technician of North sees North alone."""
    table = _table(house)
    assert [column.site.id for column in table.columns] == [SITE.id, ELSEWHERE.id]
    assert _words(table) == {"Hook": [FitWord.no_route, FitWord.fits]}
    assert _words(_table(house, "tess")) == {"Hook": [FitWord.no_route]}
    with pytest.raises(NotThere):
        _table(house, "tess", at=ELSEWHERE.id)


def test_who_may_read_no_instructions_sees_no_table(house: House) -> None:
    """A maker's representative, who may upload and nothing else, is refused."""
    house.add("piet", "external-representative")
    with pytest.raises(NotAllowed):
        _table(house, "piet")


def test_what_is_to_be_done_next_stands_first(house: House) -> None:
    """No route in one's own department first, then refusals elsewhere, then what fits everywhere."""
    drafted(house, "ada", a_text("Fits", named_cycle(134, 3, 15)))
    drafted(house, "ada", a_text("Nowhere", named_cycle(121, 20, 20)))
    assert [row.row.title for row in _table(house).rows] == ["Nowhere", "Hook", "Fits"]


def test_the_list_of_changes_is_of_ones_own_department(house: House) -> None:
    """One drying validated at North turns the text that asks for it."""
    (wanted,) = _table(house).wanted
    assert "20" in wanted.change.sentence
    assert len(wanted.turns) == 1
    assert not _table(house, at=ELSEWHERE.id).wanted


def test_many_open_answers_wait_for_a_job_and_then_stand(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beyond what is worked out on the spot cells are open; the worker's job answers and keeps them all."""
    monkeypatch.setattr(fit_page, "_AT_ONCE", 1)
    table = _table(house)
    assert table.open == 2
    assert _words(table) == {"Hook": [None, None]}
    job = ask_to_work_out(house.archive, house.visitor("ada"), now=house.now)
    assert ask_to_work_out(house.archive, house.visitor("ada"), now=house.now) == job
    going = work_that_goes_on(house.archive, house.visitor("ada"))
    assert going is not None
    assert going.id == job
    _work(house)
    assert work_that_goes_on(house.archive, house.visitor("ada")) is None
    table = _table(house)
    assert table.open == 0
    assert _words(table) == {"Hook": [FitWord.no_route, FitWord.fits]}
    assert [one.least is not None for one in _kept(house).values()] == [True]


def test_only_what_changed_is_worked_out_again(house: House) -> None:
    """A new brush at North makes the text that brushes anew; the other's answer is the one that was kept."""
    drafted(house, "ada", a_text("Brushed", brushed(3)))
    ask_to_work_out(house.archive, house.visitor("ada"), now=house.now)
    _work(house)
    before = _kept(house)
    brush = Brush(id="b1", name="Brush", diameter=Quantity(3.0, "mm"))
    _keep(house, a_site("15 min", brushes=[brush]))
    ask_to_work_out(house.archive, house.visitor("ada"), now=house.later(minutes=1))
    _work(house)
    after = _kept(house)
    again = {name for name in after if after[name] is not before[name] and after[name] != before[name]}
    titles = {row.row.id: row.row.title for row in _table(house).rows}
    assert {titles[name] for name in again} == {"Brushed"}
    (name,) = again
    assert after[name].fit.word is FitWord.fits
    earlier = after[name].before
    assert earlier is not None
    assert (earlier.word, earlier.department) == (FitWord.no_route, before[name].department)


def test_a_cancelled_job_keeps_nothing(house: House) -> None:
    """Stopped before it began, the work leaves no answer behind, and the table says so itself."""
    job = ask_to_work_out(house.archive, house.visitor("ada"), now=house.now)
    cancel(house.archive, house.visitor("ada"), job, handlers=HANDLERS, now=house.now)
    assert work_once(house.archive, HANDLERS, worker="w", clock=lambda: house.now) is None
    assert _kept(house) == {}
    assert _words(_table(house)) == {"Hook": [FitWord.no_route, FitWord.fits]}


def test_answers_of_another_version_do_not_stand(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """After an upgrade, which may answer otherwise, every answer is open again."""
    ask_to_work_out(house.archive, house.visitor("ada"), now=house.now)
    _work(house)
    assert _kept(house)
    monkeypatch.setattr(fit_answers, "__version__", "another")
    assert _kept(house) == {}


def test_a_department_of_which_nobody_said_what_it_has_is_told_apart(house: House) -> None:
    """It is no column; the table names it."""
    with house.archive.unit() as unit:
        other = ELSEWHERE.__class__("west", "West", "Europe/Vienna")
        unit.sites.add(other)
        unit.people.grant(Grant(house.people["ada"], "west", "educator"))
    table = _table(house)
    assert [site.name for site in table.unsaid] == ["West"]
    assert "west" not in {column.site.id for column in table.columns}
