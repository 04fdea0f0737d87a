"""Product families: due by their period, and at once when packaging, mass, sets or the sterilizer changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from sinkside.bench.programmes.product_family import (
    FamilyDue,
    ProductFamily,
    ProductTest,
    SetFacts,
    WorkDone,
    due_in,
)

DAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
HEAVY = SetFacts(key="a", name="Heavy set", packaging="wrap", kg=7.0)
LIGHT = SetFacts(key="b", name="Light set", packaging="wrap", kg=3.0)


def _test(days: int = 0, *, passed: bool = True, machine: str = "s1") -> ProductTest:
    return ProductTest(
        machine=machine,
        machine_name="S",
        biological="negative" if passed else "positive",
        chemical="passed",
        dry=True,
        intact=True,
        passed=passed,
        sets=(HEAVY, LIGHT),
        by="p",
        at=AT + timedelta(days=days),
        day=DAY + timedelta(days=days),
    )


def _family(*tests: ProductTest, sets: tuple[str, ...] = ("a", "b")) -> ProductFamily:
    return ProductFamily(
        name="Trays",
        stands="a",
        why="most metal",
        sets=sets,
        machines=("s1", "s2"),
        period_days=365,
        since=DAY,
        tests=tests,
    )


def _due(
    family: ProductFamily, *facts: SetFacts, work: tuple[WorkDone, ...] = (), machine: str = "s1"
) -> FamilyDue:
    now = {one.key: one for one in facts or (HEAVY, LIGHT)}
    return due_in(family, machine, now, work=work, today=DAY + timedelta(days=40))


def test_without_a_change_it_is_due_after_its_period() -> None:
    """Nothing changed: a year after the last test that passed, sterilizer by sterilizer."""
    assert _due(_family(_test())).day == DAY + timedelta(days=365)
    assert _due(_family(_test()), machine="s2").day == DAY


def test_a_failed_test_leaves_it_due() -> None:
    """After a failed test it is due at once, whatever passed before; a later pass settles it."""
    failed = _due(_family(_test(), _test(20, passed=False)))
    assert (failed.day, failed.reasons) == (DAY + timedelta(days=20), ("the last test did not pass",))
    assert _due(_family(_test(), _test(20, passed=False), _test(21))).reasons == ()


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (
            (HEAVY, LIGHT.model_copy(update={"packaging": "container"})),
            "packaging wrap before",
        ),
        ((HEAVY, LIGHT.model_copy(update={"kg": 7.5})), "7.5 kg, heavier than any set of it"),
    ],
)
def test_a_change_of_a_set_makes_it_due_at_once(facts: tuple[SetFacts, ...], words: str) -> None:
    """Another packaging, or more mass than any set had: due on the day on which that is seen, and why."""
    due = _due(_family(_test()), *facts)
    assert due.day == DAY + timedelta(days=40)
    assert words in due.reasons[0]


def test_a_set_that_grew_and_is_still_no_heavier_than_the_hardest_changes_nothing() -> None:
    """The set that stands for all weighed 7 kg: a lighter one may grow to that."""
    assert _due(_family(_test()), HEAVY, LIGHT.model_copy(update={"kg": 7.0})).reasons == ()


def test_a_set_that_joined_makes_it_due() -> None:
    """A new member was in no test; one that is out of use asks for none."""
    third = SetFacts(key="c", name="New set", packaging="wrap", kg=2.0)
    family = _family(_test(), sets=("a", "b", "c"))
    assert _due(family, HEAVY, LIGHT, third).reasons == ("New set joined the family since",)
    assert _due(family, HEAVY, LIGHT).reasons == ()


def test_work_on_the_sterilizer_makes_it_due_there_and_nowhere_else() -> None:
    """A repair after the test counts from its own day; one before it, or of another sterilizer, does not."""
    family = _family(_test(), _test(machine="s2"))
    after = WorkDone(
        "s1", "sterilizer: major repair, new pump", AT + timedelta(days=9), DAY + timedelta(days=9)
    )
    before = WorkDone("s1", "sterilizer: moved", AT - timedelta(days=9), DAY - timedelta(days=9))
    due = _due(family, work=(after, before))
    assert (due.day, due.reasons) == (DAY + timedelta(days=9), (after.words,))
    assert _due(family, work=(after, before), machine="s2").reasons == ()
