"""The fit table as somebody may see it: the instructions of one shelf against every department they may read.

Answers that are kept stand as long as nothing changed that they hang on. A few that do not are worked out on
the spot; many are left open, for a job to work out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

from sinkside.desk import departments
from sinkside.desk.access import Visitor, current, require, visitor_at
from sinkside.desk.fit_answers import Answer, answered, kept_answers, least_of, revision_of, still_stands
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.errors import NotThere
from sinkside.records import Revision, Row, Site
from sinkside.route import FitWord, Wanted, shopping_list

SEES: Final = "department-read"
READS: Final = "instruction-read"
CHANGES: Final = "department-edit"

#: So many answers are worked out while somebody waits; each takes some milliseconds.
_AT_ONCE: Final = 30

#: Repairs take longer.
_REPAIRS_AT_ONCE: Final = 6
_MOST_ROWS: Final = 5_000

#: As many departments as stand side by side on a desk's screen.
COLUMNS_AT_ONCE: Final = 12

#: How an instruction stands that has a revision.
_READ: Final = ("in-work", "ready", "approved")

#: What is to be done next, first.
_ORDER: Final[Mapping[FitWord | None, int]] = {
    FitWord.no_route: 0,
    FitWord.with_concerns: 1,
    None: 2,
    FitWord.fits: 3,
}


@dataclass(frozen=True)
class TableColumn:
    """A department as a column: the site and the latest revision of what it has."""

    site: Site
    revision: Revision


@dataclass(frozen=True)
class TableCell:
    """One cell: the word, none where it is still to be worked out, and what is missing."""

    department: str
    word: FitWord | None
    concerns: int = 0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class TableRow:
    """One instruction with its cells, in the order of the columns."""

    row: Row
    cells: tuple[TableCell, ...]

    def number(self, word: FitWord) -> int:
        """In how many departments it stands so."""
        return sum(cell.word is word for cell in self.cells)


@dataclass(frozen=True)
class FitTable:
    """The table: columns in order, rows by what is to be done next, and what would turn most refusals.

    Attributes:
        sites: every department that they may see, one's own first, then by name.
        columns: those of them that stand in this part of the table.
        unsaid: departments of which nobody said yet what they have.
        rows: the instructions.
        open: how many answers are still to be worked out.
        wanted_at: the department that the list of changes is of; none where nobody said what it has.
        wanted: what would turn most refusals there; none while `wanted_open`.
        wanted_open: how many refusals there wait for their smallest repair to be worked out.
        may_change: whether this person may say there that it now has what is wanted.
    """

    sites: tuple[Site, ...]
    columns: tuple[TableColumn, ...]
    unsaid: tuple[Site, ...]
    rows: tuple[TableRow, ...]
    open: int
    wanted_at: Site | None = None
    wanted: tuple[Wanted, ...] = ()
    wanted_open: int = 0
    may_change: bool = False


def fit_page(
    archive: Archive,
    who: Visitor,
    *,
    now: datetime,
    shared_tablet: bool = False,
    at: str = "",
    text: str = "",
    part: int = 1,
) -> FitTable:
    """The fit table of the instructions of this department.

    Args:
        archive: where everything is kept.
        who: the acting person.
        now: the moment.
        shared_tablet: whether several people share the device.
        at: the one department that is wanted; all that they may see unless told.
        text: words that must stand in an instruction.
        part: which dozen of the departments.

    Raises:
        NotAllowed: without the right to read instructions.
        NotThere: if they may not see the department that is wanted.
    """
    require(who, READS)
    with archive.unit(writes=False) as unit:
        rows = shelf_rows(unit, who.department, text=text)
        sites = seen_sites(unit, who, now, shared_tablet=shared_tablet)
        if at and at not in {site.id for site in sites}:
            raise NotThere("there is no such department", resource=at)
        shown = [site for site in sites if site.id == at] if at else _part(sites, part)
        columns, unsaid = columns_of(unit, shown)
        known = _Known(unit, who.department, rows, columns, now)
        wanted_at = next((one for one in columns if one.site.id in {at, who.department}), None)
        table = FitTable(
            sites=tuple(sites),
            columns=tuple(columns),
            unsaid=tuple(unsaid),
            rows=tuple(sorted(map(known.row, rows), key=_to_do_next)),
            open=known.still_open,
        )
        if wanted_at is None:
            return table
        there = visitors_of(unit, who.person, now, shared_tablet=shared_tablet)[wanted_at.site.id][1]
        return replace(known.with_wanted(table, wanted_at), may_change=there.may(CHANGES))


def _part(sites: Sequence[Site], part: int) -> Sequence[Site]:
    start = (part - 1) * COLUMNS_AT_ONCE
    return sites[start : start + COLUMNS_AT_ONCE]


def seen_sites(unit: Unit, who: Visitor, now: datetime, *, shared_tablet: bool) -> list[Site]:
    """The departments whose things somebody may see, their own first, then by name."""
    visitors = visitors_of(unit, who.person, now, shared_tablet=shared_tablet)
    found = [site for site, visitor in visitors.values() if visitor.may(SEES)]
    return sorted(found, key=lambda site: (site.id != who.department, site.name))


def visitors_of(
    unit: Unit, person: str, now: datetime, *, shared_tablet: bool
) -> dict[str, tuple[Site, Visitor]]:
    """Somebody at work in each of their departments."""
    places = unit.people.workplaces(person)
    granted = current([grant for grant, _ in places], now)
    sites = {site.id: site for _, site in places}
    return {
        grant.department: (
            sites[grant.department],
            visitor_at(
                sites[grant.department], person, grant.department, granted, shared_tablet=shared_tablet
            ),
        )
        for grant in granted
    }


def shelf_rows(unit: Unit, shelf: str, *, text: str = "") -> list[Row]:
    """The instructions of a shelf that were read, in which some words stand."""
    return unit.rows.all(INSTRUCTION, [shelf], states=_READ, text=text or None, limit=_MOST_ROWS)


def columns_of(unit: Unit, sites: Sequence[Site]) -> tuple[list[TableColumn], list[Site]]:
    """Departments with what they have, and those of which nobody said yet what that is."""
    found, unsaid = [], []
    for site in sites:
        kept = unit.documents.get(departments.KIND, site.id)
        if kept is None:
            unsaid.append(site)
        else:
            found.append(TableColumn(site, kept))
    return found, unsaid


def number_of(row: Row) -> int:
    """The number of an instruction's latest revision."""
    return int(row.fields.get("revision") or 0)


