"""Borrowed, lent, repaired: what came is counted, weighed and held against the text; it comes soiled."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pydantic import ValidationError

from sinkside.bench.loans import Loan, LoanPart, Receipt, Sending, TextHeld, Way, loan_findings
from sinkside.quantities import Quantity

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
PARTS = (LoanPart(name="Guide", expected=2), LoanPart(name="Sleeve", expected=12))


def _loan(**change: Any) -> Loan:
    said: dict[str, Any] = {
        "way": "borrowed",
        "what": "Guide kit",
        "other": "Hillside hospital",
        "due": NOW + timedelta(days=3),
        "parts": PARTS,
        "mass": Quantity(4.0, "kg"),
        "theirs": TextHeld(title="Guide kit", revision="Rev. C"),
        "ours": TextHeld(title="Guide kit", revision="rev.C"),
    }
    return Loan.model_validate(said | change)


def _receipt(*counted: int, **change: Any) -> Receipt:
    parts = [
        {"name": one.name, "expected": one.expected, "counted": n}
        for one, n in zip(PARTS, counted, strict=False)
    ]
    return Receipt.model_validate({"at": NOW, "by": "p-1", "parts": parts, **change})


def _rules(loan: Loan, now: datetime = NOW) -> list[str]:
    return [one.rule for one in loan_findings(loan, now=now)]


def test_what_came_whole_with_the_same_text_has_no_finding() -> None:
    """Counts as listed, mass within 5 % (common practice), a revision written otherwise: nothing is said."""
    loan = _loan(came=(_receipt(2, 12, mass=Quantity(4100.0, "g")),))
    assert _rules(loan) == []
    assert loan.is_here
    assert loan.stands == "here"


def test_eleven_of_twelve_is_a_stop_told_to_the_owner() -> None:
    """One sleeve short stops; what nobody counted stops too."""
    (short,) = loan_findings(_loan(came=(_receipt(2, 11),)), now=NOW)
    assert (short.level, short.message) == ("stop", "11 of 12 of Sleeve came.")
    assert _rules(_loan(came=(_receipt(2),))) == ["loan-not-counted"]


def test_a_sterile_mark_changes_nothing() -> None:
    """Marked as sterile, it is soiled here all the same, and that is said."""
    (said,) = loan_findings(_loan(came=(_receipt(2, 12, marked_sterile=True),)), now=NOW)
    assert said.rule == "loan-marked-sterile"
    assert "soiled until it went along its whole route" in said.message


@pytest.mark.parametrize(
    ("theirs", "ours", "rules"),
    [
        ("C", "D", ["loan-text-differs"]),
        ("", "D", ["loan-text-unsaid"]),
        ("C", "", ["loan-no-text"]),
        ("", "", ["loan-no-text"]),
    ],
)
def test_the_owners_text_is_held_against_ours(theirs: str, ours: str, rules: list[str]) -> None:
    """Two revisions, or none named, is a concern; no approved text here is a stop."""
    assert _rules(_loan(theirs=TextHeld(revision=theirs), ours=TextHeld(revision=ours))) == rules


def test_a_mass_that_differs_is_told() -> None:
    """5 kg for 4 kg is 25 % more: counted again."""
    assert _rules(_loan(came=(_receipt(2, 12, mass=Quantity(5.0, "kg")),))) == ["loan-mass"]


def test_what_is_owed_is_told_once_it_is_late() -> None:
    """A borrowed one is late while it is here; a lent one while it is away; what is closed owes nothing."""
    late = NOW + timedelta(days=4)
    here = _loan(came=(_receipt(2, 12),))
    assert _rules(here, late) == ["loan-late"]
    back = here.model_copy(update={"went": (Sending(at=NOW + timedelta(hours=1), by="p-1"),)})
    assert _rules(back, late) == []
    assert back.stands == "sent back"
    lent = _loan(way=Way.lent, went=(Sending(at=NOW, by="p-1"),))
    assert _rules(lent, late) == ["loan-late"]
    assert lent.stands == "away"
    assert _rules(here.model_copy(update={"closed": late}), late) == []


def test_a_repair_says_what_is_to_be_repaired() -> None:
    """Nothing goes to a workshop without its fault."""
    with pytest.raises(ValidationError, match="expected what is to be repaired"):
        _loan(way=Way.repair)
