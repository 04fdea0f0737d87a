"""Sign-offs: who may process which device family at which station, how far, until when; and what it takes.

What a sign-off needs and how long it holds is policy, kept as data; nothing here knows a day or a number of
its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Literal

from pydantic import AwareDatetime, Field, model_validator

from sinkside.department import Department, Station
from sinkside.documents import Value
from sinkside.instruction import Instruction


class Level(StrEnum):
    """How far somebody may work."""

    not_yet = "not-yet"
    supervised = "supervised"
    independent = "independent"


class Occasion(StrEnum):
    """Why a sign-off is given anew."""

    on_hire = "on-hire"
    yearly = "yearly"
    new_device = "new-device"
    changed_step = "changed-step"
    after_an_error = "after-an-error"


class State(StrEnum):
    """How a sign-off stands at a moment; in this order it is seen to."""

    open_again = "open-again"
    ended = "ended"
    not_yet = "not-yet"
    supervised = "supervised"
    ending = "ending"
    holds = "holds"


@dataclass(frozen=True)
class SignOff:
    """What somebody may do: one person, one device family, one station.

    Attributes:
        who: the person's pseudonym.
        family: the device family, or the instruction where a device is of none.
        station: where.
        level: how far.
        given: when.
        until: when it ends; none where it does not.
        evidence: what shows it, one sentence or reference each.
        by: who signed it.
        occasion: why it was given.
        why: what the signer added.
        reopened: since when it is open again; it then carries no work alone.
        changes: what opened it again, in sentences: drying 15 → 30 min.
        cause: what opened it again: the instruction with its revision, or an error.
    """

    who: str
    family: str
    station: Station
    level: Level
    given: datetime
    until: datetime | None = None
    evidence: tuple[str, ...] = ()
    by: str = ""
    occasion: Occasion = Occasion.on_hire
    why: str = ""
    reopened: datetime | None = None
    changes: tuple[str, ...] = ()
    cause: str = ""

    def state(self, now: datetime, *, ahead: timedelta = timedelta(0)) -> State:
        """How it stands at a moment; what ends within the time ahead is ending.

        >>> from datetime import UTC
        >>> may, june = datetime(2026, 5, 1, tzinfo=UTC), datetime(2026, 6, 1, tzinfo=UTC)
        >>> one = SignOff("p", "hooks", Station.sink, Level.independent, may, until=june)
        >>> one.state(may).value, one.state(may, ahead=timedelta(weeks=6)).value, one.state(june).value
        ('holds', 'ending', 'ended')
        """
        if self.reopened is not None:
            return State.open_again
        if self.level is not Level.independent:
            return State(self.level.value)
        if self.until is None or self.until > now + ahead:
            return State.holds
        return State.ended if self.until <= now else State.ending

    def allows_alone(self, now: datetime) -> bool:
        """Whether its person may work alone at a moment."""
        return self.state(now) is State.holds


class Asked(Value):
    """What a sign-off for independent work needs on one occasion, and how long it then holds.

    Attributes:
        name: the occasion in words.
        lesson: which lesson is to be gone through: all of it, what differs, or none.
        questions: how many of a hundred answers must be right; 0 asks for no questions.
        observations: how often somebody must have watched it done.
        days: after how many days it ends.
        how_read: how these were come by.
    """

    name: str
    lesson: Literal["whole", "difference", "none"]
    questions: int = Field(ge=0, le=100)
    observations: int = Field(ge=0, le=20)
    days: int = Field(ge=1, le=3660)
    how_read: str = "common-practice"


class Watching(Value):
    """Who may watch, or sign: whoever has one of these roles, and perhaps whoever works alone there already.

    Nobody does either for their own work, whatever is written here.
    """

    roles: tuple[str, ...]
    independent: bool = False


class SignOffPolicy(Value):
    """What each occasion asks for, who may watch and sign, and how far ahead gaps are told."""

    occasions: dict[Occasion, Asked]
    observe: Watching
    sign: Watching
    ahead_weeks: int = Field(ge=0, le=52)
    agency_days: int = Field(ge=1, le=3660)

    @model_validator(mode="after")
    def _every_occasion_is_there(self) -> SignOffPolicy:
        if missing := [one.value for one in Occasion if one not in self.occasions]:
            raise ValueError(f"these occasions are not described: {', '.join(missing)}")
        return self

    @property
    def ahead(self) -> timedelta:
        """How far ahead gaps are told."""
        return timedelta(weeks=self.ahead_weeks)

    def asked(self, occasion: Occasion) -> Asked:
        """What an occasion asks for."""
        return self.occasions[occasion]

    def until(self, occasion: Occasion, given: datetime, *, leaves: datetime | None = None) -> datetime:
        """When a sign-off ends that is given now; for agency staff never after they leave.

        Args:
            occasion: why it is given.
            given: when.
            leaves: when somebody's time here ends, for agency staff.
        """
        asked = timedelta(days=self.occasions[occasion].days)
        if leaves is None:
            return given + asked
        return min(given + asked, given + timedelta(days=self.agency_days), leaves)


class OccasionOverride(Value):
    """What a department put in the place of the policy for one occasion, who did, when and why."""

    occasion: Occasion
    questions: int = Field(ge=0, le=100)
    observations: int = Field(ge=0, le=20)
    days: int = Field(ge=1, le=3660)
    reason: str
    by: str
    at: AwareDatetime


class SignOffsHere(Value):
    """Everything that a department put in the place of the policy (`sinkside/sign-offs-1`)."""

    format: Literal["sinkside/sign-offs-1"] = "sinkside/sign-offs-1"
    overrides: tuple[OccasionOverride, ...] = ()

    def of(self, occasion: Occasion) -> OccasionOverride | None:
        """What holds here for an occasion; none where the policy stands."""
        return next((one for one in self.overrides if one.occasion is occasion), None)

    def over(self, policy: SignOffPolicy) -> SignOffPolicy:
        """The policy with what the department put in its place."""
        own = {
            one.occasion: policy.asked(one.occasion).model_copy(
                update={"questions": one.questions, "observations": one.observations, "days": one.days}
            )
            for one in self.overrides
        }
        return policy.model_copy(update={"occasions": {**policy.occasions, **own}})


def may_watch(
    watching: Watching, *, who: str, trainee: str, roles: Collection[str], works_alone: bool
) -> bool:
    """Whether somebody may watch a trainee, or sign for one: never for their own work.

    >>> either = Watching(roles=("educator",), independent=True)
    >>> may_watch(either, who="a", trainee="b", roles=["technician"], works_alone=True)
    True
    >>> may_watch(either, who="a", trainee="a", roles=["educator"], works_alone=True)
    False
    """
    if who == trainee:
        return False
    return bool(set(roles) & set(watching.roles)) or (watching.independent and works_alone)


def families_of(department: Department | None, instruction: Instruction, own: str) -> tuple[str, ...]:
    """The device families that an instruction's device belongs to; the device alone where it is of none.

    Args:
        department: where; none has no families.
        instruction: whose device.
        own: the instruction's id, which then stands for a family of one.

    >>> from sinkside.instruction import Device
    >>> families_of(None, Instruction(device=Device(name="Hook")), "a1")
    ('a1',)
    """
    features = frozenset(feature.kind for feature in instruction.device.features)
    known = department.families if department else ()
    found = tuple(one.id for one in known if one.has(features, instruction.device.name))
    return found or (own,)


def in_order_of_need(sign_offs: Iterable[SignOff], now: datetime, *, ahead: timedelta) -> tuple[SignOff, ...]:
    """Sign-offs as they are to be seen to: open again, ended, not yet, supervised, ending, the rest."""
    ranks = {state: at for at, state in enumerate(State)}
    return tuple(
        sorted(
            sign_offs,
            key=lambda one: (
                ranks[one.state(now, ahead=ahead)],
                one.reopened or one.until or one.given,
                one.who,
                one.family,
                list(Station).index(one.station),
            ),
        )
    )
