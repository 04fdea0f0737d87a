"""Other houses that a recall concerns: who has something of it that was lent, and whose own was borrowed."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.loans import Loan, Way
from sinkside.bench.recall import Reach
from sinkside.desk.access import Visitor
from sinkside.desk.bench.loans import LOAN
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Concerned
from sinkside.records import Row, WantedRows

_MOST: Final = 2_000


def concerned_by(unit: Unit, who: Visitor, reach: Reach, *, since: datetime | None) -> tuple[Concerned, ...]:
    """Whoever is to be written to: has a set of it, had one since, or owns one; each loan once.

    A loan that was over before the time in question concerns nobody.
    """
    runs = {one.code: one.run for one in reversed(reach.touched)}
    found = []
    for row in _loans(unit, who, since):
        code = str(row.fields.get("code") or "")
        loan = read_kept(unit, LOAN, row.id, Loan) if code in runs else None
        if loan is not None and (loan.way is Way.borrowed or _went_since(loan, since)):
            found.append(_concerned(row.id, loan, runs[code]))
    return tuple(sorted(found, key=lambda one: (one.other, one.what, one.loan)))


def _loans(unit: Unit, who: Visitor, since: datetime | None) -> list[Row]:
    """The open ones, and those that changed in the time."""
    here = [who.department]
    rows = unit.rows.found(LOAN, here, WantedRows(since=since, limit=_MOST))
    rows += unit.rows.found(LOAN, here, WantedRows(states=("open",), limit=_MOST))
    return list({row.id: row for row in rows}.values())


def _went_since(loan: Loan, since: datetime | None) -> bool:
    return any(since is None or one.at >= since for one in loan.went)


def _concerned(key: str, loan: Loan, run: str) -> Concerned:
    return Concerned(
        loan=key,
        way=loan.way,
        other=loan.other,
        what=loan.what,
        code=loan.copy_code,
        run=run,
        sent=loan.went[-1].at if loan.went else None,
    )
