"""How a cause that is no machine's touches runs: texts, people, lots of chemicals, sets by their codes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from sinkside.bench.recall import IN_A_SOLUTION, STOOD_AT, CauseKind, Where
from sinkside.department import Department
from sinkside.desk import shelf
from sinkside.desk.access import Visitor
from sinkside.desk.bench.loads import subject_of as load_subject
from sinkside.desk.bench.pieces import SET
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Cause
from sinkside.desk.solution_documents import SinkSolution
from sinkside.desk.solution_log import SOLUTION
from sinkside.errors import BadInput
from sinkside.records import (
    ByCopy,
    ByLoad,
    ByMachine,
    ByPerson,
    ByStanding,
    ByText,
    Touching,
    Wanted,
    WantedRows,
)

#: What comes before any event that is kept.
EVER: Final = datetime.fromisoformat("1970-01-01T00:00:00+00:00")

_MOST_SOLUTIONS: Final = 5_000


def by_others(
    unit: Unit, who: Visitor, cause: Cause, *, since: datetime | None, until: datetime
) -> tuple[Touching, ...]:
    """In which ways a cause that is no machine's touches runs in a stretch of time."""
    begin = since or EVER
    if cause.kind is CauseKind.text:
        return _by_text(unit, cause, begin, until)
    if cause.kind is CauseKind.person:
        return _by_person(unit, who, cause, begin, until)
    if cause.kind is CauseKind.chemical:
        return _by_lot(unit, who, cause, since, until)
    if not cause.sets:
        return _by_text(unit, cause, begin, until)
    return (ByCopy(frozenset(cause.sets), begin, until),)


def sets_of_codes(unit: Unit, who: Visitor, codes: Iterable[str]) -> tuple[str, ...]:
    """The ids of sets by codes; a marked instrument stands for the set that it belongs to, and for itself.

    Raises:
        NotThere: if nothing here has one of the codes: which.
    """
    found: dict[str, None] = {}
    for code in codes:
        copy = copy_of_code(unit, who.department, code)
        found[copy.id] = None
        if owner := str(copy.fields.get(SET) or ""):
            found[owner] = None
    return tuple(found)


def _by_text(unit: Unit, cause: Cause, since: datetime, until: datetime) -> tuple[Touching, ...]:
    """What went by a revision, or another one with the very same words: a plan does not tell them apart."""
    if not cause.revision:
        return (ByText(cause.of, 0, since, until),)
    known = {one.number: one.digest for one in unit.documents.history(shelf.KIND, cause.of)}
    wanted = known.get(cause.revision)
    if wanted is None:
        raise BadInput(f"there is no revision {cause.revision} of it here", resource="revision")
    same = [number for number, digest in known.items() if digest == wanted]
    return tuple(ByText(cause.of, number, since, until) for number in same)


def _by_person(
    unit: Unit, who: Visitor, cause: Cause, since: datetime, until: datetime
) -> tuple[Touching, ...]:
    """What somebody did something with, and everything in the loads that they ran or decided on."""
    here = who.department
    stood = STOOD_AT[cause.where] if cause.where else frozenset[str]()
    did = ByPerson(cause.of, since, until, stood)
    if cause.where not in {None, Where.loads}:
        return (did,)
    wanted = Wanted(
        kinds=("load-decided",),
        actor=cause.of,
        after=unit.journal.first_since(here, since) - 1,
        before=unit.journal.first_since(here, until),
    )
    decided = {one.removeprefix(load_subject("")) for one in unit.journal.subjects(here, wanted)}
    ran = unit.bench.tracing.loads_by_person(here, cause.of, since, until)
    return did, ByLoad(ran | decided)


def _by_lot(
    unit: Unit, who: Visitor, cause: Cause, since: datetime | None, until: datetime
) -> tuple[Touching, ...]:
    """What stood at the sink while a solution of a lot was in use, and the loads of machines that dose it.

    Nobody keeps which lot a machine draws from: every load since the lot was first seen here counts.

    Raises:
        BadInput: if no solution of it was logged, and nobody says since when it was in use.
    """
    made = _solutions_of(unit, who, cause)
    first = since or min((one.made for one in made), default=None)
    if first is None:
        raise BadInput(
            "no solution of this lot was logged here; say since when it was in use", resource="since"
        )
    used = ((max(one.made, first), min(one.discarded or until, until)) for one in made)
    windows = united((begin, end) for begin, end in used if begin < end)
    doses = sorted(_doses(department_in(unit, who.department), cause.of))
    dosed = (ByMachine(frozenset({machine}), first, until, program) for machine, program in doses)
    return (ByStanding(IN_A_SOLUTION, windows), *dosed)


def united(windows: Iterable[tuple[datetime, datetime]]) -> tuple[tuple[datetime, datetime], ...]:
    """Stretches of time, with those that touch or overlap as one.

    >>> from datetime import UTC
    >>> one, two, three = (datetime(2026, 1, day, tzinfo=UTC) for day in (1, 2, 3))
    >>> [(begin.day, end.day) for begin, end in united([(two, three), (one, two)])]
    [(1, 3)]
    """
    found: list[tuple[datetime, datetime]] = []
    for begin, end in sorted(windows):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return tuple(found)


def _solutions_of(unit: Unit, who: Visitor, cause: Cause) -> list[SinkSolution]:
    lot = " ".join(cause.lot.split())
    if not lot:
        raise BadInput("expected the lot, as on its container", resource="lot")
    wanted = WantedRows(fields={"chemical": cause.of, "lot": lot}, limit=_MOST_SOLUTIONS)
    rows = unit.rows.found(SOLUTION, [who.department], wanted)
    kept = (read_kept(unit, SOLUTION, row.id, SinkSolution) for row in rows)
    return [one for one in kept if one is not None]


def _doses(site: Department | None, chemical: str) -> frozenset[tuple[str, str]]:
    """The machines, each with a program, that dose a chemical."""
    return frozenset(
        (machine.id, program.name)
        for machine in (site.machines if site else ())
        for program in machine.programs
        if any(phase.chemical == chemical for phase in program.phases)
    )
