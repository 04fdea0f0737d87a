"""Product families at the desk: which set stands for which, in which sterilizers, when it is due again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from sinkside.bench.programmes.product_family import (
    FamilyDue,
    ProductFamily,
    ProductTest,
    SetFacts,
    WorkDone,
    due_in,
)
from sinkside.bench.programmes.words import plain
from sinkside.department import Department, MachineKind
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import from_revision
from sinkside.desk.machine_documents import WHY_WORDS, Standing
from sinkside.desk.machine_rows import row_id
from sinkside.desk.machine_standing import STANDING
from sinkside.desk.machine_things import profile_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.kept import today_of
from sinkside.desk.programmes.policy import PLAN, READ, RECORD, policy
from sinkside.desk.set_texts import texts_of
from sinkside.desk.sets import IN_USE, KIND, set_in
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput
from sinkside.findings import Level
from sinkside.limits import Limit
from sinkside.records import Row
from sinkside.sets import contents_of, mass_of
from sinkside.sets.mass import limit_in_force

FAMILY: Final = "product-family"
FAMILIES: Final = KeptList(FAMILY, ProductFamily, "product family")
_KEPT: Final = "kept"
_MOST: Final = 200
_STERILIZERS: Final = frozenset({MachineKind.steam_sterilizer, MachineKind.gas_sterilizer})

#: Work on a sterilizer after which a family is tested again; a positive indicator is the recall's business.
_WORK: Final = frozenset({"installation", "move", "major-repair"})


@dataclass(frozen=True)
class Said:
    """What somebody says a family is: name, the set that stands for it and why, its sets, its sterilizers."""

    name: str
    stands: str
    why: str
    sets: Sequence[str]
    machines: Sequence[str]
    period_days: int = 0


@dataclass(frozen=True)
class TestFound:
    """What a product test showed."""

    __test__ = False

    machine: str
    biological: Literal["negative", "positive", "not-read"]
    chemical: Literal["passed", "failed"]
    dry: bool
    intact: bool
    note: str = ""


@dataclass(frozen=True)
class SeenFamily:
    """A family: its sets as they are now, when it is due in each sterilizer, names, and the mass limit.

    `heavy` are sets above the limit in force; a test of the family says nothing of those.
    """

    key: str
    family: ProductFamily
    facts: tuple[SetFacts, ...]
    dues: tuple[FamilyDue, ...]
    machines: dict[str, str]
    limit: Limit | None
    heavy: tuple[str, ...]


def make_family(archive: Archive, who: Visitor, said: Said, *, now: datetime) -> str:
    """Make a family, and say its id.

    Raises:
        NotAllowed: without the right.
        NotThere: if a set is not here.
        BadInput: if the set that stands for it is not in it, nothing says why, or no sterilizer is named.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        site = department_in(unit, who.department)
        known = {one.id for one in sterilizers(site)}
        machines = tuple(dict.fromkeys(one for one in said.machines if one in known))
        if not machines:
            raise BadInput("choose a sterilizer or more", resource="machines")
        sets = tuple(dict.fromkeys((said.stands, *said.sets)))
        for key in sets:
            set_in(unit, who, key)
        family = ProductFamily(
            name=plain(said.name, "name", needed=True),
            stands=said.stands,
            why=plain(said.why, "why", needed=True),
            sets=sets,
            machines=machines,
            period_days=said.period_days or policy().product_period_days,
            since=today_of(who, now),
        )
        key = new_id("g")
        _keep(unit, who, key, family, event="product-family-made", now=now)
        return key


def add_set(archive: Archive, who: Visitor, key: str, of_set: str, *, now: datetime) -> None:
    """Add a set to a family, which is due again by that.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such family or set here.
        BadInput: if it is in it already.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        family = FAMILIES.opened(unit, who, key)
        set_in(unit, who, of_set)
        if of_set in family.sets:
            raise BadInput("this set is in the family already", resource="of_set")
        after = family.model_copy(update={"sets": (*family.sets, of_set)})
        _keep(unit, who, key, after, event="product-family-grew", now=now)


def record_product_test(archive: Archive, who: Visitor, key: str, found: TestFound, *, now: datetime) -> bool:
    """Record a product test of the set that stands for a family, and say whether it passed.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such family here.
        BadInput: if the family does not go through that sterilizer.
    """
    require(who, RECORD)
    with archive.unit() as unit:
        family = FAMILIES.opened(unit, who, key)
        site = department_in(unit, who.department)
        names = {one.id: one.name for one in sterilizers(site)}
        if found.machine not in family.machines or found.machine not in names:
            raise BadInput("this family does not go through that sterilizer", resource="machine")
        good = found.biological == "negative" and found.chemical == "passed" and found.dry and found.intact
        test = ProductTest(
            machine=found.machine,
            machine_name=names[found.machine],
            biological=found.biological,
            chemical=found.chemical,
            dry=found.dry,
            intact=found.intact,
            note=plain(found.note, "note"),
            passed=good,
            sets=_facts(unit, who, family, site),
            by=who.person,
            at=now,
            day=today_of(who, now),
        )
        after = family.model_copy(update={"tests": (*family.tests, test)})
        _keep(unit, who, key, after, event="product-tested", now=now, passed=test.passed)
        return test.passed


def find_families(archive: Archive, who: Visitor, *, now: datetime) -> tuple[SeenFamily, ...]:
    """The product families of this department with when each is due.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return tuple(_seen(unit, who, key, one, now=now) for key, one in FAMILIES.all(unit, who))


