"""What is borrowed, lent or repaired: received soiled, held while a stop is open, away and back again."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from sinkside.bench.loans import LoanPart, TextHeld, Way
from sinkside.desk.bench import loans
from sinkside.desk.bench.loans import Agreed, CameIn
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.errors import BadInput, Conflict, NotAllowed
from sinkside.records import KeptCopy
from support.bench_house import CODES, BenchHouse, bench_house


@pytest.fixture(scope="module")
def prepared() -> BenchHouse:
    """A bench with its sets."""
    return bench_house()


@pytest.fixture
def bench(prepared: BenchHouse) -> BenchHouse:
    """The same for one test alone."""
    return deepcopy(prepared)


def _agree(bench: BenchHouse, way: Way = Way.borrowed, **change: Any) -> str:
    said: dict[str, Any] = {"of": bench.set, "parts": (LoanPart(name="tube", expected=2),)}
    agreed = Agreed(way, "Suction kit", "Hillside", bench.now + timedelta(days=3), **(said | change))
    return loans.agree(bench.house.archive, bench.house.visitor("tom"), agreed, now=bench.now)


def _receive(bench: BenchHouse, loan: str, code: str = "LOAN-1", counted: int = 2, **seen: Any) -> list[str]:
    came = CameIn(code, (counted,), **seen)
    tom = bench.house.visitor("tom")
    known = loans.receive(bench.house.archive, tom, loan, came, now=bench.now)
    return [one.rule for one in known.findings]


def _send(bench: BenchHouse, loan: str, statement: str = "cleaned and disinfected in load l-1") -> None:
    tom = bench.house.visitor("tom")
    loans.send(bench.house.archive, tom, loan, statement=statement, now=bench.later(60))


def _copy(bench: BenchHouse, code: str = "LOAN-1") -> KeptCopy:
    with bench.house.archive.unit(writes=False) as unit:
        return copy_of_code(unit, "north", code)


def test_what_is_borrowed_comes_soiled_whatever_stands_on_it(bench: BenchHouse) -> None:
    """Marked sterile, it stands as soiled on a run of its own, due at once, and goes to the sink."""
    rules = _receive(bench, _agree(bench), marked_sterile=True)
    assert rules == ["loan-text-unsaid", "loan-marked-sterile"]
    copy = _copy(bench)
    assert (copy.state, copy.due) == ("soiled", bench.now)
    assert bench.done("tom", "take-up", code="LOAN-1").state == "at-sink"


def test_a_missing_part_holds_it(bench: BenchHouse) -> None:
    """One of two tubes: it is held with that sentence until somebody who decides lets it go on."""
    assert "loan-parts-missing" in _receive(bench, _agree(bench), counted=1)
    with bench.house.archive.unit(writes=False) as unit:
        holds = run_of(unit, copy_of_code(unit, "north", "LOAN-1")).run.open_holds()
    assert [one.why for one in holds] == ["1 of 2 of tube came."]
    assert _copy(bench).state == "held"


def test_without_a_set_here_it_is_set_aside(bench: BenchHouse) -> None:
    """Nobody made its set, so no route is known: it is set aside, and no approved text is a stop."""
    assert "loan-no-text" in _receive(bench, _agree(bench, of=""))
    assert _copy(bench).state == "set-aside"
    answer = bench.tap("tom", "take-up", code="LOAN-1")
    assert answer.outcome == "refused"


def test_our_own_text_stands_beside_the_owners(bench: BenchHouse) -> None:
    """Of one instrument, the approved instruction here is held against what the owner goes by."""
    loan = _agree(bench, of=bench.instruction, theirs=TextHeld(revision="9"))
    (told,) = loans.open_loan(bench.house.archive, bench.house.visitor("tom"), loan, now=bench.now).findings
    assert told.rule == "loan-text-differs"
    assert "The owner goes by revision 9" in told.message


def test_it_goes_back_with_a_statement_and_is_closed(bench: BenchHouse) -> None:
    """Nothing leaves without a word of what was done; then it is away, on no run, and the loan is closed."""
    loan = _agree(bench)
    _receive(bench, loan)
    with pytest.raises(BadInput, match="expected what was done with it"):
        _send(bench, loan, statement=" ")
    _send(bench, loan)
    copy = _copy(bench)
    assert (copy.state, copy.place, copy.run) == ("away", "Hillside", "")
    with pytest.raises(Conflict, match="this is closed"):
        _send(bench, loan)
    (closed,) = loans.find_loans(bench.house.archive, bench.house.visitor("tom"), now=bench.now).closed
    assert closed.loan.stands == "closed"


def test_a_repaired_set_comes_back_soiled(bench: BenchHouse) -> None:
    """Away at the workshop it goes along no route; back, it begins at the sink, the loan is closed."""
    loan = _agree(bench, Way.repair, copy_code=CODES[0], fault="the ratchet slips")
    _send(bench, loan)
    assert bench.tap("tom", "arrive").outcome == "refused"
    _receive(bench, loan, code="")
    assert _copy(bench, CODES[0]).state == "soiled"
    with pytest.raises(Conflict, match="this is closed"):
        _receive(bench, loan, code="")


def test_what_cannot_be_is_refused(bench: BenchHouse) -> None:
    """A code that something else has, what lies in no house, a day that is past, a line not counted."""
    loan = _agree(bench)
    with pytest.raises(Conflict, match="has the code SET-1 already"):
        _receive(bench, loan, code=CODES[0])
    with pytest.raises(BadInput, match="nothing here has the code 'SET-99'"):
        _agree(bench, Way.lent, copy_code="SET-99")
    tom, nora, day = bench.house.visitor("tom"), bench.house.visitor("nora"), timedelta(days=1)
    with pytest.raises(BadInput, match="expected all 1 of the list"):
        loans.receive(bench.house.archive, tom, loan, CameIn("LOAN-1"), now=bench.now)
    kit = Agreed(Way.borrowed, "kit", "Hillside", bench.now)
    with pytest.raises(BadInput, match="due before now"):
        loans.agree(bench.house.archive, tom, kit, now=bench.now)
    with pytest.raises(BadInput, match="expected what is to be repaired"):
        _agree(bench, Way.repair, copy_code=CODES[0])
    with pytest.raises(NotAllowed):
        loans.agree(bench.house.archive, nora, replace(kit, due=bench.now + day), now=bench.now)
