"""The history of a lot: of indicators, by its id, with each one's result; of a chemical, by its number."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Final

from sinkside.bench.gaps_of_others import LotKnown, LotUse, SolutionKnown, lot_gaps, solution_gaps
from sinkside.bench.history import Evidence, Line, LineKind
from sinkside.desk.access import Visitor
from sinkside.desk.concerning import concerning
from sinkside.desk.history.gathered import Gathered, Page, next_page, own_entries
from sinkside.desk.history.telling import lines_of
from sinkside.desk.indicator_documents import Indicator, Lot
from sinkside.desk.indicators import INDICATOR, LOT
from sinkside.desk.keeping import read_kept
from sinkside.desk.machine_days import local_day
from sinkside.desk.ports import Unit
from sinkside.desk.solution_documents import SinkSolution
from sinkside.desk.solution_log import SOLUTION
from sinkside.errors import NotThere
from sinkside.records import WantedRows

_MOST: Final = 200
_OUTCOMES: Final = {
    "waiting": "it incubates",
    "negative": "no growth",
    "positive": "growth",
    "not-valid": "its control did not grow, so that it says nothing",
    "passed": "changed as it should",
    "failed": "not changed as it should",
}


def of_lot(unit: Unit, who: Visitor, lot: str, page: Page) -> Gathered:
    """The history of a lot of indicators by its id, or of a chemical by the number on its container.

    Raises:
        NotThere: if there is no such lot here.
    """
    row = unit.rows.get(LOT, lot)
    if row is not None and row.department == who.department:
        return _of_indicators(unit, who, lot, page)
    return _of_chemical(unit, who, lot, page)


def of_solution(unit: Unit, who: Visitor, solution: str, page: Page) -> Gathered:
    """The history of one solution at the sink.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(SOLUTION, solution)
    known = read_kept(unit, SOLUTION, solution, SinkSolution)
    if row is None or known is None or row.department != who.department:
        raise NotThere("there is no such solution here", resource=solution)
    subject = f"{SOLUTION}:{solution}"
    own = own_entries(unit, who, subject, page)
    return Gathered(
        title=f"{known.name}, {known.water}",
        about=f"a solution at the sink, lot {known.lot}",
        gaps=(*_of_its_date(who, known.lot, [(solution, known)]), *_late(solution, known, page)),
        lines=tuple(lines_of(unit, who, own, of=subject)),
        before=next_page(own),
    )


def _of_indicators(unit: Unit, who: Visitor, lot: str, page: Page) -> Gathered:
    known = read_kept(unit, LOT, lot, Lot)
    if known is None:
        raise NotThere("there is no such lot here", resource=lot)
    subject = f"{LOT}:{lot}"
    placed = list(_placed(unit, who, lot))
    uses = tuple(_use(one) for one in placed)
    lot_known = LotKnown(
        words=known.words,
        last_day=known.expires,
        needs_control=known.kind == "biological",
        uses=uses,
        since=known.at,
        evidence=Evidence("lot", lot),
    )
    own = own_entries(unit, who, subject, page)
    lines = [*lines_of(unit, who, own, of=subject), *map(_placed_line, placed)]
    return Gathered(
        title=known.words,
        about=f"{known.kind} indicators, may be used until {known.expires.isoformat()}",
        gaps=lot_gaps(lot_known, day_of=_days(who, uses)),
        lines=tuple(lines),
        before="",
    )


def _placed(unit: Unit, who: Visitor, lot: str) -> Iterator[Indicator]:
    """The indicators of a lot, the latest first."""
    for subject in concerning(unit, who.department, lot):
        kept = read_kept(unit, INDICATOR, subject.partition(":")[2], Indicator)
        if kept is not None:
            yield kept


def _use(one: Indicator) -> LotUse:
    return LotUse(
        at=one.started,
        what=f"the indicator in a load of {one.machine_name}",
        evidence=Evidence("cycle", one.cycle),
        control_grew=one.control_grew,
        waits=one.outcome == "waiting",
    )


def _placed_line(one: Indicator) -> Line:
    return Line(
        at=one.started,
        words=f"One was put into a load of {one.machine_name}: {_OUTCOMES[one.outcome]}.",
        kind=LineKind.check,
        by=one.by,
        shows="what the load's indicator showed",
        evidence=(Evidence("cycle", one.cycle),),
    )


def _of_chemical(unit: Unit, who: Visitor, lot: str, page: Page) -> Gathered:
    """Every solution that was made up of a lot; each has entries of its own."""
    wanted = WantedRows(fields={"lot": lot}, limit=_MOST)
    found = []
    for row in unit.rows.found(SOLUTION, [who.department], wanted):
        kept = read_kept(unit, SOLUTION, row.id, SinkSolution)
        if kept is not None:
            found.append((row.id, kept))
    if not found:
        raise NotThere("there is no such lot here", resource=lot)
    lines, gaps = [], list(_of_its_date(who, lot, found))
    for solution, kept in found:
        subject = f"{SOLUTION}:{solution}"
        lines += lines_of(unit, who, own_entries(unit, who, subject, Page("", page.now)))
        gaps += _late(solution, kept, page)
    return Gathered(
        title=f"Lot {lot}",
        about=f"{found[0][1].name}, made up {len(found)} time{'' if len(found) == 1 else 's'}",
        gaps=tuple(gaps),
        lines=tuple(lines),
        before="",
    )


def _of_its_date(who: Visitor, lot: str, made: list[tuple[str, SinkSolution]]) -> tuple[Line, ...]:
    """What is not recorded of a chemical's lot; its date is the earliest that anybody said."""
    days = [date.fromisoformat(one.lot_until) for _, one in made if one.lot_until]
    uses = tuple(LotUse(one.made, f"{one.name} was made up", Evidence(SOLUTION, key)) for key, one in made)
    known = LotKnown(
        words=f"lot {lot}",
        last_day=min(days, default=None),
        needs_control=False,
        uses=uses,
        since=min(one.made for _, one in made),
        evidence=Evidence(SOLUTION, made[0][0]),
    )
    return lot_gaps(known, day_of=_days(who, uses))


def _days(who: Visitor, uses: tuple[LotUse, ...]) -> dict[datetime, date]:
    return {one.at: local_day(one.at, who.zone) for one in uses}


def _late(solution: str, known: SinkSolution, page: Page) -> tuple[Line, ...]:
    words = f"the solution of {known.name} from lot {known.lot}"
    asked = SolutionKnown(words, known.discard_by, known.discarded, Evidence(SOLUTION, solution))
    return solution_gaps(asked, now=page.now)
