"""Cases to come: taken in from a file or planned one by one, by number alone, with the sets they need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.cases import ENDINGS, CasesRead, PlannedCase
from sinkside.desk import sets
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.store_cases import freed
from sinkside.desk.bench.theatre import CANCELLED, CLOSED, PLANNED, UNDER_WAY, USED, case_of_number
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_texts import folded
from sinkside.desk.uploads import Upload, check_upload, new_id
from sinkside.errors import BadInput, NotThere
from sinkside.records import CaseSet, KeptCase

PLAN: Final = "case-plan"

_LARGEST_BYTES: Final = 5_000_000
_MOST_SETS: Final = 2_000
#: A person waits for it at a page.
_LIMITS: Final = ChildLimits(memory_bytes=1_000_000_000, processor_s=20, clock_s=30.0)
#: A case may be planned so long after it began, and so long ahead.
_BEHIND: Final = timedelta(days=1)
_AHEAD: Final = timedelta(days=400)


@dataclass(frozen=True)
class Imported:
    """What became of a file of cases, in numbers of cases; what was left out and refused, in sentences."""

    added: tuple[str, ...]
    changed: tuple[str, ...]
    unchanged: tuple[str, ...]
    left_out: tuple[str, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True)
class SetOfCase:
    """One set of a case: which, how it stands there, which copy is for it, by code and id, or none."""

    set: str
    name: str
    state: str
    code: str = ""
    copy: str = ""


@dataclass(frozen=True)
class CaseSeen:
    """A case with its sets."""

    case: KeptCase
    sets: tuple[SetOfCase, ...]

    @property
    def closed(self) -> bool:
        """Whether it is over, or will not be."""
        return self.case.state in {CLOSED, CANCELLED}


def import_cases(archive: Archive, who: Visitor, upload: Upload, *, now: datetime) -> Imported:
    """Take cases in from a spreadsheet or a calendar; what is over stays as it is.

    Raises:
        NotAllowed: without the right.
        UnreadableFile: if it is neither, or too large.
    """
    require(who, PLAN)
    check_upload(upload, most_bytes=_LARGEST_BYTES, endings=ENDINGS)
    with archive.unit(writes=False) as unit:
        known = {name: key for key, title in sets_here(unit, who) for name in (folded(title), key)}
    made = run_child(
        "cases",
        [(upload.plain_name, upload.data)],
        arguments={"zone": who.zone, "sets": known},
        limits=_LIMITS,
    )
    read = CasesRead.model_validate(made)
    sorts: dict[str, list[str]] = {"added": [], "changed": [], "unchanged": []}
    refused = list(read.refused)
    with archive.unit() as unit:
        for planned in read.cases:
            try:
                sorts[_keep(unit, who, planned, now=now)].append(planned.number)
            except BadInput as error:
                refused.append(f"case {planned.number}: {error.message}")
        taken = sorts["added"] + sorts["changed"]
        record(unit, who, "cases-imported", "cases", now=now, data={"cases": taken})
    return Imported(
        added=tuple(sorts["added"]),
        changed=tuple(sorts["changed"]),
        unchanged=tuple(sorts["unchanged"]),
        left_out=read.left_out,
        refused=tuple(refused),
    )


def plan_case(archive: Archive, who: Visitor, planned: PlannedCase, *, now: datetime) -> str:
    """Plan a case, or change one that is not over, and say its number.

    Raises:
        NotAllowed: without the right.
        BadInput: if it is over, or its begin lies far from now; or a set is not here.
    """
    require(who, PLAN)
    with archive.unit() as unit:
        here = {key for key, _ in sets_here(unit, who)}
        if not set(planned.sets) <= here:
            raise BadInput("expected sets of this department", resource="sets")
        if _keep(unit, who, planned, now=now) != "unchanged":
            case = case_of_number(unit, who, planned.number)
            record(unit, who, "case-kept", f"case:{case.id}", now=now, data={"number": planned.number})
    return planned.number


def find_cases(archive: Archive, who: Visitor, since: datetime, before: datetime) -> tuple[CaseSeen, ...]:
    """The cases that begin from a moment on and before another, with their sets.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _seen(unit, unit.bench.cases.between(who.department, since, before))


