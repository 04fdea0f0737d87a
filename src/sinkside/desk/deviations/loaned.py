"""What comes from another house, or back from there, and not as agreed, is a deviation of that thing."""

from __future__ import annotations

from datetime import datetime

from sinkside.bench import noticing
from sinkside.bench.loans import Loan, not_as_agreed
from sinkside.desk.access import Visitor
from sinkside.desk.deviations.kept import OpenReport, begin_reports, keep_report
from sinkside.desk.deviations.making import Around, made_of
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id


def loan_came_wrong(unit: Unit, who: Visitor, came: Loan, judged: Loan, *, now: datetime) -> None:
    """Report a loan that came not as agreed; nothing where it did.

    Args:
        unit: the transaction in which it was received.
        who: who received it.
        came: the loan as it is kept.
        judged: the same before anything was closed, which findings are about.
        now: the moment.
    """
    against = not_as_agreed(judged, now=now)
    if not against:
        return
    copy = unit.bench.copies.by_code(who.department, came.copy_code)
    noticed = noticing.not_as_agreed(came.what, came.other, against)
    around = Around(copy, copy.run if copy else "")
    report = made_of(noticed, "bench", around, by=who.person, at=now)
    begin_reports(unit, who.department, now)
    keep_report(unit, who, OpenReport(new_id("d"), report, 0), report, "deviation-noticed", now=now)
