"""Solutions at the sink of the demo house: one in use, one overdue, one discarded; all of it invented."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sinkside.desk import solution_log
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive
from sinkside.desk.solution_log import MadeUp
from sinkside.desk.solution_making import Said

_ENZYMATIC: Final = Said("enzyclear", "30", temperature="38", point="mixer")
_NEUTRAL: Final = Said("neutraflow", "12", temperature="41", point="tap-cold")


def fill_solutions(archive: Archive, technician: Visitor, *, now: datetime) -> None:
    """Log what was made up at the sink since yesterday."""
    before = now - timedelta(hours=22)
    first = solution_log.log_solution(archive, technician, _ENZYMATIC, MadeUp("EC-30418", before), now=before)
    solution_log.discard(
        archive, technician, first, why="End of the shift.", now=before + timedelta(hours=6, minutes=40)
    )
    for said, lot, minutes in ((_NEUTRAL, "NF-1177", 265), (_ENZYMATIC, "EC-30418", 130)):
        made = now - timedelta(minutes=minutes)
        solution_log.log_solution(archive, technician, said, MadeUp(lot, made), now=made)
