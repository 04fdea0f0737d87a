"""An indicator that shows that something was wrong is a deviation of its load and machine."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.noticing import Noticed
from sinkside.desk.access import Visitor
from sinkside.desk.deviations.kept import OpenReport, begin_reports, keep_report
from sinkside.desk.deviations.making import Around, made_of
from sinkside.desk.indicator_documents import Indicator
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.instruction import Stage

#: What each result is: its kind of deviation, and what the program does about it at once.
_KINDS: Final = {
    "positive": (
        "indicator-grew",
        "the machine is out of use, and its loads since the last good one are asked after",
    ),
    "failed": ("indicator", "nothing of its load goes on before somebody decided"),
}


def indicator_showed(unit: Unit, who: Visitor, read: Indicator, *, now: datetime) -> None:
    """Report an indicator that grew or did not pass; nothing for other results.

    Args:
        unit: the transaction in which it was read.
        who: who read it.
        read: the indicator as it stands.
        now: the moment.
    """
    if read.outcome not in _KINDS:
        return
    kind, measure = _KINDS[read.outcome]
    words = f"{read.lot_words}{f': {read.note}' if read.note else ''}"
    noticed = Noticed(kind, words[:500], Stage.sterilization, measures=measure)
    around = Around(load=unit.bench.loads.of_cycle(who.department, read.cycle))
    report = made_of(noticed, "bench", around, by=who.person, at=now).model_copy(
        update={"machine": read.machine, "machine_name": read.machine_name}
    )
    begin_reports(unit, who.department, now)
    opened = OpenReport(new_id("d"), report, 0)
    keep_report(unit, who, opened, report, "deviation-noticed", now=now)
