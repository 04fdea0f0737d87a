"""Memory by policy: waits in days, graver and rarer first, two or three a day, nothing left to chance."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from sinkside.desk.memory_policy import policy
from sinkside.documents import to_values
from sinkside.errors import BadDocument
from sinkside.instruction import Device, Feature, Instruction, MakerDocument
from sinkside.teach.memory import (
    Candidate,
    Memory,
    MemoryPolicy,
    Rarity,
    Risk,
    Spacing,
    answered,
    in_turn,
    likely_known,
    shuffled,
    todays,
)

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def _device(*features: str) -> Instruction:
    built = tuple(Feature.model_validate({"id": kind, "kind": kind}) for kind in features)
    document = MakerDocument(title="Instruction", revision="1")
    return Instruction(device=Device(name="Forceps", maker="Invented", document=document, features=built))


def _plain(*questions: str, weight: float = 1.0, likely: float = 0.0) -> list[Candidate]:
    return [Candidate(one, "i-1", weight, likely) for one in questions]


@given(
    st.lists(st.tuples(st.booleans(), st.integers(0, 400)), min_size=1, max_size=12), st.sampled_from(Risk)
)
def test_a_question_waits_a_day_at_least_and_no_longer_than_policy(
    answers: list[tuple[bool, int]], risk: Risk
) -> None:
    """Whatever is answered whenever, it is due after a day at least and the longest wait at most."""
    spacing, memory, now = policy().spacing(risk, Rarity.rare), None, NOW
    for right, days in answers:
        now += timedelta(days=days)
        memory = answered(memory, spacing, right=right, now=now)
        assert timedelta(days=1) <= memory.due - now <= timedelta(days=policy().longest_days[Rarity.rare])
        assert 1.0 <= memory.difficulty <= 10.0
        assert 0.0 < likely_known(memory, now + timedelta(days=30)) <= likely_known(memory, now) <= 1.0
    assert memory is not None
    assert (memory.times, memory.right) == (len(answers), sum(right for right, _ in answers))


def test_wrong_answers_come_again_sooner_than_right_ones() -> None:
    """From the same memory a wrong answer leads to a day, a right one to more."""
    known = answered(None, policy().spacing(Risk.usual, Rarity.usual), right=True, now=NOW)
    spacing = policy().spacing(Risk.usual, Rarity.usual)
    right = answered(known, spacing, right=True, now=known.due)
    wrong = answered(known, spacing, right=False, now=known.due)
    assert (wrong.due - known.due).days == 1
    assert (right.due - known.due).days > 5
    assert wrong.stability < known.stability < right.stability


def test_graver_and_rarer_devices_are_asked_sooner() -> None:
    """After the same right answers the wait is shorter for a lumen than for a plain device, and when rare."""

    def wait(risk: Risk, rarity: Rarity, times: int = 3) -> int:
        memory, now = None, NOW
        for _ in range(times):
            memory = answered(memory, policy().spacing(risk, rarity), right=True, now=now)
            now, waited = memory.due, (memory.due - now).days
        return waited

    assert wait(Risk.high, Rarity.usual) < wait(Risk.raised, Rarity.usual) < wait(Risk.usual, Rarity.usual)
    assert wait(Risk.usual, Rarity.rare, 9) == 90 < wait(Risk.usual, Rarity.usual, 9) == 180


def test_the_same_answers_give_the_same_memory_in_every_zone() -> None:
    """No scatter, no clock: two runs agree to the last bit, and another zone is the same moment."""
    spacing = Spacing(0.9, 180)
    once = answered(answered(None, spacing, right=True, now=NOW), spacing, right=False, now=NOW)
    there = NOW.astimezone(timezone(timedelta(hours=5)))
    again = answered(answered(None, spacing, right=True, now=there), spacing, right=False, now=there)
    assert once == again
    assert Memory.of_fields(once.due, once.fields()) == once


@pytest.mark.parametrize("fields", [{}, {"asked": "yesterday"}, {"asked": 3, "stability": 1.0}])
def test_a_memory_that_does_not_fit_is_refused(fields: dict[str, object]) -> None:
    """What is missing or no moment is told as a stored value that does not fit, never guessed."""
    with pytest.raises(BadDocument, match="does not fit"):
        Memory.of_fields(NOW, fields)


def test_risk_is_by_features_and_rarity_by_sets() -> None:
    """A lumen outweighs a joint, a joint outweighs nothing; one set or none is rare."""
    known = policy()
    assert known.risk_of(_device("joint", "lumen")) is Risk.high
    assert known.risk_of(_device("joint")) is Risk.raised
    assert known.risk_of(_device("tip")) is Risk.usual
    assert [known.rarity_of(sets) for sets in (0, 1, 2)] == [Rarity.rare, Rarity.rare, Rarity.usual]
    assert known.weight(Risk.high, Rarity.rare) > known.weight(Risk.high, Rarity.usual)


def test_a_day_has_two_new_questions_or_three_that_are_due() -> None:
    """Nothing due: two new ones; one due: it and one new; four due: the three most urgent; none twice."""
    new = _plain("n1", "n2", "n3")
    assert len(todays([], new, policy(), asked=0, seed="s")) == 2
    one_due = todays(_plain("d1", likely=0.8), new, policy(), asked=0, seed="s")
    assert one_due[0].question == "d1"
    assert len(one_due) == 2
    due = _plain("d1", "d2", "d3", likely=0.8) + _plain("grave", weight=3.0, likely=0.8)
    found = [one.question for one in todays(due, new, policy(), asked=0, seed="s")]
    assert found[0] == "grave"
    assert len(found) == 3
    assert len(todays(due, new, policy(), asked=2, seed="s")) == 1
    assert todays(due, new, policy(), asked=3, seed="s") == ()
    assert todays([], new, policy(), asked=2, seed="s") == ()


def test_what_is_nearly_forgotten_goes_before_what_is_fresh() -> None:
    """Of two due with one weight the likelier forgotten one is asked; a greater weight turns it round."""
    fading, fresh = Candidate("fading", "i", 1.0, 0.5), Candidate("fresh", "i", 1.0, 0.9)
    grave = Candidate("grave", "i", 6.0, 0.9)
    assert [one.question for one in todays([fresh, fading], [], policy(), asked=1, seed="s")] == [
        "fading",
        "fresh",
    ]
    assert [one.question for one in todays([fading, grave], [], policy(), asked=2, seed="s")] == ["grave"]


def test_equals_are_ordered_by_the_seed_alone() -> None:
    """The same seed gives the same order however they come; over many seeds each is first at times."""
    new = _plain(*"abcd")
    first = {todays([], new, policy(), asked=0, seed=str(seed))[0].question for seed in range(60)}
    assert first == set("abcd")
    assert todays([], new, policy(), asked=0, seed="7") == todays([], new[::-1], policy(), asked=0, seed="7")
    assert {shuffled(range(4), str(seed))[0] for seed in range(60)} == {0, 1, 2, 3}


def test_new_questions_come_from_the_weightiest_device_that_was_asked_least() -> None:
    """A grave device goes first until enough of it was asked, then the others."""
    weights = {"grave": 3.0, "plain": 1.0}
    assert in_turn(weights, {}, "s") == ("grave", "plain")
    assert in_turn(weights, {"grave": 3}, "s") == ("plain", "grave")


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"retention": {"high": 0.9}}, "for each risk"),
        ({"longest_days": {"rare": 9}}, "for each rarity"),
        ({"retention": {"high": 0.2, "raised": 0.9, "usual": 0.9}}, r"0\.5 to 0\.99"),
        ({"risk_weight": {"high": 0.0, "raised": 1.0, "usual": 1.0}}, "above zero"),
    ],
)
def test_a_policy_says_all_and_nothing_impossible(change: dict[str, object], expected: str) -> None:
    """A risk without a retention, a chance that no memory is kept at, or no weight at all is refused."""
    with pytest.raises(ValidationError, match=expected):
        MemoryPolicy.model_validate({**to_values(policy()), **change})
