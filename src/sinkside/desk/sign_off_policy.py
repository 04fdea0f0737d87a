"""The policy of sign-offs as it holds in a department: what comes with the program, and what was replaced."""

from __future__ import annotations

import functools
import tomllib
from datetime import datetime
from importlib import resources
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput
from sinkside.teach.sign_offs import Occasion, OccasionOverride, SignOffPolicy, SignOffsHere

OWN: Final = "sign-offs"
READ: Final = "sign-off-read"
GIVE: Final = "sign-off-give"
EDIT: Final = "roster-edit"


@functools.cache
def policy() -> SignOffPolicy:
    """The policy that comes with the program.

    >>> policy().ahead.days
    42
    """
    file = resources.files("sinkside.desk").joinpath("policies", "sign_offs.toml")
    return SignOffPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def own_in(unit: Unit, department: str) -> SignOffsHere:
    """What a department put in the place of the policy."""
    return read_kept(unit, OWN, department, SignOffsHere) or SignOffsHere()


def policy_in(unit: Unit, department: str) -> SignOffPolicy:
    """The policy as it holds in a department."""
    return own_in(unit, department).over(policy())


def policy_here(archive: Archive, who: Visitor) -> tuple[SignOffPolicy, SignOffsHere]:
    """The policy as it holds here, and what of it the department put there.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        own = own_in(unit, who.department)
        return own.over(policy()), own


def replace_occasion(
    archive: Archive,
    who: Visitor,
    occasion: str,
    *,
    questions: int,
    observations: int,
    days: int,
    reason: str,
    now: datetime,
) -> None:
    """Put the department's own in the place of the policy for one occasion, with a reason.

    Raises:
        NotAllowed: without the right.
        BadInput: if there is no such occasion, no reason, or a figure does not fit.
    """
    require(who, EDIT)
    if occasion not in list(Occasion):
        raise BadInput(f"there is no occasion '{occasion}'", resource="occasion")
    own = OccasionOverride(
        occasion=Occasion(occasion),
        questions=questions,
        observations=observations,
        days=days,
        reason=reason_of(reason),
        by=who.person,
        at=now,
    )
    with archive.unit() as unit:
        before = own_in(unit, who.department).overrides
        after = SignOffsHere(overrides=(*(one for one in before if one.occasion is not own.occasion), own))
        kept = keep_next(unit, OWN, who.department, after, by=who.person, now=now)
        data = {"occasion": occasion, "days": days, "digest": kept.digest}
        record(unit, who, "sign-off-policy-changed", f"department:{who.department}", now=now, data=data)
