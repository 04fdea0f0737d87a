"""A deviation from found to closed: how it stands by what is filled in, who may do what, what is due when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from sinkside.bench import deviations as pure
from sinkside.bench.deviations import (
    Counted,
    DeviationReport,
    Effect,
    Standing,
    Told,
    due_of,
    next_step,
)
from sinkside.bench.faults import Asks, fault, policy
from sinkside.errors import BadInput
from sinkside.instruction import Stage

FOUND_AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
DUE = policy().due


def _told(by: str, days: float = 0, words: str = "as it was seen") -> Told:
    return Told(words=words, by=by, at=FOUND_AT + timedelta(days=days))


def _new(asks: Asks = "effect", **more: Any) -> DeviationReport:
    return DeviationReport(
        fault="soil-found", words="soil in the jaw", source="hand", found=Stage.inspection, by="p-1",
        at=FOUND_AT, asks=asks, **more,
    )  # fmt: skip


def _assigned() -> DeviationReport:
    measured = pure.measured(_new(), _told("p-1"))
    caused = pure.found_cause(measured, _told("p-2", 1), began=Stage.cleaning)
    return pure.assigned(caused, _told("p-2", 1), "p-3", FOUND_AT + timedelta(days=10))


def _effect(by: str, days: float, *, held: bool = True) -> Effect:
    nothing = Counted(found=0, sets=10, days=60)
    return Effect(held=held, told=_told(by, days), before=nothing, after=nothing)


def test_from_found_to_closed_each_step_is_due_by_policy() -> None:
    """Open, measures taken, corrected, closed; each with what is next and by when (common practice)."""
    one = _new()
    assert (one.standing, next_step(one)) == (Standing.open, "say what was done at once")
    assert due_of(one, DUE) == FOUND_AT + timedelta(days=DUE.measures_days)
    one = pure.measured(one, _told("p-1"))
    assert (one.standing, next_step(one)) == (Standing.measures_taken, "find its cause")
    assert due_of(one, DUE) == FOUND_AT + timedelta(days=DUE.cause_days)
    one = pure.found_cause(one, _told("p-2", 1), began=Stage.cleaning)
    assert (one.began, next_step(one)) == (Stage.cleaning, "name who corrects it")
    one = pure.assigned(one, _told("p-2", 1), "p-3", FOUND_AT + timedelta(days=10))
    assert (next_step(one), due_of(one, DUE)) == ("carry out the correction", FOUND_AT + timedelta(days=10))
    one = pure.corrected(one, _told("p-3", 8), leads=False)
    assert (one.standing, next_step(one)) == (Standing.corrected, "check what the correction came to")
    assert due_of(one, DUE) == FOUND_AT + timedelta(days=8 + DUE.effect_days)
    one = pure.effect_checked(one, _effect("p-2", 8 + DUE.effect_days), DUE)
    assert (one.standing, next_step(one), due_of(one, DUE)) == (Standing.closed, "", None)


def test_what_asks_for_measures_alone_is_closed_by_them() -> None:
    """A minor one is counted and closed; a lead may ask further, and then it is open again."""
    minor = pure.measured(_new("measures"), _told("p-1"))
    assert minor.standing is Standing.closed
    assert pure.found_cause(minor, _told("p-2"), began=Stage.transport).began is Stage.transport
    with pytest.raises(BadInput, match="closed; ask for more first"):
        pure.measured(minor, _told("p-1"))
    again = pure.asked_further(minor)
    assert again.standing is Standing.measures_taken
    with pytest.raises(BadInput, match="asked for already"):
        pure.asked_further(again)


def test_a_correction_that_did_not_hold_asks_for_another() -> None:
    """It came back: the same deviation asks for another correction, due from when that was seen."""
    done = pure.corrected(_assigned(), _told("p-3", 8), leads=False)
    back = pure.effect_checked(done, _effect("p-2", 20, held=False), DUE)
    assert (back.standing, back.correction) == (Standing.measures_taken, None)
    assert next_step(back) == "find another correction: the last did not hold"
    assert due_of(back, DUE) == FOUND_AT + timedelta(days=20 + DUE.cause_days)
    again = pure.assigned(back, _told("p-2", 21), "p-4", FOUND_AT + timedelta(days=30))
    assert [one.who for one in again.corrections] == ["p-3", "p-4"]


def test_only_who_is_named_or_leads_says_that_it_is_corrected() -> None:
    """Somebody else is refused; whoever leads may say it in their place; once is enough."""
    with pytest.raises(BadInput, match="somebody else is named"):
        pure.corrected(_assigned(), _told("p-9", 8), leads=False)
    done = pure.corrected(_assigned(), _told("p-2", 8), leads=True)
    with pytest.raises(BadInput, match="no correction to carry out"):
        pure.corrected(done, _told("p-3", 9), leads=False)
    with pytest.raises(BadInput, match="no correction to carry out"):
        pure.corrected(_new(), _told("p-3"), leads=True)


@pytest.mark.parametrize(
    ("by", "days", "sentence"),
    [("p-3", 80, "somebody else than who corrected"), ("p-2", 20, "too early to say that it held")],
)
def test_the_effect_is_looked_at_by_another_and_after_a_time(by: str, days: float, sentence: str) -> None:
    """Not by who corrected it, and not before the days of the policy are over."""
    done = pure.corrected(_assigned(), _told("p-3", 8), leads=False)
    with pytest.raises(BadInput, match=sentence):
        pure.effect_checked(done, _effect(by, days), DUE)
    with pytest.raises(BadInput, match="no effect to look at"):
        pure.effect_checked(_assigned(), _effect(by, days), DUE)


def test_nobody_is_named_before_measures_and_cause_are_told() -> None:
    """First what was done and why it happened; then one person at a time, by a day that is to come."""
    what, later = _told("p-2", 1), FOUND_AT + timedelta(days=9)
    measured = pure.measured(_new(), _told("p-1"))
    for early in (_new(), measured):
        with pytest.raises(BadInput, match="say first what was done at once"):
            pure.assigned(early, what, "p-3", later)
    caused = pure.found_cause(measured, what, began=Stage.cleaning)
    with pytest.raises(BadInput, match="that day is past"):
        pure.assigned(caused, what, "p-3", FOUND_AT)
    with pytest.raises(BadInput, match="somebody is to correct it already"):
        pure.assigned(_assigned(), what, "p-4", later)
    corrected = pure.corrected(_assigned(), _told("p-3", 8), leads=False)
    with pytest.raises(BadInput, match="corrected already"):
        pure.found_cause(corrected, what, began=Stage.cleaning)


def test_nothing_begins_behind_where_it_was_found_but_for_theatre() -> None:
    """Found at inspection it did not begin at packaging; what theatre finds may have begun anywhere."""
    with pytest.raises(BadInput, match="found at inspection, before packaging"):
        pure.found_cause(_new(), _told("p-2"), began=Stage.packaging)
    in_theatre = _new().model_copy(update={"found": Stage.point_of_use})
    assert pure.found_cause(in_theatre, _told("p-2"), began=Stage.storage).began is Stage.storage


def test_a_delay_is_none_or_more_and_a_week_at_most() -> None:
    """Minutes that a case waited, as somebody says them."""
    said = pure.delayed(_new(), 25)
    assert (said.delay_min, said.delay_told) == (25, True)
    for minutes in (-1, pure.LONGEST_DELAY_MIN + 1):
        with pytest.raises(BadInput, match="expected 0 to"):
            pure.delayed(_new(), minutes)


def test_kinds_are_data_that_hold_together() -> None:
    """Every kind has words of its own, may begin no later than where it is found, and is known by its id."""
    kinds = policy().faults
    assert len({one.words for one in kinds.values()}) == len(kinds) > 20
    order = list(Stage)
    for key, kind in kinds.items():
        if Stage.point_of_use not in kind.found:
            latest = max(map(order.index, kind.found))
            assert any(order.index(one) <= latest for one in kind.began), key
    with pytest.raises(BadInput, match="expected one of soil-found"):
        fault("nothing")
