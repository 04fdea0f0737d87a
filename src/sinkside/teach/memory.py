"""When a question is asked again, what somebody is likely to remember today, and which few questions to ask.

The times come from FSRS, an open and published algorithm, by its own library and with its published weights.
It keeps two numbers of a memory: its stability, the days until the chance of knowing it has fallen to nine in
ten, and its difficulty, 1 to 10. An answer moves both. Nothing is left to chance: the library's scatter of
days is off, and a seed is passed in where equals are put in order.

What a device weighs is policy: the graver a mistake with it, the sooner its questions come again and the
earlier they are asked; what is seldom on the bench is never put off for long.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Final, Self

from pydantic import Field, model_validator

from sinkside.documents import Value
from sinkside.errors import BadDocument, Fault
from sinkside.instruction import FeatureKind, Instruction

if TYPE_CHECKING:
    from fsrs import Card, Scheduler

#: The library numbers what it schedules; with no number told, it would look at a clock.
_ANY_NUMBER: Final = 1


class Risk(StrEnum):
    """How grave a mistake with a device can be, by what it is built of."""

    high = "high"
    raised = "raised"
    usual = "usual"


class Rarity(StrEnum):
    """How often a device is on the bench."""

    rare = "rare"
    usual = "usual"


@dataclass(frozen=True)
class Spacing:
    """How closely memories are kept.

    Attributes:
        retention: the chance of knowing it at which a question is asked again.
        longest_days: how many days it is put off at most.
        first_min: waits in minutes before a first answer counts as kept; none where a day is the least.
        again_min: the same after a wrong answer.
    """

    retention: float
    longest_days: int
    first_min: tuple[float, ...] = ()
    again_min: tuple[float, ...] = ()


class MemoryPolicy(Value):
    """How memory is kept, as data.

    Attributes:
        most_a_day: questions a day at most.
        new_up_to: new questions fill up to so many a day; what is due may fill the rest.
        high: features that make a mistake grave.
        raised: features that make one likelier.
        fewest_shown: of fewer people than this a team's view shows nothing, as it would show somebody.
        rare_in_sets: a device in so many sets or fewer is rare, as long as nobody counts its rounds.
        retention: by risk, the chance of knowing it at which a question is asked again.
        risk_weight: by risk, how much a forgotten answer weighs.
        rarity_weight: by rarity, the same.
        longest_days: by rarity, how many days a question is put off at most.
    """

    most_a_day: int = Field(ge=1, le=10)
    new_up_to: int = Field(ge=0, le=10)
    fewest_shown: int = Field(ge=3)
    high: tuple[FeatureKind, ...]
    raised: tuple[FeatureKind, ...]
    rare_in_sets: int = Field(ge=0)
    retention: Mapping[Risk, float]
    risk_weight: Mapping[Risk, float]
    rarity_weight: Mapping[Rarity, float]
    longest_days: Mapping[Rarity, int]

    @model_validator(mode="after")
    def _says_all(self) -> MemoryPolicy:
        if {*self.retention} != {*Risk} or {*self.risk_weight} != {*Risk}:
            raise ValueError("expected a retention and a weight for each risk")
        if {*self.rarity_weight} != {*Rarity} or {*self.longest_days} != {*Rarity}:
            raise ValueError("expected a weight and a longest wait for each rarity")
        if not all(0.5 <= one <= 0.99 for one in self.retention.values()):  # noqa: PLR2004 # a chance to keep
            raise ValueError("expected retentions from 0.5 to 0.99")
        if not all(one > 0 for one in (*self.risk_weight.values(), *self.rarity_weight.values())):
            raise ValueError("expected weights above zero")
        return self

    def spacing(self, risk: Risk, rarity: Rarity) -> Spacing:
        """How closely the questions of such a device are kept; the least wait is a day."""
        return Spacing(self.retention[risk], self.longest_days[rarity])

    def weight(self, risk: Risk, rarity: Rarity) -> float:
        """How much a forgotten answer about such a device weighs."""
        return self.risk_weight[risk] * self.rarity_weight[rarity]

    def risk_of(self, instruction: Instruction) -> Risk:
        """How grave a mistake with a device can be, by its features."""
        features = {feature.kind for feature in instruction.device.features}
        if features & {*self.high}:
            return Risk.high
        return Risk.raised if features & {*self.raised} else Risk.usual

    def rarity_of(self, in_sets: int) -> Rarity:
        """How often a device is on the bench, by the number of sets that it is in."""
        return Rarity.rare if in_sets <= self.rare_in_sets else Rarity.usual


@dataclass(frozen=True)
class Memory:
    """What is kept of somebody and a question.

    Attributes:
        asked: when it was last asked.
        due: when it is asked again.
        stability: days until the chance of knowing it has fallen to nine in ten.
        difficulty: 1, easy, to 10.
        stage: the library's number of the stage of learning.
        step: the library's number of the short wait that it stands at; none once waits are days.
        times: how often it was asked.
        right: how often it was known.
    """

    asked: datetime
    due: datetime
    stability: float
    difficulty: float
    stage: int
    step: int | None
    times: int
    right: int

    def fields(self) -> dict[str, str | int | float | bool | None]:
        """What the archive keeps beside `due`."""
        kept = {name: value for name, value in vars(self).items() if name not in {"asked", "due"}}
        return {**kept, "asked": self.asked.isoformat()}

    @classmethod
    def of_fields(cls, due: datetime, fields: Mapping[str, Any]) -> Self:
        """A memory as the archive gives it back.

        Raises:
            BadDocument: if something of it is missing, or of another kind.

        >>> kept = answered(None, Spacing(0.9, 180), right=True, now=datetime(2026, 3, 2, tzinfo=UTC))
        >>> Memory.of_fields(kept.due, kept.fields()) == kept
        True
        """
        try:
            return cls(**{**fields, "due": due, "asked": datetime.fromisoformat(fields["asked"])})
        except (KeyError, TypeError, ValueError) as error:
            raise BadDocument([Fault("", "this stored memory does not fit its format")]) from error


@dataclass(frozen=True)
class Candidate:
    """A question that could be asked today: which, of which device, its weight, the chance of knowing it."""

    question: str
    instruction: str
    weight: float
    likely: float = 0.0

    @property
    def urgency(self) -> float:
        """What not asking may cost: the weight, times the chance that it is forgotten."""
        return self.weight * (1.0 - self.likely)


def answered(before: Memory | None, spacing: Spacing, *, right: bool, now: datetime) -> Memory:
    """What is kept of a question after an answer.

    Args:
        before: what was kept; none at the first answer.
        spacing: how closely it is kept.
        right: whether the answer was right; to the library "good" or "again", it is told nothing finer.
        now: when it was answered.

    Source: FSRS-6, published weights, by the library fsrs (checked against the vectors of its own tests).

    >>> at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    >>> (answered(None, Spacing(0.9, 180), right=True, now=at).due - at).days
    2
    """
    from fsrs import Rating

    moment = now.astimezone(UTC)
    card, _ = _scheduler(spacing).review_card(
        _card(before, moment), Rating.Good if right else Rating.Again, review_datetime=moment
    )
    if card.stability is None or card.difficulty is None:  # pragma: no cover # only before a first answer
        raise BadDocument([Fault("", "this memory has no stability after an answer")])
    return Memory(
        asked=moment,
        due=card.due,
        stability=card.stability,
        difficulty=card.difficulty,
        stage=card.state.value,
        step=card.step,
        times=(before.times if before else 0) + 1,
        right=(before.right if before else 0) + right,
    )


def likely_known(memory: Memory, now: datetime) -> float:
    """The chance that an answer is known now, 0 to 1, counted in whole days since it was asked.

    Source: FSRS-6, forgetting curve (1 + f·t/S)^(-d), with f such that it is 0.9 after S days.

    >>> at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    >>> kept = answered(None, Spacing(0.9, 180), right=True, now=at)
    >>> round(likely_known(kept, at + timedelta(days=30)), 2)
    0.67
    """
    chance: float = _scheduler(Spacing(0.9, 1)).get_card_retrievability(
        _card(memory, memory.asked), current_datetime=now.astimezone(UTC)
    )
    return chance


def todays(
    due: Iterable[Candidate], new: Iterable[Candidate], policy: MemoryPolicy, *, asked: int, seed: str
) -> tuple[Candidate, ...]:
    """The questions that are left to ask today, the most urgent first; new ones after what is due.

    Args:
        due: questions that are to be asked again.
        new: questions that were never asked.
        policy: how many a day.
        asked: how many were asked today.
        seed: puts equals in order, such as a person's pseudonym and the day.

    Where nothing is due there are as many as `new_up_to` says; what is due may take every place of the day.
    """
    room = max(policy.most_a_day - asked, 0)
    chosen = _in_order(due, seed)[:room]
    left = max(min(policy.new_up_to, policy.most_a_day) - asked - len(chosen), 0)
    return (*chosen, *_in_order(new, seed)[:left])


def in_turn(weights: Mapping[str, float], known: Mapping[str, int], seed: str) -> tuple[str, ...]:
    """Devices in the order in which new questions come from them: much weight and little asked goes first.

    Args:
        weights: by device.
        known: by device, how many of its questions were asked before.
        seed: puts equals in order.

    >>> in_turn({"forceps": 1.0, "scope": 3.0}, {"scope": 5}, "s")
    ('forceps', 'scope')
    """
    return tuple(
        sorted(weights, key=lambda one: (-weights[one] / (1 + known.get(one, 0)), _shuffled(seed, one)))
    )


def shuffled(items: Sequence[int], seed: str) -> tuple[int, ...]:
    """The same numbers in an order that hangs on a seed alone, so that no place becomes the right one.

    >>> sorted(shuffled(range(4), "today")) == [0, 1, 2, 3]
    True
    """
    return tuple(sorted(items, key=lambda one: _shuffled(seed, str(one))))


def _in_order(candidates: Iterable[Candidate], seed: str) -> list[Candidate]:
    return sorted(
        candidates, key=lambda one: (-one.urgency, _shuffled(seed, f"{one.instruction} {one.question}"))
    )


def _shuffled(seed: str, text: str) -> str:
    return sha256(f"{seed}\0{text}".encode()).hexdigest()


@functools.lru_cache(maxsize=64)
def _scheduler(spacing: Spacing) -> Scheduler:
    from fsrs import Scheduler

    return Scheduler(
        desired_retention=spacing.retention,
        learning_steps=[timedelta(minutes=one) for one in spacing.first_min],
        relearning_steps=[timedelta(minutes=one) for one in spacing.again_min],
        maximum_interval=spacing.longest_days,
        enable_fuzzing=False,
    )


def _card(memory: Memory | None, now: datetime) -> Card:
    from fsrs import Card, State

    if memory is None:
        return Card(card_id=_ANY_NUMBER, due=now)
    return Card(
        card_id=_ANY_NUMBER,
        state=State(memory.stage),
        step=memory.step,
        stability=memory.stability,
        difficulty=memory.difficulty,
        due=memory.due.astimezone(UTC),
        last_review=memory.asked,
    )
