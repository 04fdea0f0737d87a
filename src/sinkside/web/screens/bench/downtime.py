"""Hours on paper: since when the screens were silent, what stood on paper, and what of it is entered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field, ValidationError

from sinkside.bench.outage import SHEET_WORDS, PaperLine, PaperLoad, PaperTime, SheetKind
from sinkside.desk.bench import downtime as desk
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.bench.paper_sheet import (
    CopiedSheet,
    Reading,
    SheetAsked,
    SheetHead,
    asked_sheet,
    clock,
    said,
    site_of,
)
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.typed_moments import read_moment, typed

LIST: Final = f"{PLACE}/downtime"
ONE: Final = f"{LIST}/{{outage}}"

_OUTCOMES: Final = {"done": "entered", "refused": "not entered", "": "to be entered"}


@dataclass(frozen=True)
class OutageLine:
    """One time without screens: its page, since when and until when, why, how many lines, how many left."""

    address: str
    began: str
    ended: str
    why: str
    lines: int
    left: int


@dataclass(frozen=True)
class OutagesPage:
    """What is still to be entered, what is done with; the paper pack; now, as the form takes it."""

    title: str
    address: str
    pack: str
    open: tuple[OutageLine, ...]
    entered: tuple[OutageLine, ...]
    now: str


@dataclass(frozen=True)
class CopiedShown:
    """A line that was copied: number, time, form, set, what became of it, and why it was refused."""

    line: str
    at: str
    kind: str
    code: str
    outcome: str
    words: str
    said: str


@dataclass(frozen=True)
class LoadShown:
    """A sheet that is one load: number, machine, program, times, and how far it is entered."""

    sheet: str
    words: str
    times: str
    said: str


@dataclass(frozen=True)
class OutagePage:
    """One time without screens.

    Attributes:
        title: the heading.
        address: of the page.
        outages: where the list is.
        line: since when, until when, why.
        ended_now: now, as the form takes it; empty where it has ended.
        kinds: the forms of the paper pack.
        sheet: the sheet that is being copied; none before one is chosen.
        copied: what was copied, in the order in which it happened.
        loads: the sheets that are loads.
        gaps: lines that were passed over.
        left: how many lines wait to be entered.
    """

    title: str
    address: str
    outages: str
    line: OutageLine
    ended_now: str
    kinds: tuple[Option, ...]
    sheet: SheetAsked | None
    copied: tuple[CopiedShown, ...]
    loads: tuple[LoadShown, ...]
    gaps: str
    left: int


class Began(Form):
    """Since when and until when the screens did not answer, and why."""

    began: str = Field("", max_length=16)
    ended: str = Field("", max_length=16)
    why: str = Field("", max_length=500)


class Ended(Form):
    """When the screens answered again."""

    ended: str = Field("", max_length=16)


class Struck(Form):
    """A line that was copied by mistake."""

    line: str = Field("", max_length=12)


@screen.page(LIST, right=desk.READ, template="bench_downtime.html")
def outages_page(asked: Asked) -> OutagesPage:
    """Times without screens: what of them is still to be entered."""
    found = desk.find_outages(asked.archive, asked.visitor)
    return OutagesPage(
        title="Without screens",
        address=asked.at("/bench/downtime"),
        pack=asked.at("/papers/downtime"),
        open=tuple(_line(asked, key, paper) for key, paper in found.open),
        entered=tuple(_line(asked, key, paper) for key, paper in found.entered),
        now=typed(asked, asked.now),
    )


@screen.act(LIST, right=desk.WORK, form=Began, page=outages_page)
def begin_outage(asked: Asked, form: Began) -> Done:
    """Keep that the screens did not answer."""
    key = desk.begin_outage(
        asked.archive,
        asked.visitor,
        began=read_moment(asked, form.began, field="began"),
        ended=read_moment(asked, form.ended, field="ended") if form.ended else None,
        why=form.why,
        now=asked.now,
    )
    return Done(go=asked.at(f"/bench/downtime/{key}"), said="Kept. Now copy what stands on paper.")


@screen.page(ONE, right=desk.READ, template="bench_outage.html")
def outage_page(
    asked: Asked,
    outage: str,
    *,
    sheet: Annotated[str, Query(max_length=6)] = "",
    kind: Annotated[str, Query(max_length=20)] = "",
) -> OutagePage:
    """One time without screens: a sheet to copy, what was copied, what of it is entered."""
    paper = desk.open_outage(asked.archive, asked.visitor, outage)
    line = _line(asked, outage, paper)
    sent = asked.problem.typed
    number, of = said(sent, "sheet", sheet), said(sent, "kind", kind)
    return OutagePage(
        title=f"Without screens from {line.began}",
        address=line.address,
        outages=asked.at("/bench/downtime"),
        line=line,
        ended_now="" if paper.ended else typed(asked, asked.now),
        kinds=tuple(Option(one.value, SHEET_WORDS[one]) for one in SheetKind),
        sheet=asked_sheet(asked, paper, number, of) if number and of in list(SheetKind) else None,
        copied=tuple(_copied(asked, one) for one in paper.in_order()),
        loads=tuple(_load(asked, one) for one in paper.loads),
        gaps=", ".join(paper.gaps()),
        left=len(paper.to_enter()),
    )


@screen.act(f"{ONE}/sheet", right=desk.WORK, form=CopiedSheet, page=outage_page)
def copy_sheet(asked: Asked, form: SheetHead, outage: str) -> Done:
    """Copy one sheet; what was copied of it before is put right."""
    paper = desk.open_outage(asked.archive, asked.visitor, outage)
    reading = Reading(asked, paper, form)
    try:
        load = reading.load()
        lines = tuple(reading.lines(load))
    except ValidationError as error:
        first = error.errors()[0]
        raise BadInput(
            str(first["msg"]).removeprefix("Value error, "), resource=str(first["loc"][-1])
        ) from error
    desk.copy_lines(asked.archive, asked.visitor, outage, lines, load=load, now=asked.now)
    many = "1 line" if len(lines) == 1 else f"{len(lines)} lines"
    return Done(go=asked.at(f"/bench/downtime/{outage}"), said=f"Copied: {many} of sheet {reading.number}.")


@screen.act(f"{ONE}/enter", right=desk.WORK, page=outage_page)
def enter_paper(asked: Asked, outage: str) -> Done:
    """Enter what was copied, in the order in which it happened."""
    came = desk.enter(asked.archive, asked.visitor, outage, now=asked.now)
    refused = f", {came.refused} not: see why below" if came.refused else ""
    return Done(go=asked.at(f"/bench/downtime/{outage}"), said=f"Entered: {came.done}{refused}.")


@screen.act(f"{ONE}/strike", right=desk.WORK, form=Struck, page=outage_page)
def strike_line(asked: Asked, form: Struck, outage: str) -> Done:
    """Strike a line that was copied by mistake."""
    desk.strike_line(asked.archive, asked.visitor, outage, form.line, now=asked.now)
    return Done(go=asked.at(f"/bench/downtime/{outage}"), said=f"Struck: {form.line}.")


@screen.act(f"{ONE}/end", right=desk.WORK, form=Ended, page=outage_page)
def end_outage(asked: Asked, form: Ended, outage: str) -> Done:
    """Keep when the screens answered again."""
    ended = read_moment(asked, form.ended, field="ended")
    desk.end_outage(asked.archive, asked.visitor, outage, ended, now=asked.now)
    return Done(go=asked.at(f"/bench/downtime/{outage}"), said="Kept: the screens answer again.")


def _line(asked: Asked, key: str, paper: PaperTime) -> OutageLine:
    zone = asked.visitor.zone
    return OutageLine(
        address=asked.at(f"/bench/downtime/{key}"),
        began=shown_moment(paper.began, zone),
        ended=shown_moment(paper.ended, zone) if paper.ended else "",
        why=paper.why,
        lines=len(paper.lines),
        left=len(paper.to_enter()),
    )


def _copied(asked: Asked, one: PaperLine) -> CopiedShown:
    at = shown_moment(one.at, asked.visitor.zone)
    kind = SHEET_WORDS[one.kind]
    return CopiedShown(one.line, at, kind, one.code, one.outcome, _OUTCOMES[one.outcome], one.said)


def _load(asked: Asked, load: PaperLoad) -> LoadShown:
    site = site_of(asked)
    name = next((one.name for one in site.machines if one.id == load.machine), load.machine)
    times = f"{shown_moment(load.at, asked.visitor.zone)} to {clock(asked, load.ended)}"
    stands = {"": "to be entered", "done": "entered"}.get(load.stands, "not entered whole")
    return LoadShown(load.sheet, f"{name}, {load.program}", times, load.said or stands)
