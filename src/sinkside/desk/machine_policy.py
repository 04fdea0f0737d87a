"""Checks as policy: which a thing needs, how often, and what passes; a department may replace any of it."""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from typing import Literal

from pydantic import AwareDatetime, Field, model_validator

from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.language import bounds_text
from sinkside.limits import Limit, Profile, published
from sinkside.sources import WAYS_OF_READING, Source

#: A reading this close to a bound is on it: binary floats cannot hold most decimals.
_SAME = 1e-9

_OFTEN = {7: "each week", 30: "each month", 91: "each quarter", 365: "each year"}


class Question(Value):
    """One thing that a check asks: a number with its unit, yes or no, or one of some."""

    id: str
    words: str
    kind: Literal["yes-no", "number", "choice"] = "yes-no"
    unit: str = ""
    limits: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    required: bool = True
    of: tuple[str, ...] = ()
    from_record: str = ""


class Check(Value):
    """One kind of check: for which kinds of thing, how it is done, how often, and what follows when it fails.

    Attributes:
        name: what it is called.
        how: how it is done, in a sentence.
        of: the kinds of thing that need it.
        often: published figures that say how often.
        days: after how many days it is due again.
        each_day_of_use: whether it is overdue only once the machine was used without it.
        profiles: the profiles in which it is asked for; all of them unless told.
        asked: `for-return` where it is asked for only before a thing goes back into use.
        how_read: how its frequency was come by, where nobody published one.
        failed: whether a failed one takes the thing out of use, or is only told.
        loads: whether a failed one asks what ran since the last good one.
        record: whether a machine's record `may` or `must` stand behind it, or an `indicator` does.
        programs: kinds of program whose judged record may stand behind it.
        questions: what it asks.
    """

    name: str
    how: str
    of: tuple[str, ...]
    often: tuple[str, ...] = ()
    days: int = Field(default=1, ge=1, le=3660)
    each_day_of_use: bool = False
    profiles: tuple[str, ...] = ()
    asked: Literal["by-day", "for-return"] = "by-day"
    how_read: str = "memory"
    failed: Literal["out-of-use", "told"]
    loads: bool
    record: Literal["may", "must", "indicator"] = "may"
    programs: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()


class TestsAsked(Value):
    """A check that must pass several times in a row, and the published figure that says how often."""

    check: str
    count: str


class Return(Value):
    """What a thing must show before it goes back into use, and after which causes."""

    after: tuple[str, ...]
    tests: tuple[TestsAsked, ...]


class ChecksPolicy(Value):
    """Every check by its id, and the way back into use."""

    checks: dict[str, Check]
    way_back: Return = Field(alias="return")

    @model_validator(mode="after")
    def _names_exist(self) -> ChecksPolicy:
        figures = [name for check in self.checks.values() for name in check.often]
        figures += [name for one in self.checks.values() for ask in one.questions for name in ask.limits]
        for name in [*figures, *(test.count for test in self.way_back.tests)]:
            published(name)
        unknown = {test.check for test in self.way_back.tests} - set(self.checks)
        if unknown:
            raise ValueError(f"these checks are not described: {', '.join(sorted(unknown))}")
        return self


class BoundsGiven(Value):
    """What passes here: a question's own lowest and highest value."""

    question: str
    low: float | None = None
    high: float | None = None


class CheckOverride(Value):
    """What a department put in the place of the policy for one check, who did, when and why."""

    check: str
    needed: bool
    days: int = Field(ge=1, le=3660)
    bounds: tuple[BoundsGiven, ...] = ()
    reason: str
    by: str
    at: AwareDatetime


class ChecksHere(Value):
    """Everything that a department put in the place of the policy (`sinkside/checks-1`)."""

    format: Literal["sinkside/checks-1"] = "sinkside/checks-1"
    overrides: tuple[CheckOverride, ...] = ()

    def of(self, check: str) -> CheckOverride | None:
        """What holds here for a check; none where the policy stands."""
        return next((one for one in self.overrides if one.check == check), None)


@dataclass(frozen=True)
class Bound:
    """What passes: from `low` to `high` in a unit, open where infinite; and who says so."""

    low: float
    high: float
    unit: str
    strict: bool = False
    source: str = ""

    def met_by(self, value: float) -> bool:
        """Whether a value passes; one on the end passes unless the end is left out.

        >>> Bound(-math.inf, 1.3, "mbar/min").met_by(1.3)
        True
        >>> Bound(-math.inf, 10, "µS/cm", strict=True).met_by(10)
        False
        """
        if any(math.isclose(value, end, rel_tol=_SAME) for end in (self.low, self.high)):
            return not self.strict
        return self.low <= value <= self.high

    @property
    def text(self) -> str:
        """The bound as people read it."""
        if math.isinf(self.low) and math.isinf(self.high):
            return ""
        return bounds_text(self.low, self.high, self.unit, strict=self.strict)


