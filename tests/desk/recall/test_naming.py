"""What a recall is called where nobody said why in words of their own."""

from __future__ import annotations

import pytest

from sinkside.bench.recall import CauseKind, Where
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.naming import named, unknown_codes
from sinkside.errors import NotAllowed, NotThere
from support.bench_house import BenchHouse
from support.recalled_house import a_morning_with_a_positive_indicator


@pytest.fixture(scope="module")
def bench() -> BenchHouse:
    """A department with six sets."""
    return a_morning_with_a_positive_indicator(sets=6, used=2)[0]


def _called(bench: BenchHouse, kind: CauseKind, of: str, **more: object) -> str:
    cause = Cause.model_validate({"kind": kind, "of": of, "words": kind.value, **more})
    return named(bench.house.archive, bench.house.visitor("lena"), cause).words


def test_the_words_name_what_a_recall_is_about(bench: BenchHouse) -> None:
    """A machine, water, a lot, a revision, a device, and sets by name and code."""
    with bench.house.archive.unit(writes=False) as unit:
        text = next(row.id for row in unit.rows.all("instruction", ["north"], limit=10))
        device = next(row.title for row in unit.rows.all("instruction", ["north"], limit=10))
    sterilizer, water = "sterilizer-1", "ro-loop"
    assert _called(bench, CauseKind.indicator, sterilizer) == "Sterilizer 1: an indicator grew or failed"
    assert _called(bench, CauseKind.machine, sterilizer) == "Sterilizer 1: it broke"
    assert _called(bench, CauseKind.water, water) == "Reverse osmosis loop: a result of the water was bad"
    assert _called(bench, CauseKind.text, text, revision=2).endswith(", revision 2: withdrawn")
    assert _called(bench, CauseKind.product, text) == f"{device}: a notice about the product"
    one, three = ("c-1",), ("c-1", "c-2", "c-3")
    assert _called(bench, CauseKind.prion, "c-1", sets=one) == "Suction set, R-1: suspicion of prions"
    assert (
        _called(bench, CauseKind.product, "c-1", sets=three)
        == "Suction set, R-1 and 2 more: a notice about the product"
    )


def test_a_lot_is_named_with_its_chemical(bench: BenchHouse) -> None:
    """By the name that the department has for it; what nobody here knows stays as it was given."""
    called = _called(bench, CauseKind.chemical, "enzyclear", lot="E-9")
    assert called.endswith(", lot E-9: something is wrong with it")
    assert _called(bench, CauseKind.chemical, "gone", lot="G-1").startswith("Gone, lot G-1")


def test_nobody_s_name_stands_in_a_recall(bench: BenchHouse) -> None:
    """A name in the words could not be erased with its person: only where they worked is said."""
    tom = bench.house.people["tom"]
    assert _called(bench, CauseKind.person, tom) == "Somebody worked without being signed off"
    at_loads = _called(bench, CauseKind.person, tom, where=Where.loads)
    assert at_loads == "Somebody worked with loads without being signed off"
    assert "Tom" not in at_loads


def test_what_is_not_here_is_not_named(bench: BenchHouse) -> None:
    """Another machine or text is not there; without the right nothing is told."""
    with pytest.raises(NotThere):
        _called(bench, CauseKind.machine, "sterilizer-9")
    with pytest.raises(NotThere):
        _called(bench, CauseKind.text, "nothing")
    bench.house.add("vera", "external-representative")
    vera = bench.house.visitor("vera")
    with pytest.raises(NotAllowed):
        named(bench.house.archive, vera, Cause(kind=CauseKind.machine, of="sterilizer-1", words="-"))


def test_unknown_codes_are_told_all_at_once(bench: BenchHouse) -> None:
    """Each once, in the order in which they were scanned; what is known is not among them."""
    lena = bench.house.visitor("lena")
    assert unknown_codes(bench.house.archive, lena, ["X-1", "R-1", "X-2", "X-1"]) == ("X-1", "X-2")
