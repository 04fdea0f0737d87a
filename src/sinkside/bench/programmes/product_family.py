"""A product family: sets so alike that the hardest is tested for all; and what makes that due again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.programmes.words import LONGEST, Words
from sinkside.documents import Value

#: A scale tells no less; a set is no heavier for it.
_SAME_KG = 0.01


class SetFacts(Value):
    """What of a set decides how hard it is to sterilize and dry: packaging, and what it weighs at least."""

    key: str
    name: str
    packaging: str = ""
    kg: float | None = None


class ProductTest(Value):
    """One product test of the set that stands for a family: where, what was found, what the sets were then.

    Attributes:
        machine: the sterilizer.
        machine_name: as it was called then.
        biological: what the indicators inside the pack showed.
        chemical: what the strips inside showed.
        dry: whether pack and contents were dry.
        intact: whether the packaging was whole.
        note: anything else.
        passed: whether all of that was as it should be.
        sets: the family's sets as they were then.
        by: who tested.
        at: when.
        day: on which day, where the department is.
    """

    __test__ = False

    machine: str
    machine_name: str
    biological: Literal["negative", "positive", "not-read"]
    chemical: Literal["passed", "failed"]
    dry: bool
    intact: bool
    note: Words = ""
    passed: bool
    sets: tuple[SetFacts, ...]
    by: str
    at: AwareDatetime
    day: date


class ProductFamily(Value):
    """A product family (`sinkside/product-family-1`).

    Attributes:
        name: what it is called.
        stands: the key of the set that is tested for all.
        why: why that one is the hardest to sterilize and dry.
        sets: the keys of all its sets, that one included.
        machines: the sterilizers that they go through, by id.
        period_days: after how many days a test is due again.
        since: from which day on.
        tests: what was tested, the oldest first.
    """

    format: Literal["sinkside/product-family-1"] = "sinkside/product-family-1"
    name: str = Field(min_length=1, max_length=LONGEST)
    stands: str
    why: str = Field(min_length=1, max_length=LONGEST)
    sets: tuple[str, ...] = Field(min_length=1)
    machines: tuple[str, ...] = Field(min_length=1)
    period_days: int = Field(ge=1, le=3660)
    since: date
    tests: tuple[ProductTest, ...] = ()

    def last(self, machine: str) -> ProductTest | None:
        """The last test in a sterilizer that passed and that no failed one follows."""
        found = [one for one in self.tests if one.machine == machine]
        return found[-1] if found and found[-1].passed else None


@dataclass(frozen=True)
class WorkDone:
    """That a sterilizer was installed, moved or repaired: which, why in words, when, on which day."""

    machine: str
    words: str
    at: datetime
    day: date


@dataclass(frozen=True)
class FamilyDue:
    """When a family is due in one sterilizer, the last test that passed there, and what re-opened it."""

    machine: str
    day: date
    last: ProductTest | None
    reasons: tuple[str, ...]


def due_in(
    family: ProductFamily,
    machine: str,
    now: Mapping[str, SetFacts],
    *,
    work: Sequence[WorkDone],
    today: date,
) -> FamilyDue:
    """When a family is due again in one sterilizer: by its period, or at once if something changed.

    Args:
        family: which.
        machine: in which sterilizer.
        now: the family's sets as they are now, by key; one that is out of use is not among them.
        work: what was done to sterilizers.
        today: the day on which a change is seen that has no day of its own.
    """
    last = family.last(machine)
    if last is None:
        tested = [one for one in family.tests if one.machine == machine]
        failed: tuple[str, ...] = ("the last test did not pass",) if tested else ()
        return FamilyDue(machine, tested[-1].day if tested else family.since, None, failed)
    done = [one for one in work if one.machine == machine and one.at > last.at]
    reasons: tuple[str, ...] = (*(one.words for one in done), *_changed(family, last, now))
    day = last.day + timedelta(days=family.period_days)
    if reasons:
        day = min(day, *(one.day for one in done), today)
    return FamilyDue(machine, day, last, reasons)


def _changed(family: ProductFamily, last: ProductTest, now: Mapping[str, SetFacts]) -> Iterator[str]:
    """What of the sets is not as it was when the test passed."""
    then = {one.key: one for one in last.sets}
    heaviest = max((one.kg for one in last.sets if one.kg is not None), default=None)
    for key in family.sets:
        new, old = now.get(key), then.get(key)
        if new is None:
            continue
        if old is None:
            yield f"{new.name} joined the family since"
        elif new.packaging != old.packaging:
            yield f"{new.name}: packaging {old.packaging or 'unsaid'} before, {new.packaging or 'unsaid'} now"
        if heaviest is not None and new.kg is not None and new.kg > heaviest + _SAME_KG:
            yield f"{new.name}: {new.kg:.1f} kg, heavier than any set of it when tested ({heaviest:.1f} kg)"
