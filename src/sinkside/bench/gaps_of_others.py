"""Gaps of machines, people, lots and cases: what a policy asks for, and nothing that is kept shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Final

from sinkside.bench.history import Evidence, Line, LineKind, gap
from sinkside.department import Station

_SIGN_OFFS: Final = "the policy of sign-offs here"
_LOTS: Final = "a lot is used within its date"
_CONTROL: Final = "a biological indicator counts beside a control of its lot that grew"
_SOLUTIONS: Final = "a solution is discarded by when its maker or this department says"
_CASES: Final = "what goes to a case comes back with theatre's report"


@dataclass(frozen=True)
class CheckAsked:
    """A test that a machine needs: its name, after how many days it is due again, and who asks for it."""

    name: str
    days: int
    policy: str


@dataclass(frozen=True)
class DaysOf:
    """On which days a machine was used, when each first of them began, and on which a test of it passed."""

    used: dict[date, datetime]
    passed: frozenset[date]


def machine_gaps(machine: str, test: CheckAsked, days: DaysOf) -> tuple[Line, ...]:
    """The stretches in which a machine was used and a test had not passed within its interval.

    >>> from datetime import UTC
    >>> used = {date(2026, 3, day): datetime(2026, 3, day, 8, tzinfo=UTC) for day in (1, 2, 3)}
    >>> asked = CheckAsked("Leak test", 1, "this department")
    >>> [one.words for one in machine_gaps("s-1", asked, DaysOf(used, frozenset({date(2026, 3, 1)})))]
    ['Not recorded: leak test, passed: 2 days of use without it, from 2026-03-02 until 2026-03-03.']
    """
    within = timedelta(days=test.days)
    without = [
        day for day in sorted(days.used) if not any(day - within < done <= day for done in days.passed)
    ]
    return tuple(
        _without_test(machine, test, days, stretch) for stretch in _in_a_row(without, sorted(days.used))
    )


def _in_a_row(wanted: Sequence[date], of: Sequence[date]) -> Iterator[list[date]]:
    """Those of some days that follow each other among all of them, together."""
    turns = [(of.index(day), day) for day in wanted]
    for _, found in groupby(enumerate(turns), key=lambda one: one[1][0] - one[0]):
        yield [day for _, (_, day) in found]


def _without_test(machine: str, test: CheckAsked, days: DaysOf, stretch: Sequence[date]) -> Line:
    name = f"{test.name[:1].lower()}{test.name[1:]}"
    first, last = stretch[0].isoformat(), stretch[-1].isoformat()
    said = (
        f"on {first}"
        if first == last
        else f"{len(stretch)} days of use without it, from {first} until {last}"
    )
    return gap(
        f"{name}, passed: {said}" if first != last else f"{name}, passed, {said}, when it was used",
        since=days.used[stretch[0]],
        policy=test.policy,
        kind=LineKind.check,
        evidence=(Evidence("machine", machine),),
    )


@dataclass(frozen=True)
class Worked:
    """That somebody worked on a set at a station: when, what it was, and what no sign-off of theirs covered.

    `unsigned` are families of its devices for which they had none in force at that station and moment.
    """

    at: datetime
    station: str
    unsigned: tuple[str, ...]
    what: str
    run: str


def person_gaps(worked: Sequence[Worked]) -> tuple[Line, ...]:
    """Work that no sign-off carried at its moment; who stood beside is not kept, and that is said.

    One line a run, station and family, since the first of it.
    """
    found: dict[tuple[str, str, str], Line] = {}
    for one in sorted(worked, key=lambda work: work.at):
        for family in one.unsigned:
            found.setdefault((one.run, one.station, family), _unsigned(one, family))
    return tuple(found.values())


def _unsigned(one: Worked, family: str) -> Line:
    return gap(
        f"a sign-off for {family} at the {one.station} that held when {one.what} was worked on, "
        "or who stood beside",
        since=one.at,
        policy=_SIGN_OFFS,
        kind=LineKind.person,
        evidence=(Evidence("run", one.run),),
        station=Station(one.station),
    )


@dataclass(frozen=True)
class LotUse:
    """One use of a lot: when, what, where it is opened; whether its control grew (none: not kept)."""

    at: datetime
    what: str
    evidence: Evidence
    control_grew: bool | None = None
    waits: bool = False


@dataclass(frozen=True)
class LotKnown:
    """A lot: its words, the last day on which it may be used (none: not kept), whether it needs a control."""

    words: str
    last_day: date | None
    needs_control: bool
    uses: tuple[LotUse, ...]
    since: datetime
    evidence: Evidence


def lot_gaps(known: LotKnown, *, day_of: dict[datetime, date]) -> tuple[Line, ...]:
    """What is not recorded of a lot: its date, uses within it, and a control beside each result.

    Args:
        known: what is kept of it.
        day_of: the day of each use on the department's clocks, by its moment.
    """
    lines: list[Line] = []
    if known.last_day is None:
        words = f"until when {known.words} may be used"
        lines.append(
            gap(words, since=known.since, policy=_LOTS, kind=LineKind.supply, evidence=(known.evidence,))
        )
    for use in known.uses:
        if known.last_day is not None and day_of[use.at] > known.last_day:
            words = f"{use.what} with a lot within its date, which ended on {known.last_day.isoformat()}"
            lines.append(
                gap(words, since=use.at, policy=_LOTS, kind=LineKind.supply, evidence=(use.evidence,))
            )
        if known.needs_control and not use.waits and not use.control_grew:
            words = f"a control of this lot that grew, beside {use.what}"
            lines.append(
                gap(words, since=use.at, policy=_CONTROL, kind=LineKind.check, evidence=(use.evidence,))
            )
    return tuple(lines)


@dataclass(frozen=True)
class SolutionKnown:
    """A solution at the sink: by when it was to be discarded, and when it was; none while it was not."""

    words: str
    discard_by: datetime
    discarded: datetime | None
    evidence: Evidence


def solution_gaps(known: SolutionKnown, *, now: datetime) -> tuple[Line, ...]:
    """Whether a solution was discarded in time; what is in use within its time is no gap."""
    over = known.discarded or now
    if over <= known.discard_by:
        return ()
    words = f"that {known.words} was discarded in time"
    return (
        gap(
            words, since=known.discard_by, policy=_SOLUTIONS, kind=LineKind.supply, evidence=(known.evidence,)
        ),
    )


@dataclass(frozen=True)
class SetOfCase:
    """A set of a case: its name, how it stands there, which copy it got, by which run that was processed."""

    name: str
    state: str
    copy: str = ""
    run: str = ""


@dataclass(frozen=True)
class CaseKnown:
    """A case: its id and number, when it began, when it was over (none: nobody said so), and its sets."""

    case: str
    number: str
    begins: datetime
    ended: datetime | None
    is_cancelled: bool
    sets: tuple[SetOfCase, ...]


#: So long after its begin a case that nobody closed is asked after (common practice, no source).
_CLOSED_WITHIN: Final = timedelta(hours=24)


def case_gaps(known: CaseKnown, *, now: datetime) -> tuple[Line, ...]:
    """What is not recorded of a case: its end, a report on each set that it got, the run behind each."""
    if known.is_cancelled:
        return ()
    where = Evidence("case", known.case)
    lines: list[Line] = []
    if known.ended is None and now >= known.begins + _CLOSED_WITHIN:
        words = f"the end of case {known.number}"
        lines.append(gap(words, since=known.begins, policy=_CASES, kind=LineKind.case, evidence=(where,)))
    over = known.ended or (known.begins + _CLOSED_WITHIN)
    for one in known.sets if now >= over else ():
        lines.extend(_of_a_set(one, known, over, where))
    return tuple(lines)


def _of_a_set(one: SetOfCase, known: CaseKnown, over: datetime, where: Evidence) -> Iterator[Line]:
    near = (Evidence("set", one.copy), where) if one.copy else (where,)
    if one.state == "issued":
        words = f"theatre's report on {one.name}, or that it came back unused"
        yield gap(words, since=over, policy=_CASES, kind=LineKind.case, evidence=near)
    if one.state == "used" and not one.run:
        words = f"the run by which {one.name} had been processed before case {known.number}"
        yield gap(words, since=known.begins, policy=_CASES, kind=LineKind.case, evidence=near)
