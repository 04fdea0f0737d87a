"""What an instruction's approval touches: how it goes in each department, and how the approved text went."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.fit_answers import answered
from sinkside.desk.fit_page import columns_of, seen_sites
from sinkside.desk.ports import Unit
from sinkside.desk.shelf import KIND, OpenInstruction
from sinkside.records import Site
from sinkside.route import Fit

#: So many departments are told on the page; the fit table has them all.
_MOST: Final = 12


@dataclass(frozen=True)
class Touched:
    """A department with the answer for the revision, and for the one that is approved now, if any."""

    site: Site
    now: Fit
    before: Fit | None


def touched_by_approval(
    unit: Unit, who: Visitor, latest: OpenInstruction, *, now: datetime, shared_tablet: bool = False
) -> tuple[Touched, ...]:
    """How a revision goes in the departments that somebody may see, a dozen of them at most.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    sites = seen_sites(unit, who, now, shared_tablet=shared_tablet)[:_MOST]
    columns, _ = columns_of(unit, sites)
    approved = latest.row.fields.get("approved")
    text = unit.documents.get(KIND, latest.row.id, int(approved)) if approved else None
    return tuple(
        Touched(
            site=column.site,
            now=answered(latest.revision, column.revision, now=now).fit,
            before=answered(text, column.revision, now=now).fit if text else None,
        )
        for column in columns
    )
