"""Product families at the desk: made, tested, and due again by what is kept of sets and sterilizers."""

from __future__ import annotations

import copy

import pytest

from sinkside.desk import machine_standing, sets
from sinkside.desk import today as desk_today
from sinkside.desk.programmes import families
from sinkside.desk.programmes.families import Said, TestFound
from sinkside.errors import BadInput, NotAllowed
from sinkside.sets import SetDocument
from support.bench_house import BenchHouse, bench_house

GOOD = TestFound("sterilizer-1", "negative", "passed", dry=True, intact=True)


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """The house of the bench, made once."""
    return bench_house()


@pytest.fixture
def bench(made: BenchHouse) -> BenchHouse:
    """One of its own for each test."""
    return copy.deepcopy(made)


def _made(bench: BenchHouse, **change: object) -> str:
    said = Said(
        **{
            "name": "Pouches",
            "stands": bench.set,
            "why": "two narrow lumens",
            "sets": (),
            "machines": ("sterilizer-1",),
            **change,
        }  # type: ignore[arg-type]  # each test changes one field to something of its type
    )
    return families.make_family(bench.house.archive, bench.house.visitor("lena"), said, now=bench.now)


def _tested(bench: BenchHouse, key: str, found: TestFound = GOOD) -> bool:
    bench.later(5)
    tom = bench.house.visitor("tom")
    return families.record_product_test(bench.house.archive, tom, key, found, now=bench.now)


def _reasons(bench: BenchHouse, key: str) -> tuple[str, ...]:
    lena = bench.house.visitor("lena")
    return families.see_family(bench.house.archive, lena, key, now=bench.now).dues[0].reasons


def _changed(bench: BenchHouse, **change: object) -> None:
    bench.later(5)
    lena = bench.house.visitor("lena")
    known = sets.open_set(bench.house.archive, lena, bench.set)
    document = SetDocument.model_validate({**known.document.model_dump(), **change})
    sets.change_set(
        bench.house.archive,
        lena,
        bench.set,
        document,
        base=known.revision.number,
        note="as it is now",
        now=bench.now,
    )


def test_it_is_due_until_it_passes_and_then_in_a_year(bench: BenchHouse) -> None:
    """Today says so while it is due; a test that passed settles it; a wet pack does not pass."""
    key = _made(bench)
    tom = bench.house.visitor("tom")

    def said() -> list[str]:
        found = desk_today.today(bench.house.archive, tom, now=bench.now)
        return [one.sentence for one in found if one.noun == "product-family"]

    assert said() == ["Pouches: product test due in Sterilizer 1."]
    wet = TestFound("sterilizer-1", "negative", "passed", dry=False, intact=True)
    assert _tested(bench, key, wet) is False
    assert said() == ["Pouches: product test due in Sterilizer 1 (the last test did not pass)."]
    assert _tested(bench, key)
    assert said() == []


def test_another_packaging_in_the_sets_document_makes_it_due(bench: BenchHouse) -> None:
    """The change is found in the set's own revision; nobody has to say it twice."""
    key = _made(bench)
    _tested(bench, key)
    assert _reasons(bench, key) == ()
    _changed(bench, packaging="container")
    assert _reasons(bench, key) == ("Suction set: packaging pouch before, container now",)


def test_a_heavier_set_makes_it_due_and_one_above_the_limit_is_named(bench: BenchHouse) -> None:
    """Weighed at 3 kg when tested and at 11 kg now: due again, and above the 10 kg in force here."""
    _changed(bench, mass="3 kg")
    key = _made(bench)
    _tested(bench, key)
    _changed(bench, mass="11 kg")
    assert "11.0 kg, heavier" in _reasons(bench, key)[0]
    seen = families.see_family(bench.house.archive, bench.house.visitor("lena"), key, now=bench.now)
    assert seen.heavy == ("Suction set",)
    assert seen.facts[0].kg == pytest.approx(11.0)


def test_a_repair_in_the_sterilizers_days_makes_it_due(bench: BenchHouse) -> None:
    """A major repair that the machine's own page keeps counts; a reason of another kind does not."""
    key = _made(bench)
    _tested(bench, key)
    lena = bench.house.visitor("lena")
    for why, reason, due in (
        ("other", "the door squeaks", ()),
        ("major-repair", "new vacuum pump", ("sterilizer: major repair, new vacuum pump",)),
    ):
        bench.later(5)
        machine_standing.take_out_of_use(
            bench.house.archive,
            lena,
            "sterilizer-1",
            why,  # type: ignore[arg-type]  # both are among the reasons
            reason=reason,
            now=bench.now,
        )
        assert _reasons(bench, key) == due


def test_what_is_no_family_is_refused(bench: BenchHouse) -> None:
    """It needs a reason and a sterilizer; a technician makes none; it is tested where it goes through."""
    for change in ({"why": " "}, {"machines": ("washer-1",)}):
        with pytest.raises(BadInput):
            _made(bench, **change)
    tom = bench.house.visitor("tom")
    said = Said("Pouches", bench.set, "narrow", (), ("sterilizer-1",))
    with pytest.raises(NotAllowed):
        families.make_family(bench.house.archive, tom, said, now=bench.now)
    key = _made(bench)
    with pytest.raises(BadInput):
        _tested(bench, key, TestFound("sterilizer-2", "negative", "passed", dry=True, intact=True))