@dataclass(frozen=True)
class Asked:
    """A question as it is asked of one thing, with what passes here; none where nothing is asked of it."""

    question: Question
    bound: Bound | None


@dataclass(frozen=True)
class Needed:
    """A check as one thing needs it here: how often, by whose word, what is asked, and what was replaced."""

    id: str
    check: Check
    days: int
    source: str
    asked: tuple[Asked, ...]
    override: CheckOverride | None = None

    @property
    def often(self) -> str:
        """How often, in words.

        >>> seal = policy().checks["seal"]
        >>> [Needed("seal", seal, days, "", ()).often for days in (1, 7, 30, 91, 10)]
        ['each day of use', 'each week', 'each month', 'each quarter', 'every 10 days']
        """
        if self.days == 1:
            return "each day of use" if self.check.each_day_of_use else "each day"
        return _OFTEN.get(self.days, f"every {self.days} days")


@functools.cache
def policy() -> ChecksPolicy:
    """The policy that comes with the program."""
    file = resources.files("sinkside.desk").joinpath("policies", "checks.toml")
    return ChecksPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def needed_by(kinds: Iterable[str], here: ChecksHere, profile: Profile) -> tuple[Needed, ...]:
    """Every check that a thing of some kinds needs in a department, those for the way back included."""
    of_thing = frozenset(kinds)
    return tuple(
        needed(check_id, of_thing, here, profile)
        for check_id, check in policy().checks.items()
        if of_thing & set(check.of) and _is_asked(check_id, check, here, profile)
    )


def needed(check_id: str, kinds: frozenset[str], here: ChecksHere, profile: Profile) -> Needed:
    """A check as a thing of some kinds needs it.

    Raises:
        BadInput: if there is no such check.
    """
    known = policy().checks
    if check_id not in known:
        raise BadInput(
            f"there is no check '{check_id}'; expected one of {', '.join(known)}", resource="check"
        )
    check, override = known[check_id], here.of(check_id)
    asked = tuple(
        Asked(question, _bound(question, override, profile))
        for question in check.questions
        if not question.of or kinds & set(question.of)
    )
    days = override.days if override else check.days
    return Needed(check_id, check, days, _frequency_source(check, override, profile), asked, override)


def times_in_a_row(test: TestsAsked) -> int:
    """How often a test must pass in a row, by the published figure."""
    return int(published(test.count).value[0])


def source_words(source: Source, jurisdiction: str) -> str:
    """Who says so, where it holds, and how we came by it.

    >>> source_words(published("check-eyewash-frequency").source, "us")
    'ANSI/ISEA Z358.1 Emergency eyewash and shower equipment, 2014 (US; from memory, to be checked)'
    """
    where = "" if jurisdiction == "international" else f"{jurisdiction.upper()}; "
    return f"{source} ({where}{source.how_read_phrase})"


def _is_asked(check_id: str, check: Check, here: ChecksHere, profile: Profile) -> bool:
    override = here.of(check_id)
    if override is not None:
        return override.needed
    return not check.profiles or profile.name in check.profiles


def _in_force(figures: Sequence[str], profile: Profile) -> Limit | None:
    """The first figure that holds in the profile, else the first of all, whose source then says where."""
    known = [published(name) for name in figures]
    here = next((one for one in known if one.jurisdiction in profile.jurisdictions), None)
    chosen = here or next(iter(known), None)
    own = next((one for one in profile.overrides if chosen and one.id == chosen.id), None)
    return replace(chosen, value=own.value, override=own) if chosen and own else chosen


def _frequency_source(check: Check, override: CheckOverride | None, profile: Profile) -> str:
    if override is not None:
        return f"this department: {override.reason}"
    figure = _in_force(check.often, profile)
    if figure is None:
        return WAYS_OF_READING[check.how_read]
    return source_words(figure.source, figure.jurisdiction)


def _bound(question: Question, override: CheckOverride | None, profile: Profile) -> Bound | None:
    if question.kind != "number":
        return None
    given = next((one for one in override.bounds if one.question == question.id), None) if override else None
    if given is not None and override is not None:
        low = -math.inf if given.low is None else given.low
        high = math.inf if given.high is None else given.high
        return Bound(low, high, question.unit, source=f"this department: {override.reason}")
    figure = _in_force(question.limits, profile)
    if figure is None:
        return None
    low, high = figure.ends()
    return Bound(low, high, question.unit, figure.strict, _bound_source(figure))


def _bound_source(figure: Limit) -> str:
    if figure.override:
        return f"this department: {figure.override.reason}"
    return source_words(figure.source, figure.jurisdiction)
