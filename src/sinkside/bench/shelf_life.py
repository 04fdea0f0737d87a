"""How long a sterilized pack keeps: until something happens to it, and until a day where policy sets one.

Shelf life hangs on what happens to a pack, not on the calendar (ANSI/AAMI ST79, storage; second-hand). A
department may set days besides, by kind of packaging, with a reason; days never mend a pack that something
happened to.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field, model_validator

from sinkside.department import BARRIERS, PackagingKind
from sinkside.documents import Value
from sinkside.findings import Finding, Level, Wording
from sinkside.sources import source

#: Ten years: what says more is a slip of the pen (common practice, no source).
MOST_DAYS: Final = 3660


class Mishap(StrEnum):
    """What can happen to a pack so that it no longer counts as sterile."""

    dropped = "dropped"
    wet = "wet"
    torn = "torn"
    seal_open = "seal-open"
    opened = "opened"
    unreadable = "unreadable"
    store_conditions = "store-conditions"


MISHAP_WORDS: Final[dict[Mishap, str]] = {
    Mishap.dropped: "it fell on the floor",
    Mishap.wet: "it is wet, or was",
    Mishap.torn: "it is torn, pierced or crushed",
    Mishap.seal_open: "a seal is open or broken",
    Mishap.opened: "it was opened",
    Mishap.unreadable: "its label cannot be read",
    Mishap.store_conditions: "the store was not as it must be",
}


class Keeps(Value):
    """How many days packs of one kind are kept here at most; none where only what happens ends it."""

    packaging: PackagingKind
    days: int | None = Field(default=None, ge=1, le=MOST_DAYS)
    reason: str = Field(min_length=1)
    by: str = ""
    at: AwareDatetime | None = None

    @model_validator(mode="after")
    def _is_a_barrier(self) -> Keeps:
        if self.packaging not in BARRIERS:
            known = ", ".join(sorted(BARRIERS))
            raise ValueError(f"a {self.packaging} keeps nothing sterile; expected one of {known}")
        return self


class StorePolicy(Value):
    """What a department settled for its store (`sinkside/store-policy-1`)."""

    format: Literal["sinkside/store-policy-1"] = "sinkside/store-policy-1"
    keeps: tuple[Keeps, ...] = ()

    def of(self, packaging: PackagingKind | None) -> Keeps | None:
        """What holds for a kind of packaging; none where no days were set."""
        return next((one for one in self.keeps if one.packaging == packaging), None)

    def replacing(self, own: Keeps) -> StorePolicy:
        """The policy with another word for one kind of packaging."""
        others = (one for one in self.keeps if one.packaging != own.packaging)
        return StorePolicy(keeps=tuple(sorted((*others, own), key=lambda one: one.packaging)))


@dataclass(frozen=True)
class ShelfLife:
    """Whether a pack still counts as sterile, until which day, and what speaks against it.

    `until` is none where only what happens to it ends it.
    """

    until: date | None
    findings: tuple[Finding, ...]

    @property
    def is_sound(self) -> bool:
        """Whether nothing ended it."""
        return not any(one.level is Level.stop for one in self.findings)


_STORAGE: Final = source("aami-st79", "storage")
_HAPPENED: Final = Wording(
    rule="pack-mishap",
    level=Level.stop,
    message="This pack no longer counts as sterile: {what}.",
    remedy="Process the whole set again, from cleaning where water or soil came in.",
    source=_STORAGE,
)
_OVER: Final = Wording(
    rule="pack-over",
    level=Level.stop,
    message="Packs of this kind are kept {days} days here; this one was to be used by {until}.",
    remedy="Open it and process it again.",
)
_SOON: Final = Wording(
    rule="pack-over-soon",
    level=Level.note,
    message="It is to be used by {until}, in {left} days.",
    remedy="Use it before those that keep longer.",
)

#: Told so many days before it is over (common practice, no source).
SOON_DAYS: Final = 14


def shelf_life(
    policy: StorePolicy,
    packaging: PackagingKind | None,
    *,
    sterilized: date,
    mishaps: Sequence[Mishap],
    today: date,
) -> ShelfLife:
    """Whether a pack still counts as sterile on a day.

    Args:
        policy: of the department.
        packaging: in what it is packed; none where nobody said it.
        sterilized: the day of its cycle.
        mishaps: what happened to it since.
        today: the day.

    Example:
        >>> wrapped = StorePolicy(keeps=(Keeps(packaging="wrap", days=30, reason="our store"),))
        >>> day = date(2026, 3, 1)
        >>> shelf_life(wrapped, "wrap", sterilized=day, mishaps=(), today=day).until
        datetime.date(2026, 3, 31)
    """
    rule = policy.of(packaging)
    until = sterilized + timedelta(days=rule.days) if rule and rule.days else None
    found = [_HAPPENED.finding(evidence={"what": MISHAP_WORDS[one]}) for one in _each_once(mishaps)]
    if until is not None and rule is not None and rule.days is not None:
        left = (until - today).days
        day = until.isoformat()
        if left < 0:
            found.append(_OVER.finding(evidence={"days": rule.days, "until": day}))
        elif left <= SOON_DAYS:
            found.append(_SOON.finding(evidence={"until": day, "left": left}))
    return ShelfLife(until, tuple(found))


def _each_once(mishaps: Iterable[Mishap]) -> list[Mishap]:
    return list(dict.fromkeys(mishaps))
