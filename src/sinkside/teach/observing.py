"""Observations: what an observer sees done at one station, criterion by criterion, and how far that leads."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from sinkside.instruction import Action, FeatureKind, Instruction, PartUse, Stage
from sinkside.plain import Habits, PlainStep, plain_steps
from sinkside.quantities import FigureQuantity
from sinkside.route import Route, Station
from sinkside.teach.observing_policy import (
    CriterionKind,
    Manner,
    ObservingPolicy,
    OutcomeRule,
    observing_policy,
)
from sinkside.teach.sign_offs import Level

_ID_DIGITS: Final = 16
_LEVELS: Final = tuple(Level)


class Mark(StrEnum):
    """What the observer saw of a criterion."""

    done = "done"
    missed = "missed"
    not_seen = "not-seen"


@dataclass(frozen=True)
class Criterion:
    """One thing that an observer sees done, or not.

    Attributes:
        id: 16 hex digits, the same while what is asked is the same.
        kind: what it is about.
        steps: ids of the instruction's steps it comes from; none for what holds at the whole station.
        stage: the stage of the work.
        station: where.
        words: what is seen when it is done.
        details: what goes with it: figures, conditions, the maker's own words.
        critical: why missing it can never be independent work; empty where it may be made up for.
    """

    id: str
    kind: CriterionKind
    steps: tuple[str, ...]
    stage: Stage
    station: Station
    words: str
    details: tuple[str, ...] = ()
    critical: str = ""

    @property
    def is_critical(self) -> bool:
        """Whether missing it rules independent work out."""
        return bool(self.critical)


@dataclass(frozen=True)
class Outcome:
    """How far an observation may lead, and why: what was missed, what nobody saw.

    Attributes:
        highest: the highest level that may be given.
        critical_missed: critical criteria that were missed.
        others_missed: other criteria that were missed.
        not_seen: criteria that nobody saw.
        seen_done: how many were seen done.
        criteria: how many there are.
        reasons: why it is no more, one sentence each; empty for independent work.
    """

    highest: Level
    critical_missed: tuple[Criterion, ...]
    others_missed: tuple[Criterion, ...]
    not_seen: tuple[Criterion, ...]
    seen_done: int
    criteria: int
    reasons: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What was seen, in a sentence; what was not seen is said."""
        said = [f"{self.seen_done} of {self.criteria} seen done"]
        if self.critical_missed:
            said.append(f"{len(self.critical_missed)} critical missed")
        if others := len(self.others_missed):
            said.append(f"{others} {'other' if others == 1 else 'others'} missed")
        if self.not_seen:
            said.append(f"{len(self.not_seen)} not seen")
        return "; ".join(said) + "."


def stations_of(
    instruction: Instruction, route: Route | None = None, habits: Habits | None = None
) -> tuple[Station, ...]:
    """Where there is work to be observed, in its order."""
    return tuple(dict.fromkeys(one.station for one in plain_steps(route, instruction, habits)))


def criteria_of(
    instruction: Instruction,
    route: Route | None,
    station: Station,
    *,
    habits: Habits | None = None,
    policy: ObservingPolicy | None = None,
) -> tuple[Criterion, ...]:
    """What an observer watches for at one station, in the order of the work.

    Args:
        instruction: the approved text.
        route: how this department follows it; the text's own order without one.
        station: where.
        habits: language, units and names of whoever reads it.
        policy: what is critical; what comes with Sinkside unless told.

    >>> from sinkside.instruction import Device, Step
    >>> step = Step(id="s1", stage="cleaning", action="soak", on=("jaw",))
    >>> text = Instruction(device=Device(name="Forceps"), steps=(step,))
    >>> [one.words for one in criteria_of(text, None, Station.sink)][-1]
    'Soak the jaw, fully under'
    """
    known = policy or observing_policy()
    steps = [one for one in plain_steps(route, instruction, habits) if one.station is station]
    if not steps:
        return ()
    given = [
        *_of_the_station(steps[0], known),
        *(one for step in steps for one in _of_step(step, instruction)),
        *_of_pictures(steps, instruction),
    ]
    return tuple(_numbered(given, known))


@dataclass(frozen=True)
class _Given:
    """A criterion before it is numbered and weighed."""

    kind: CriterionKind
    step: PlainStep
    words: str
    details: tuple[str, ...] = ()
    has_steps: bool = True


def _of_the_station(first: PlainStep, policy: ObservingPolicy) -> Iterator[_Given]:
    wears = policy.protection.get(first.station)
    if wears:
        yield _Given(CriterionKind.protection, first, wears, has_steps=False)