def see_family(archive: Archive, who: Visitor, key: str, *, now: datetime) -> SeenFamily:
    """One product family.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _seen(unit, who, key, FAMILIES.opened(unit, who, key), now=now)


def sets_to_choose(archive: Archive, who: Visitor) -> tuple[tuple[Row, ...], tuple[tuple[str, str], ...]]:
    """The sets in use here, and the sterilizers by id and name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(KIND, [who.department], states=[IN_USE], limit=_MOST)
        machines = sterilizers(department_in(unit, who.department))
    return tuple(sorted(rows, key=lambda row: row.title)), tuple((one.id, one.name) for one in machines)


def families_to_see_to(
    unit: Unit, who: Visitor, *, now: datetime
) -> Iterator[tuple[Level, str, str, datetime | None]]:
    """What Today says of product families: due, and why so soon."""
    if not who.may(RECORD):
        return
    day = today_of(who, now)
    for key, family in FAMILIES.all(unit, who):
        seen = _seen(unit, who, key, family, now=now)
        for due in seen.dues:
            if due.day <= day:
                why = f" ({'; '.join(due.reasons)})" if due.reasons else ""
                where = seen.machines.get(due.machine, due.machine)
                yield Level.concern, f"{family.name}: product test due in {where}{why}.", key, None


def sterilizers(site: Department | None) -> tuple[_Machine, ...]:
    """The sterilizers of a department."""
    machines = site.machines if site else ()
    return tuple(_Machine(one.id, one.name) for one in machines if one.kind in _STERILIZERS)


@dataclass(frozen=True)
class _Machine:
    id: str
    name: str


def _keep(
    unit: Unit,
    who: Visitor,
    key: str,
    family: ProductFamily,
    *,
    event: str,
    now: datetime,
    passed: bool | None = None,
) -> None:
    data = {"sets": len(family.sets), **({} if passed is None else {"passed": passed})}
    FAMILIES.keep(unit, who, key, family, Line(_KEPT, family.name), event=event, now=now, data=data)


def _seen(unit: Unit, who: Visitor, key: str, family: ProductFamily, *, now: datetime) -> SeenFamily:
    site = department_in(unit, who.department)
    facts = _facts(unit, who, family, site)
    work = [one for machine in family.machines for one in _work_on(unit, who, machine)]
    by_key, day = {one.key: one for one in facts}, today_of(who, now)
    dues = [due_in(family, machine, by_key, work=work, today=day) for machine in family.machines]
    limit = limit_in_force(profile_of(site)) if site else None
    heavy = [one.name for one in facts if limit and one.kg is not None and not limit.met_by(one.kg, "kg")]
    return SeenFamily(
        key=key,
        family=family,
        facts=facts,
        dues=tuple(sorted(dues, key=lambda one: one.day)),
        machines={one.id: one.name for one in sterilizers(site)},
        limit=limit,
        heavy=tuple(heavy),
    )


def _facts(unit: Unit, who: Visitor, family: ProductFamily, site: Department | None) -> tuple[SetFacts, ...]:
    """The family's sets that are in use, as they are now."""
    found = []
    for key in family.sets:
        opened = set_in(unit, who, key)
        if opened.row.state == IN_USE:
            document = opened.document
            texts = {
                name: text for name, one in texts_of(unit, who, document).items() if (text := one.instruction)
            }
            mass = mass_of(document, contents_of(document, texts), texts, profile_of(site)) if site else None
            kg = (mass.at_least_kg or None) if mass else None
            found.append(SetFacts(key=key, name=document.name, packaging=document.packaging or "", kg=kg))
    return tuple(found)


def _work_on(unit: Unit, who: Visitor, machine: str) -> Iterator[WorkDone]:
    """What was done to a sterilizer, as its standing tells it revision by revision; each once."""
    told = set[datetime]()
    for revision in unit.documents.revisions(STANDING, row_id(who.department, machine)):
        for cause in from_revision(revision, Standing).causes:
            if cause.why in _WORK and cause.at not in told:
                told.add(cause.at)
                words = f"sterilizer: {WHY_WORDS[cause.why]}, {cause.words}"
                yield WorkDone(machine, words, cause.at, today_of(who, cause.at))
