"""The fit table: which departments can do which instructions, and what would turn most refusals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import urlencode

from fastapi import Query

from sinkside.desk import fit_job
from sinkside.desk.fit_one import change_id
from sinkside.desk.fit_page import COLUMNS_AT_ONCE, READS, FitTable, TableCell, TableRow, fit_page
from sinkside.desk.instruction_view import maker_words, row_words
from sinkside.records import Site
from sinkside.route import FitWord, Wanted
from sinkside.web.asked import Asked
from sinkside.web.fit_words import detail_of, state_of, words_of
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen

screen = Screen("fit")

_ROWS_AT_ONCE: Final = 60
_WANTED_SHOWN: Final = 10
_STATES: Final = {"in-work": "not approved yet", "ready": "waits for approval", "approved": "approved"}

Text = Annotated[str, Query(max_length=200)]
Place = Annotated[str, Query(max_length=100)]
Part = Annotated[int, Query(ge=1, le=1000)]


@dataclass(frozen=True)
class FitColumnShown:
    """A department as a column: name, where it is shown by itself, and how many instructions it refuses."""

    name: str
    address: str
    no_route: int


@dataclass(frozen=True)
class FitCellShown:
    """One cell: where it opens, how it stands as a key and in words, and how much there is to do."""

    address: str
    department: str
    state: str
    words: str
    detail: str


@dataclass(frozen=True)
class FitRowShown:
    """One instruction: where it opens, device, maker and approval, how it stands in all, and its cells."""

    address: str
    title: str
    about: str
    in_all: str
    cells: tuple[FitCellShown, ...]


@dataclass(frozen=True)
class TurnedShown:
    """An instruction that a change turns or helps: its device, and where its cell opens."""

    title: str
    address: str


@dataclass(frozen=True)
class WantedShown:
    """A change of a department: its sentence, what it turns, what it helps.

    `address` is where it is said to be true, for whoever may.
    """

    sentence: str
    address: str
    turns: tuple[TurnedShown, ...]
    helps: tuple[TurnedShown, ...]


@dataclass(frozen=True)
class FitPage:
    """The instructions of one shelf against the departments that one may see, by what is to be done next.

    Attributes:
        title: the heading.
        address: of this page.
        text: words that were searched for.
        at: the one department that is shown; empty where all are.
        sites: the departments to choose from.
        columns: the departments of this part of the table.
        rows: the instructions of this part, the most to do first.
        instructions: how many instructions there are in all.
        refused: how many of them have no route in the department that `wanted_at` names.
        open: how many answers of this part are still to be worked out.
        work: where they are asked to be worked out.
        job: where the work can be watched, while it goes on.
        job_done: how many of
        job_total: so many answers it has.
        unsaid: departments of which nobody said yet what they have.
        wanted_at: the department that the list of changes is of.
        wanted: the changes that would turn most refusals there.
        wanted_open: how many refusals there wait for their smallest repair to be worked out.
        rows_before: the address of the rows before these, empty where there are none.
        rows_after: the address of the rows after these.
        columns_before: the address of the departments before these.
        columns_after: the address of the departments after these.
    """

    title: str
    address: str
    text: str
    at: str
    sites: tuple[Option, ...]
    columns: tuple[FitColumnShown, ...]
    rows: tuple[FitRowShown, ...]
    instructions: int
    refused: int
    open: int
    work: str
    job: str
    job_done: int
    job_total: int
    unsaid: tuple[str, ...]
    wanted_at: str
    wanted: tuple[WantedShown, ...]
    wanted_open: int
    rows_before: str
    rows_after: str
    columns_before: str
    columns_after: str


class WorkOut(Form):
    """Which department's answers are wanted; those of all that one may see unless told."""

    at: str = ""