def open_case(archive: Archive, who: Visitor, case: str) -> CaseSeen:
    """A case by its id, with its sets.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = unit.bench.cases.get(case)
        if found is None or found.department != who.department:
            raise NotThere("there is no such case here", resource=case)
        return _seen(unit, [found])[0]


def sets_here(unit: Unit, who: Visitor) -> list[tuple[str, str]]:
    """The sets of a department in use: key and name, by name."""
    rows = unit.rows.all(sets.KIND, [who.department], states=[sets.IN_USE], limit=_MOST_SETS)
    return sorted(((row.id, row.title) for row in rows), key=lambda pair: folded(pair[1]))


def named_sets(archive: Archive, who: Visitor) -> list[tuple[str, str]]:
    """The same, for pages.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return sets_here(unit, who)


def _keep(unit: Unit, who: Visitor, planned: PlannedCase, *, now: datetime) -> str:
    """Keep a case as it is planned; says whether it was `added`, `changed` or `unchanged`."""
    if not now - _BEHIND <= planned.begins <= now + _AHEAD:
        raise BadInput("its begin lies too far from now; expected the days to come", resource="begins")
    known = unit.bench.cases.by_number(who.department, planned.number)
    if known is not None and known.state == CLOSED:
        return "unchanged"
    coming = known.state if known and known.state == UNDER_WAY else PLANNED
    state = CANCELLED if planned.cancelled else coming
    case = KeptCase(
        id=known.id if known else new_id("case"),
        department=who.department,
        number=planned.number,
        room=planned.room,
        begins=planned.begins,
        state=state,
        fields={"until": planned.ends.isoformat() if planned.ends else None},
    )
    before = unit.bench.cases.sets_of(case.id) if known else []
    wanted = Counter(planned.sets)
    if known == case and Counter(one.set for one in before if one.state != USED) == wanted:
        return "unchanged"
    unit.bench.cases.put(case)
    if case.state == CANCELLED:
        freed(unit, case, now=now)
    _put_sets(unit, case.id, wanted)
    return "changed" if known else "added"


def _put_sets(unit: Unit, case: str, wanted: Counter[str]) -> None:
    """What a case needs now; what it got already counts towards that."""
    unit.bench.cases.strike_sets(case)
    kept = unit.bench.cases.sets_of(case)
    for key, number in wanted.items():
        turns = [one.turn for one in kept if one.set == key]
        for turn in _free_turns(turns, number):
            unit.bench.cases.put_set(CaseSet(case=case, set=key, turn=turn))


def _free_turns(taken: Iterable[int], number: int) -> list[int]:
    """Turns for so many sets in all, next to those that are taken.

    >>> _free_turns([1], 3)
    [2, 3]
    """
    used = set(taken)
    free = (turn for turn in range(1, number + len(used) + 1) if turn not in used)
    return [turn for turn, _ in zip(free, range(number - len(used)), strict=False)]


def _seen(unit: Unit, cases: list[KeptCase]) -> tuple[CaseSeen, ...]:
    of_cases: dict[str, list[CaseSet]] = {}
    for one in unit.bench.cases.sets_of(*(case.id for case in cases)):
        of_cases.setdefault(one.case, []).append(one)
    keys = {one.set for known in of_cases.values() for one in known}
    titles = unit.rows.titles(sets.KIND, keys)
    return tuple(
        CaseSeen(case, tuple(_set_of(unit, one, titles) for one in of_cases.get(case.id, ())))
        for case in cases
    )


def _set_of(unit: Unit, one: CaseSet, titles: Mapping[str, str]) -> SetOfCase:
    copy = unit.bench.copies.get(one.copy) if one.copy else None
    return SetOfCase(
        set=one.set,
        name=titles.get(one.set, one.set),
        state=one.state,
        code=copy.code if copy else "",
        copy=one.copy,
    )
