"""What a new house still lacks for its first poster, and who is told."""

from __future__ import annotations

import pytest

from sinkside.department import Department
from sinkside.desk import departments, sets
from sinkside.desk.first_steps import first_steps
from sinkside.desk.paper_register import PAPER
from sinkside.records import Row
from support.desk_house import SITE, House, drafted


@pytest.fixture
def house(house: House) -> House:
    """A house with a lead, in which nobody has done anything yet."""
    house.add("lena", "lead")
    return house


def _done(house: House, name: str = "lena") -> dict[str, bool]:
    return {step.id: step.done for step in first_steps(house.archive, house.visitor(name), now=house.now)}


def test_each_step_is_ticked_once_it_is_done(house: House) -> None:
    """What the department has, then a document: the list follows, and only what is missing is open."""
    steps = ["department", "people", "instruction", "approval", "poster"]
    assert list(_done(house)) == steps
    assert not any(done for step, done in _done(house).items() if step != "people")
    departments.keep_department(
        house.archive, house.visitor("lena"), Department(name="North"), now=house.now, base=0
    )
    drafted(house, "eve")
    assert [step for step, done in _done(house).items() if not done] == ["approval", "poster"]


@pytest.mark.parametrize("kind", [PAPER, sets.KIND])
def test_the_list_ends_with_the_first_paper_or_set(house: House, kind: str) -> None:
    """Once any paper is in the register, or any set is kept, nobody is told how to begin."""
    assert _done(house)
    with house.archive.unit() as unit:
        unit.rows.put(Row(kind, "p-1", SITE.id, "current", "Poster", house.now))
    assert _done(house) == {}


def test_who_has_no_part_in_it_is_not_told(house: House) -> None:
    """A technician may do none of the steps; a representative is told as long as no document is there."""
    assert _done(house, "tom") == {}
    house.add("thea", "external-representative")
    assert _done(house, "thea")
    drafted(house, "eve")
    assert _done(house, "thea") == {}