@screen.page(f"{DEPARTMENT}/fit", right=READS, template="fit.html", nav=Nav("Fit", 25, "instructions"))
def fit(asked: Asked, *, text: Text = "", at: Place = "", rows: Part = 1, part: Part = 1) -> FitPage:
    """Which departments can do which instructions, what is to be done next first."""
    table = fit_page(
        asked.archive,
        asked.visitor,
        now=asked.now,
        shared_tablet=_on_shared_tablet(asked),
        at=at,
        text=text,
        part=part,
    )
    job = fit_job.work_that_goes_on(asked.archive, asked.visitor)
    start = (rows - 1) * _ROWS_AT_ONCE
    here = _Here(asked, text, at, rows, part)
    return FitPage(
        title="Fit table",
        address=asked.at("/fit"),
        text=text,
        at=at,
        sites=(Option("", "Every department"), *(Option(site.id, site.name) for site in table.sites)),
        columns=tuple(_columns(here, table)),
        rows=tuple(_row(asked, row, table) for row in table.rows[start : start + _ROWS_AT_ONCE]),
        instructions=len(table.rows),
        refused=_refused(table, table.wanted_at),
        open=table.open,
        work=asked.at("/fit/work"),
        job=asked.at(f"/jobs/{job.id}") if job else "",
        job_done=job.done if job else 0,
        job_total=job.total if job else 0,
        unsaid=tuple(site.name for site in table.unsaid),
        wanted_at=table.wanted_at.name if table.wanted_at else "",
        wanted=_wanted(table),
        wanted_open=table.wanted_open,
        rows_before=here.moved(rows=rows - 1) if rows > 1 else "",
        rows_after=here.moved(rows=rows + 1) if start + _ROWS_AT_ONCE < len(table.rows) else "",
        columns_before=here.moved(part=part - 1) if part > 1 and not at else "",
        columns_after=here.moved(part=part + 1)
        if not at and part * COLUMNS_AT_ONCE < len(table.sites)
        else "",
    )


@screen.act(f"{DEPARTMENT}/fit/work", right=READS, form=WorkOut, page=fit)
def work_out(asked: Asked, form: WorkOut) -> Done:
    """Ask for every answer that no longer stands to be worked out."""
    job = fit_job.ask_to_work_out(
        asked.archive, asked.visitor, now=asked.now, shared_tablet=_on_shared_tablet(asked), at=form.at
    )
    return Done(go=asked.at(f"/jobs/{job}"), said="The answers are being worked out.")


@dataclass(frozen=True)
class _Here:
    """What was asked for, so that the neighbouring parts of the table can be led to."""

    asked: Asked
    text: str
    at: str
    rows: int
    part: int

    def moved(self, **changed: int | str) -> str:
        asked_for = {"text": self.text, "at": self.at, "rows": self.rows, "part": self.part, **changed}
        told = {name: value for name, value in asked_for.items() if value not in {"", 1}}
        address = self.asked.at("/fit")
        return f"{address}?{urlencode(told)}" if told else address


def _on_shared_tablet(asked: Asked) -> bool:
    return asked.someone.session.shared_tablet


def _columns(here: _Here, table: FitTable) -> list[FitColumnShown]:
    return [
        FitColumnShown(
            name=column.site.name,
            address=here.moved(at=column.site.id, rows=1, part=1),
            no_route=_refused(table, column.site),
        )
        for column in table.columns
    ]


def _refused(table: FitTable, site: Site | None) -> int:
    return sum(
        cell.word is FitWord.no_route
        for row in table.rows
        for cell in row.cells
        if site and cell.department == site.id
    )


def _row(asked: Asked, row: TableRow, table: FitTable) -> FitRowShown:
    known = row.row
    names = {site.id: site.name for site in table.sites}
    maker = maker_words(known)
    return FitRowShown(
        address=asked.at(f"/instructions/{known.id}"),
        title=row_words(known)[0],
        about=" · ".join(filter(None, (maker, _STATES.get(known.state, "")))),
        in_all=f"no route in {row.number(FitWord.no_route)} of {len(row.cells)} departments",
        cells=tuple(_cell(cell, known.id, names) for cell in row.cells),
    )


def _cell(cell: TableCell, instruction: str, names: dict[str, str]) -> FitCellShown:
    return FitCellShown(
        address=f"/at/{cell.department}/fit/{instruction}",
        department=names[cell.department],
        state=state_of(cell.word),
        words=words_of(cell.word),
        detail=detail_of(cell.word, missing=len(cell.missing), concerns=cell.concerns),
    )


def _wanted(table: FitTable) -> tuple[WantedShown, ...]:
    if table.wanted_at is None:
        return ()
    place = f"/at/{table.wanted_at.id}/fit"
    titles = {row.row.id: row_words(row.row)[0] for row in table.rows}

    def turned(names: tuple[str, ...]) -> tuple[TurnedShown, ...]:
        return tuple(TurnedShown(titles[name], f"{place}/{name}") for name in names)

    def led(one: Wanted) -> str:
        instruction = (*one.turns, *one.helps)[0]
        may = table.may_change and one.change.edit
        return f"{place}/{instruction}/changes/{change_id(one.change)}" if may else ""

    return tuple(
        WantedShown(one.change.sentence, led(one), turned(one.turns), turned(one.helps))
        for one in table.wanted[:_WANTED_SHOWN]
    )