def _of_step(step: PlainStep, instruction: Instruction) -> Iterator[_Given]:
    figures = tuple(f"{one.label} {one.text}".strip() for one in step.figures)
    details = (*step.lines, *figures, *step.cautions, *([step.quoted] if step.quoted else []))
    yield _Given(CriterionKind.act, step, step.headline, tuple(dict.fromkeys(details)))
    for held in step.positions:
        if not held.told:
            yield _Given(CriterionKind.position, step, _capital(held.words))
    if step.until:
        yield _Given(CriterionKind.until, step, _capital(step.until))
    if step.action in {Action.take_apart, Action.put_together} and len(_kept(instruction)) > 1:
        parts = _kept(instruction)
        words = f"Counts the parts: {len(parts)}, none missing and none broken"
        yield _Given(CriterionKind.parts, step, words, parts)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _kept(instruction: Instruction) -> tuple[str, ...]:
    """The parts that come back to be used again."""
    return tuple(part.name for part in instruction.device.parts if part.use is PartUse.reusable)


def _of_pictures(steps: list[PlainStep], instruction: Instruction) -> Iterator[_Given]:
    """Reading pictures of a channel's inside, where a device with a channel is inspected."""
    looked = [one for one in steps if one.action is Action.inspect]
    if looked and any(one.kind is FeatureKind.lumen for one in instruction.device.features):
        words = "Reads pictures of a channel's inside as they are"
        yield _Given(CriterionKind.pictures, looked[-1], words, has_steps=False)


def _numbered(given: Iterable[_Given], policy: ObservingPolicy) -> Iterator[Criterion]:
    """Criteria with their numbers; what is asked twice is told apart by its turn."""
    turns: Counter[str] = Counter()
    for one in given:
        asked = "\n".join([one.kind, one.step.station, one.words, *one.details])
        turns[asked] += 1
        digest = hashlib.sha256(f"{asked}\n{turns[asked]}".encode()).hexdigest()[:_ID_DIGITS]
        yield Criterion(
            id=digest,
            kind=one.kind,
            steps=one.step.steps if one.has_steps else (),
            stage=one.step.stage,
            station=one.step.station,
            words=one.words,
            details=one.details,
            critical=_critical(one, policy),
        )


def _critical(one: _Given, policy: ObservingPolicy) -> str:
    quantities = {FigureQuantity(figure.quantity) for figure in one.step.figures}
    for rule in policy.critical:
        if rule.fits(one.kind, one.step.stage, one.step.action, quantities):
            return rule.why
    return ""


def outcome_of(
    criteria: Iterable[Criterion],
    marks: Mapping[str, Mark],
    *,
    manner: Manner = Manner.at_work,
    policy: ObservingPolicy | None = None,
) -> Outcome:
    """How far what was seen may lead: a missed critical criterion is never independent work.

    What has no mark was not seen. An observer may give less than this, never more.
    """
    known = policy or observing_policy()
    given = tuple(criteria)
    by_mark: dict[Mark, list[Criterion]] = {mark: [] for mark in Mark}
    for one in given:
        by_mark[marks.get(one.id, Mark.not_seen)].append(one)
    missed, unseen = by_mark[Mark.missed], by_mark[Mark.not_seen]
    critical = tuple(one for one in missed if one.is_critical)
    others = tuple(one for one in missed if not one.is_critical)
    seen = _Seen(len(given), len(by_mark[Mark.done]), critical, others, tuple(unseen))
    reached, reasons = seen.reached(known.outcome)
    most = known.manners[manner]
    if _LEVELS.index(reached) > _LEVELS.index(most.highest):
        reached = most.highest
        reasons = (*reasons, f"{most.name}: leads to {most.highest} work at most.")
    return Outcome(reached, critical, others, tuple(unseen), seen.done, seen.all, reasons)


def may_be_given(outcome: Outcome) -> tuple[Level, ...]:
    """The levels that an observer may choose from, the highest last."""
    return _LEVELS[: _LEVELS.index(outcome.highest) + 1]


@dataclass(frozen=True)
class _Seen:
    all: int
    done: int
    critical: tuple[Criterion, ...]
    others: tuple[Criterion, ...]
    unseen: tuple[Criterion, ...]

    def reached(self, rule: OutcomeRule) -> tuple[Level, tuple[str, ...]]:
        """The level, and why it is no more."""
        if reasons := tuple(self._not_yet(rule)):
            return Level.not_yet, reasons
        if reasons := tuple(self._not_alone(rule)):
            return Level.supervised, reasons
        return Level.independent, ()

    def _not_yet(self, rule: OutcomeRule) -> Iterator[str]:
        if len(self.critical) >= rule.not_yet_from_critical_missed:
            yield f"{len(self.critical)} critical points were missed: teach them again first."
        if self.done < rule.seen_for_supervised * self.all or not self.done:
            yield f"Only {self.done} of {self.all} points were seen done."

    def _not_alone(self, rule: OutcomeRule) -> Iterator[str]:
        for one in self.critical:
            yield f"A critical point was missed: {one.words}."
        for one in self.unseen:
            if one.is_critical:
                yield f"A critical point was not seen: {one.words}."
        if len(self.others) > rule.others_missed:
            yield f"{len(self.others)} other points were missed."
        if self.done < rule.seen_for_independent * self.all:
            yield f"{self.done} of {self.all} points were seen done; for work alone it takes more."
