"""A department's own checks: what it puts in the place of the policy, with a reason that is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next
from sinkside.desk.machine_policy import BoundsGiven, Check, CheckOverride, ChecksHere, Needed, needed, policy
from sinkside.desk.machine_standing import CHECKS, checks_here
from sinkside.desk.machine_things import Thing, profile_of, things_of
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput

_LONGEST_DAYS = 3660


@dataclass(frozen=True)
class CheckHere:
    """One check as it holds here: whether it is asked for, how, and of which things."""

    id: str
    check: Check
    needed: Needed
    is_asked: bool
    things: tuple[Thing, ...]


def own_checks(archive: Archive, who: Visitor) -> tuple[CheckHere, ...]:
    """Every check that something here could need, and how it holds here.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "machine-read")
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        if site is None:
            return ()
        here, profile, things = checks_here(unit, who.department), profile_of(site), things_of(site)
        found = []
        for check_id, check in policy().checks.items():
            concerned = tuple(thing for thing in things if thing.kinds & set(check.of))
            kinds = frozenset(kind for thing in concerned for kind in thing.kinds)
            override = here.of(check_id)
            asked = override.needed if override else not check.profiles or profile.name in check.profiles
            if concerned:
                known = needed(check_id, kinds, here, profile)
                found.append(CheckHere(check_id, check, known, asked, concerned))
        return tuple(found)


def replace_check(
    archive: Archive,
    who: Visitor,
    check: str,
    *,
    is_needed: bool,
    days: int,
    bounds: Mapping[str, tuple[float | None, float | None]],
    reason: str,
    now: datetime,
) -> CheckOverride:
    """Put the department's own frequency and bounds in the place of the policy's for one check.

    Args:
        archive: where it is kept.
        who: who says so.
        check: which check.
        is_needed: whether it is asked for here at all.
        days: after how many days it is due again.
        bounds: lowest and highest value that pass, by question; none where that end is open.
        reason: why.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        BadInput: if there is no such check or question, no reason, or the figures do not fit.
    """
    require(who, "department-edit")
    words = reason_of(reason)
    known = policy().checks.get(check)
    if known is None:
        raise BadInput(f"there is no check '{check}'", resource="check")
    if not 1 <= days <= _LONGEST_DAYS:
        raise BadInput(f"expected 1 to {_LONGEST_DAYS} days", resource="days")
    asked = {question.id for question in known.questions if question.kind == "number"}
    for question, (low, high) in bounds.items():
        if question not in asked:
            raise BadInput(f"this check asks for no number '{question}'", resource="bounds")
        if low is not None and high is not None and low > high:
            raise BadInput(f"{low:g} to {high:g} is no range", resource="bounds")
    given = tuple(BoundsGiven(question=name, low=low, high=high) for name, (low, high) in bounds.items())
    own = CheckOverride(
        check=check, needed=is_needed, days=days, bounds=given, reason=words, by=who.person, at=now
    )
    with archive.unit() as unit:
        before = checks_here(unit, who.department).overrides
        after = ChecksHere(overrides=(*(one for one in before if one.check != check), own))
        kept = keep_next(unit, CHECKS, who.department, after, by=who.person, now=now)
        data = {"check": check, "needed": is_needed, "days": days, "digest": kept.digest}
        record(unit, who, "checks-changed", f"department:{who.department}", now=now, data=data)
    return own
