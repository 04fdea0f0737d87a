"""A biological result that comes late: told to every form by which something of its load went out early."""

from __future__ import annotations

from datetime import datetime

from sinkside.desk.access import Visitor
from sinkside.desk.bench.exceptions import learnt_later
from sinkside.desk.indicator_documents import Indicator
from sinkside.desk.ports import Unit


def result_came(unit: Unit, who: Visitor, read: Indicator, *, now: datetime) -> None:
    """Add a result to the forms of a load; nothing where nothing of it went out early."""
    load = unit.bench.loads.of_cycle(who.department, read.cycle)
    forms = str(load.fields.get("exceptions") or "") if load else ""
    said = {
        "negative": "no growth, and its control grew",
        "positive": "growth: tell theatre and infection prevention at once",
        "not-valid": "it says nothing, as its control did not grow",
    }
    for exception in forms.split():
        words = f"Biological indicator ({read.lot_words}): {said.get(read.outcome, read.outcome)}."
        learnt_later(unit, who, exception, words, now=now)