@dataclass
class _Known:
    """The answers of a table: those that still stand, and those worked out on the spot."""

    unit: Unit
    shelf: str
    rows: Sequence[Row]
    columns: Sequence[TableColumn]
    now: datetime
    answers: dict[tuple[str, str], Answer] = field(default_factory=dict)
    still_open: int = 0

    def __post_init__(self) -> None:
        """Look at what is kept, and work out what is little."""
        changed = []
        for column in self.columns:
            kept = kept_answers(self.unit, self.shelf, column.site.id)
            for row in self.rows:
                answer = kept.get(row.id)
                if answer is not None and still_stands(answer, number_of(row), column.revision):
                    self.answers[row.id, column.site.id] = answer
                else:
                    changed.append((row, column))
        if len(changed) > _AT_ONCE:
            self.still_open = len(changed)
            return
        for row, column in changed:
            self.answers[row.id, column.site.id] = answered(self._text(row), column.revision, now=self.now)

    def row(self, row: Row) -> TableRow:
        return TableRow(row, tuple(self._cell(row, column) for column in self.columns))

    def _cell(self, row: Row, column: TableColumn) -> TableCell:
        answer = self.answers.get((row.id, column.site.id))
        if answer is None:
            return TableCell(column.site.id, None)
        return TableCell(column.site.id, answer.fit.word, answer.fit.concerns, answer.fit.missing)

    def with_wanted(self, table: FitTable, column: TableColumn) -> FitTable:
        """The table with what would turn most refusals, or how many repairs are still to be worked out."""
        refused = [
            (row, answer)
            for row in self.rows
            if (answer := self.answers.get((row.id, column.site.id))) and answer.fit.missing
        ]
        missing = sum(answer.least is None for _, answer in refused)
        if self.still_open or missing > _REPAIRS_AT_ONCE:
            return replace(table, wanted_at=column.site, wanted_open=missing)
        least = {
            row.id: least_of(self._text(row), column.revision) if answer.least is None else answer.least
            for row, answer in refused
        }
        return replace(table, wanted_at=column.site, wanted=shopping_list(least))

    def _text(self, row: Row) -> Revision:
        return revision_of(self.unit, INSTRUCTION, row.id, number_of(row))


def _to_do_next(row: TableRow) -> tuple[int, int, int, str, str]:
    """No route in one's own department first, then the most refusals, then what somebody must look at."""
    own = row.cells[0].word if row.cells else None
    return (
        _ORDER[own],
        -row.number(FitWord.no_route),
        -row.number(FitWord.with_concerns),
        row.row.title,
        row.row.id,
    )
