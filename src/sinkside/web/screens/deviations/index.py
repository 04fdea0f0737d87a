"""The list of deviations: open ones first, with their age and what is next; and the same as a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from zoneinfo import ZoneInfo

from fastapi import Query

from sinkside.desk.deviations.finding import MOST, find_deviations, machines_here
from sinkside.desk.deviations.kept import READ, REPORT
from sinkside.desk.deviations.month_paper import month_paper
from sinkside.desk.deviations.table import as_csv
from sinkside.web.asked import Asked
from sinkside.web.screen import Nav, Sending
from sinkside.web.screens.deviations.place import (
    ANYTHING,
    PLACE,
    Asking,
    DeviationLine,
    SoughtShown,
    line_of,
    screen,
    shown_sought,
    sought_of,
)


@dataclass(frozen=True)
class DeviationsPage:
    """Deviations: open ones of any age first, then what was closed in the time that is sought.

    Attributes:
        title: the heading.
        new: where one is entered; empty for who may not.
        charts: where they are drawn together.
        table: where the same is a file.
        month: where the paper of a month is; `this_month` the month that its form begins with.
        here: the address of this list.
        sought: what is sought.
        open: the open ones, what is due first.
        closed: those closed, the latest first.
        on_runs: what runs kept before reports were made.
        counts: how many there are, in one sentence.
    """

    title: str
    new: str
    charts: str
    table: str
    month: str
    this_month: str
    here: str
    sought: SoughtShown
    open: tuple[DeviationLine, ...]
    closed: tuple[DeviationLine, ...]
    on_runs: tuple[DeviationLine, ...]
    counts: str


@screen.page(PLACE, right=READ, template="deviations.html", nav=Nav("Deviations", 46, "proof"))
def deviations_page(asked: Asked, *, asking: Annotated[Asking, Query()] = ANYTHING) -> DeviationsPage:
    """Deviations, open ones first."""
    sought = sought_of(asked, asking)
    narrowed = bool(asking.since or asking.until)
    seen = find_deviations(asked.archive, asked.visitor, sought, narrowed=narrowed)
    day = sought.since.astimezone(ZoneInfo(asked.visitor.zone)).date().isoformat()
    counts = f"{seen.open_in_all} open, {seen.closed_in_all} closed that were found since {day}"
    if max(seen.open_in_all, seen.closed_in_all) > MOST:
        counts += f"; {MOST} of each are shown"
    return DeviationsPage(
        title="Deviations",
        new=asked.at("/deviations/new") if asked.visitor.may(REPORT) else "",
        charts=asked.at(f"/deviations/charts{asking.query()}"),
        table=asked.at(f"/deviations/table.csv{asking.query()}"),
        month=asked.at("/deviations/month.pdf"),
        this_month=_this_month(asked),
        here=asked.at("/deviations"),
        sought=shown_sought(asking, machines_here(asked.archive, asked.visitor)),
        open=tuple(line_of(asked, row) for row in seen.open),
        closed=tuple(line_of(asked, row) for row in seen.closed),
        on_runs=tuple(line_of(asked, row) for row in seen.on_runs),
        counts=counts,
    )


@screen.file(f"{PLACE}/table.csv", right=READ)
def table(asked: Asked, *, asking: Annotated[Asking, Query()] = ANYTHING) -> Sending:
    """What is sought, as a table."""
    data = as_csv(asked.archive, asked.visitor, sought_of(asked, asking))
    return Sending(data, "text/csv; charset=utf-8", saved_as="deviations.csv")


@screen.file(f"{PLACE}/month.pdf", right=READ)
def month_on_paper(asked: Asked, *, month: Annotated[str, Query(max_length=40)] = "") -> Sending:
    """The deviations of a month as a paper; of this month unless told."""
    live = f"{asked.address}{asked.at('/deviations')}"
    data = month_paper(asked.archive, asked.visitor, month, now=asked.now, live_url=live)
    return Sending(data, "application/pdf", saved_as=f"deviations-{month or _this_month(asked)}.pdf")


def _this_month(asked: Asked) -> str:
    """The month that the department's calendars show, as a form has it."""
    return asked.now.astimezone(ZoneInfo(asked.visitor.zone)).strftime("%Y-%m")
