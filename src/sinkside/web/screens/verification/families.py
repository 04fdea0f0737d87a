"""Product families: which set stands for which, where it is due, what re-opened it, and what was tested."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.bench.programmes.product_family import FamilyDue, ProductTest
from sinkside.desk.people import names_of
from sinkside.desk.programmes import families
from sinkside.desk.programmes.families import SeenFamily
from sinkside.desk.programmes.kept import today_of
from sinkside.desk.programmes.policy import PLAN, READ, RECORD, policy
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.verification.place import PLACE, screen, when

LIST: Final = f"{PLACE}/families"
ONE: Final = f"{LIST}/{{product_family}}"
_LONGEST: Final = 2000


@dataclass(frozen=True)
class FamiliesPage:
    """Every product family, and the form by which one is made."""

    title: str
    address: str
    back: str
    families: tuple[Option, ...]
    may_plan: bool
    sets: tuple[Option, ...]
    machines: tuple[Option, ...]
    period_days: int


@dataclass(frozen=True)
class DueShown:
    """When a family is due in one sterilizer: its name, when, whether that is over, why, last test there."""

    machine: str
    due: str
    is_late: bool
    reasons: tuple[str, ...]
    last: str


@dataclass(frozen=True)
class SetShown:
    """A set of the family: its page, name, packaging, mass; whether it stands for all, or is too heavy."""

    address: str
    name: str
    packaging: str
    mass: str
    stands: bool
    heavy: bool


@dataclass(frozen=True)
class ProductTestShown:
    """A product test: when, where, whether it passed, what was not as it should be, by whom."""

    at: str
    machine: str
    passed: bool
    said: str
    by: str


@dataclass(frozen=True)
class FamilyPage:
    """One product family: where it is due first, its sets, the form of a test, what was tested."""

    title: str
    address: str
    back: str
    why: str
    period_days: int
    dues: tuple[DueShown, ...]
    sets: tuple[SetShown, ...]
    limit: str
    tests: tuple[ProductTestShown, ...]
    machines: tuple[Option, ...]
    may_record: bool
    may_plan: bool
    to_add: tuple[Option, ...]


class Making(Form):
    """What a family is."""

    name: str = Field("", max_length=_LONGEST)
    stands: str = Field("", max_length=100)
    why: str = Field("", max_length=_LONGEST)
    sets: list[str] = Field([], max_length=200)
    machines: list[str] = Field([], max_length=50)
    period_days: int = Field(0, ge=0, le=3660)


class AddingSet(Form):
    """Which set comes in."""

    of_set: str = Field("", max_length=100)


class ProductTested(Form):
    """What a product test showed."""

    machine: str = Field("", max_length=120)
    biological: Literal["negative", "positive", "not-read"] = "not-read"
    chemical: Literal["passed", "failed"] = "failed"
    dry: Literal["yes", "no"] = "no"
    intact: Literal["yes", "no"] = "no"
    note: str = Field("", max_length=_LONGEST)


@screen.page(LIST, right=READ, template="verification_families.html")
def families_page(asked: Asked) -> FamiliesPage:
    """The product families of this department."""
    rows, machines = families.sets_to_choose(asked.archive, asked.visitor)
    address = asked.at("/verification/families")
    known = families.find_families(asked.archive, asked.visitor, now=asked.now)
    return FamiliesPage(
        title="Product families",
        address=address,
        back=asked.at("/verification"),
        families=tuple(Option(f"{address}/{one.key}", one.family.name) for one in known),
        may_plan=asked.visitor.may(PLAN),
        sets=tuple(Option(row.id, row.title) for row in rows),
        machines=tuple(Option(key, name) for key, name in machines),
        period_days=policy().product_period_days,
    )


@screen.act(LIST, right=PLAN, form=Making, page=families_page)
def make_family(asked: Asked, form: Making) -> Done:
    """Make a product family."""
    said = families.Said(form.name, form.stands, form.why, form.sets, form.machines, form.period_days)
    key = families.make_family(asked.archive, asked.visitor, said, now=asked.now)
    return Done(go=asked.at(f"/verification/families/{key}"), said="Made. Its first product test is due.")


@screen.page(ONE, right=READ, template="verification_family.html")
def family_page(asked: Asked, product_family: str) -> FamilyPage:
    """One product family."""
    seen = families.see_family(asked.archive, asked.visitor, product_family, now=asked.now)
    family, may_plan = seen.family, asked.visitor.may(PLAN)
    rows, _ = families.sets_to_choose(asked.archive, asked.visitor) if may_plan else ((), ())
    names = names_of(asked.archive, {one.by for one in family.tests})
    return FamilyPage(
        title=family.name,
        address=asked.at(f"/verification/families/{product_family}"),
        back=asked.at("/verification/families"),
        why=family.why,
        period_days=family.period_days,
        dues=tuple(_due(asked, seen, one) for one in seen.dues),
        sets=_sets(asked, seen),
        limit=seen.limit.text() if seen.limit else "",
        tests=tuple(_test(asked, one, names) for one in reversed(family.tests)),
        machines=tuple(Option(one.machine, seen.machines.get(one.machine, one.machine)) for one in seen.dues),
        may_record=asked.visitor.may(RECORD),
        may_plan=may_plan,
        to_add=tuple(Option(row.id, row.title) for row in rows if row.id not in family.sets),
    )


@screen.act(f"{ONE}/sets", right=PLAN, form=AddingSet, page=family_page)
def add_set(asked: Asked, form: AddingSet, product_family: str) -> Done:
    """Add a set to a family."""
    families.add_set(asked.archive, asked.visitor, product_family, form.of_set, now=asked.now)
    return Done(
        go=asked.at(f"/verification/families/{product_family}"), said="Added; the family is due again."
    )


@screen.act(f"{ONE}/tests", right=RECORD, form=ProductTested, page=family_page)
def record_product_test(asked: Asked, form: ProductTested, product_family: str) -> Done:
    """Record a product test."""
    found = families.TestFound(
        machine=form.machine,
        biological=form.biological,
        chemical=form.chemical,
        dry=form.dry == "yes",
        intact=form.intact == "yes",
        note=form.note,
    )
    passed = families.record_product_test(asked.archive, asked.visitor, product_family, found, now=asked.now)
    said = "Passed." if passed else "Not passed: the family is due again, and the lead looks at its sets."
    return Done(go=asked.at(f"/verification/families/{product_family}"), said=said)


def _due(asked: Asked, seen: SeenFamily, one: FamilyDue) -> DueShown:
    today = today_of(asked.visitor, asked.now)
    last = f"last passed {one.last.day.isoformat()}" if one.last else "no test has passed there"
    return DueShown(
        machine=seen.machines.get(one.machine, one.machine),
        due=when(one.day, today),
        is_late=one.day < today,
        reasons=one.reasons,
        last=last,
    )


def _sets(asked: Asked, seen: SeenFamily) -> tuple[SetShown, ...]:
    return tuple(
        SetShown(
            address=asked.at(f"/sets/{one.key}"),
            name=one.name,
            packaging=one.packaging or "unsaid",
            mass=f"{one.kg:.1f} kg" if one.kg is not None else "unknown",
            stands=one.key == seen.family.stands,
            heavy=one.name in seen.heavy,
        )
        for one in seen.facts
    )


def _test(asked: Asked, one: ProductTest, names: dict[str, str]) -> ProductTestShown:
    wrong = [
        *([f"biological {one.biological.replace('-', ' ')}"] if one.biological != "negative" else []),
        *(["chemical failed"] if one.chemical == "failed" else []),
        *([] if one.dry else ["wet"]),
        *([] if one.intact else ["packaging not whole"]),
    ]
    said = "; ".join([*(wrong or ["all as it should be"]), *([one.note] if one.note else [])])
    return ProductTestShown(
        at=shown_moment(one.at, asked.visitor.zone),
        machine=one.machine_name,
        passed=one.passed,
        said=said,
        by=names.get(one.by, one.by),
    )
