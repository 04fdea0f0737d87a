"""What is kept of an observation: what was to be seen, what was, and who signed it. No name stands in it."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value
from sinkside.instruction import Stage
from sinkside.route import Station
from sinkside.teach.borescope import Reading, Shows, pictures, read
from sinkside.teach.observing import Criterion, Mark, Outcome, outcome_of
from sinkside.teach.observing_policy import CriterionKind, Manner
from sinkside.teach.sign_offs import Level

#: How an observation stands: being watched, waiting for the trainee's signature, signed, struck out.
State = Literal["open", "judged", "signed", "struck"]


class Seen(Value):
    """A criterion as it was asked for, what the observer saw of it, and a note."""

    id: str
    kind: CriterionKind
    steps: tuple[str, ...] = ()
    stage: Stage
    words: str
    details: tuple[str, ...] = ()
    critical: str = ""
    mark: Mark = Mark.not_seen
    looked: bool = False
    note: str = ""

    @classmethod
    def of(cls, criterion: Criterion) -> Seen:
        """A criterion that nobody looked at yet."""
        return cls(
            id=criterion.id,
            kind=criterion.kind,
            steps=criterion.steps,
            stage=criterion.stage,
            words=criterion.words,
            details=criterion.details,
            critical=criterion.critical,
        )


class PicturesRead(Value):
    """Which pictures a trainee read, by the seed that draws them, and what they said of each."""

    seed: int
    said: dict[str, Shows] = Field(default={})

    @property
    def reading(self) -> Reading:
        """What was said, held against what the pictures show."""
        return read(pictures(self.seed), self.said)


class Signature(Value):
    """Who signed, when, and by which sign: an open session, a PIN or a badge."""

    person: str
    at: AwareDatetime
    how: Literal["session", "pin", "badge"]


class Observation(Value):
    """One person watched at one station with one device (`sinkside/observation-1`).

    Attributes:
        instruction: the id of the instruction.
        revision: its approved revision.
        digest: that revision's digest.
        device: what the device is called.
        families: the device families that it stands for.
        station: where.
        manner: at work, or shown back.
        trainee: the pseudonym of who is watched.
        observer: of who watches.
        begun: when.
        seen: the criteria with what was seen.
        pictures: the pictures read; none where there are none to be read, or nobody read them yet.
        level: how far the observer lets them work; none before they judged.
        note: what the observer adds.
        observer_signed: the observer's signature.
        trainee_signed: the trainee's.
        struck: why it was struck out; empty where it was not.
    """

    format: Literal["sinkside/observation-1"] = "sinkside/observation-1"
    instruction: str
    revision: int
    digest: str
    device: str
    families: tuple[str, ...]
    station: Station
    manner: Manner
    trainee: str
    observer: str
    begun: AwareDatetime
    seen: tuple[Seen, ...]
    pictures: PicturesRead | None = None
    level: Level | None = None
    note: str = ""
    observer_signed: Signature | None = None
    trainee_signed: Signature | None = None
    struck: str = ""

    @property
    def state(self) -> State:
        """How it stands."""
        if self.struck:
            return "struck"
        if self.observer_signed is None:
            return "open"
        return "signed" if self.trainee_signed else "judged"

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """What was to be seen."""
        return tuple(
            Criterion(
                id=one.id,
                kind=one.kind,
                steps=one.steps,
                stage=one.stage,
                station=self.station,
                words=one.words,
                details=one.details,
                critical=one.critical,
            )
            for one in self.seen
        )

    @property
    def outcome(self) -> Outcome:
        """How far what was seen may lead."""
        return outcome_of(self.criteria, {one.id: one.mark for one in self.seen}, manner=self.manner)

    def criterion(self, criterion: str) -> Seen | None:
        """What was seen of one criterion; none if it has no such."""
        return next((one for one in self.seen if one.id == criterion), None)

    def with_seen(self, changed: Seen) -> Observation:
        """The same with another mark or note."""
        seen = tuple(changed if one.id == changed.id else one for one in self.seen)
        return self.model_copy(update={"seen": seen})
