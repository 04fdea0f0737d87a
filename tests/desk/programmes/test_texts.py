"""Whether texts are current: makers asked, answers kept, confirmed until a day, or replaced."""

from __future__ import annotations

import copy
from datetime import date

import pytest

from sinkside.bench.programmes.text_currency import Currency, MakerAsked, MakerSaid, TextCurrency
from sinkside.desk import today as desk_today
from sinkside.desk.programmes import texts
from sinkside.desk.programmes.texts import Answer
from sinkside.errors import BadInput, NotAllowed
from support.bench_house import BenchHouse, bench_house

LETTER = "by letter to customer service"


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """The house of the bench, whose one text is approved."""
    return bench_house()


@pytest.fixture
def bench(made: BenchHouse) -> BenchHouse:
    """One of its own for each test."""
    return copy.deepcopy(made)


def _asked(bench: BenchHouse, name: str = "tom") -> None:
    bench.later(5)
    who = bench.house.visitor(name)
    texts.ask_maker(bench.house.archive, who, bench.instruction, how=LETTER, now=bench.now)


def _answered(bench: BenchHouse, answer: Answer, name: str = "tom") -> None:
    bench.later(5)
    who = bench.house.visitor(name)
    texts.maker_answered(bench.house.archive, who, bench.instruction, answer, now=bench.now)


def _seen(bench: BenchHouse) -> texts.TextSeen:
    (only,) = texts.find_texts(bench.house.archive, bench.house.visitor("lena"))
    return only


def _said_today(bench: BenchHouse) -> list[str]:
    found = desk_today.today(bench.house.archive, bench.house.visitor("tom"), now=bench.now)
    return [one.sentence for one in found if one.noun == "text-currency"]


def test_a_text_is_asked_after_and_answered(bench: BenchHouse) -> None:
    """Never asked, then waiting, then current; when, how and who answered stay."""
    assert _seen(bench).stands is Currency.never_asked
    _asked(bench)
    assert _seen(bench).stands is Currency.waits
    _answered(bench, Answer("customer service of the maker", is_current=True))
    seen = _seen(bench)
    assert seen.stands is Currency.current
    assert seen.last is not None
    assert seen.last.answer is not None
    assert (seen.last.how, seen.last.answer.said_by) == (LETTER, "customer service of the maker")


def test_whoever_may_approve_confirms_it_until_a_day(bench: BenchHouse) -> None:
    """The answer and the next day are one act of the lead; a technician keeps the answer alone."""
    until = date(2027, 6, 30)
    _asked(bench)
    answer = Answer("customer service", is_current=True, confirm_by=until)
    with pytest.raises(BadInput, match="turn"):
        _answered(bench, answer)
    assert _seen(bench).stands is Currency.waits
    _answered(bench, answer, "lena")
    assert _seen(bench).row.fields["confirm_by"] == until.isoformat()


def test_another_edition_is_told_until_a_later_revision_is_approved(bench: BenchHouse) -> None:
    """Today says which edition is current; the next approved revision of ours ends that."""
    _asked(bench)
    with pytest.raises(BadInput):
        _answered(bench, Answer("customer service", is_current=False))
    _answered(bench, Answer("customer service", is_current=False, edition="issue 7"))
    assert _seen(bench).stands is Currency.replaced
    assert len(_said_today(bench)) == 1
    assert "issue 7" in _said_today(bench)[0]
    said = MakerSaid(said_by="m", is_current=False, edition="issue 7", by="p", at=bench.now)
    asked = MakerAsked(how="letter", revision=2, by="p", at=bench.now, answer=said)
    known = TextCurrency(asked=(asked,))
    assert known.stands(2) is Currency.replaced
    assert known.stands(3) is Currency.never_asked


def test_what_is_out_of_order_is_refused(bench: BenchHouse) -> None:
    """No answer without a question, no second question before the answer, no names, not from theatre."""
    with pytest.raises(BadInput, match="was asked"):
        _answered(bench, Answer("customer service", is_current=True))
    _asked(bench)
    with pytest.raises(BadInput, match="has not answered"):
        _asked(bench)
    with pytest.raises(BadInput, match="name"):
        _answered(bench, Answer("Frau Berg", is_current=True))
    with pytest.raises(NotAllowed):
        _asked(bench, "nora")
