"""Other houses that a recall concerns: who has something of it that was lent, and whose own was borrowed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from sinkside.bench.loans import Loan, Way
from sinkside.bench.recall import Touched
from sinkside.desk.access import Visitor
from sinkside.desk.bench.loans import LOAN
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Concerned
from sinkside.records import WantedRows

_MOST: Final = 2_000


def loans_in_question(unit: Unit, who: Visitor, *, since: datetime | None) -> dict[str, list[str]]:
    """The ids of the loans that a recall from a moment on may concern, by the codes of what was lent.

    They are open, or they changed in the time.
    """
    here = [who.department]
    rows = unit.rows.found(LOAN, here, WantedRows(since=since, limit=_MOST))
    rows += unit.rows.found(LOAN, here, WantedRows(states=("open",), limit=_MOST))
    found: dict[str, list[str]] = {}
    for row in {row.id: row for row in rows}.values():
        found.setdefault(str(row.fields.get("code") or ""), []).append(row.id)
    return found


def concerned_by(
    unit: Unit, loans: Mapping[str, Sequence[str]], touched: Sequence[Touched], *, since: datetime | None
) -> tuple[Concerned, ...]:
    """Whoever is to be written to: has a set of what was touched, had one since, or owns one; each loan once.

    A loan that was over before the time in question concerns nobody. `touched` are in order of need.
    """
    runs = {one.code: one.run for one in reversed(touched)}
    found = []
    for code in loans.keys() & runs.keys():
        for key in loans[code]:
            loan = read_kept(unit, LOAN, key, Loan)
            if loan is not None and (loan.way is Way.borrowed or _went_since(loan, since)):
                found.append(_concerned(key, loan, runs[code]))
    return tuple(sorted(found, key=lambda one: (one.other, one.what, one.loan)))


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
