"""Papers of a set: its count sheet looked at and printed, its labels, and all papers of its devices."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import Query
from pydantic import Field

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.labels import LabelSize
from sinkside.aids.labels.request import MOST_COPIES
from sinkside.aids.papers import NAMES, Kind
from sinkside.desk import paper_printing, paper_sets, sets
from sinkside.desk.paper_numbers import SaidNumber
from sinkside.desk.paper_pictures import page_png, page_sizes
from sinkside.desk.paper_printing import Wanted
from sinkside.errors import BadInput
from sinkside.plain import LANGUAGES
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option, Sending
from sinkside.web.screens.papers.choosing import PreviewPage
from sinkside.web.screens.papers.files import PDF, Page
from sinkside.web.screens.papers.shelf import PLACE, papers_url, screen

Sheet = Literal["a4", "letter"]
_SET = f"{PLACE}/sets/{{key}}"


class SheetChosen(Form):
    """On which size the count sheet is printed."""

    size: SheetSize = SheetSize.a4


class LabelsAsked(Form):
    """Which labels: of which number, with what beside it, how large, how many; empty where not known."""

    kind: Literal["giai", "grai", "gtin", "own"] = "giai"
    number: str = Field("", max_length=100)
    serial: str = Field("", max_length=100)
    lot: str = Field("", max_length=100)
    load: str = Field("", max_length=100)
    use_by: str = Field("", max_length=10)
    size: LabelSize = LabelSize.middle
    copies: int = Field(1, ge=1, le=MOST_COPIES)


@dataclass(frozen=True)
class SetPapersPage:
    """Papers of a set.

    Attributes:
        title: the heading.
        address: of this page.
        set_address: the set's page.
        key: the set's id.
        size: on which the count sheet is looked at.
        sizes: on which it comes.
        pages: its pages as pictures.
        label_sizes: on which labels come.
        numbers: which numbers a label may have.
        kinds: which papers there are of each device.
        languages: in which languages.
        packs: where they are asked for as one PDF.
    """

    title: str
    address: str
    set_address: str
    key: str
    size: str
    sizes: tuple[Option, ...]
    pages: tuple[PreviewPage, ...]
    label_sizes: tuple[Option, ...]
    numbers: tuple[Option, ...]
    kinds: tuple[Option, ...]
    languages: tuple[Option, ...]
    packs: str


@screen.page(_SET, right=sets.READ, template="set_papers.html")
def of_set(asked: Asked, key: str, *, size: Sheet = "a4") -> SetPapersPage:
    """Papers of a set: its count sheet as it would be printed, its labels, and the papers of its devices."""
    made = paper_printing.look(asked.archive, asked.visitor, _wanted(asked, key, size), now=asked.now)
    address, sizes = asked.at(f"/papers/sets/{key}"), page_sizes(made.pdf)
    return SetPapersPage(
        title=f"Papers of {made.paper.title}",
        address=address,
        set_address=asked.at(f"/sets/{key}"),
        key=key,
        size=size,
        sizes=(Option("a4", "A4"), Option("letter", "Letter")),
        pages=tuple(
            PreviewPage.of(
                f"{address}/picture?{urlencode({'size': size, 'page': number})}",
                one,
                f"Count sheet, page {number} of {len(sizes)}",
            )
            for number, one in enumerate(sizes, start=1)
        ),
        label_sizes=tuple(Option(one.value, f"{one.mm[0]} × {one.mm[1]} mm") for one in LabelSize),
        numbers=(
            Option("giai", "GIAI, of an individual asset"),
            Option("grai", "GRAI, of a returnable asset"),
            Option("gtin", "GTIN, of a trade item"),
            Option("own", "The department’s own number"),
        ),
        kinds=tuple(Option(one.value, NAMES[one]) for one in Kind),
        languages=tuple(Option(code, name) for code, name in LANGUAGES.items()),
        packs=asked.at("/papers/packs"),
    )


@screen.file(f"{_SET}/picture", right=sets.READ)
def sheet_picture(asked: Asked, key: str, *, size: Sheet = "a4", page: Page = 1) -> Sending:
    """A page of the count sheet as a picture."""
    made = paper_printing.look(asked.archive, asked.visitor, _wanted(asked, key, size), now=asked.now)
    return Sending(page_png(made.pdf, page), "image/png")


@screen.act(f"{_SET}/count-sheet", right=sets.READ, form=SheetChosen, page=of_set)
def print_sheet(asked: Asked, form: SheetChosen, key: str) -> Done:
    """Print the count sheet: it is known by its code from now on."""
    made = paper_printing.print_paper(
        asked.archive, asked.visitor, _wanted(asked, key, form.size), now=asked.now
    )
    return Done(go=asked.at(f"/papers/{made.code}"), said="Printed. Open the PDF and print it.")


@screen.file(f"{_SET}/labels", right=sets.READ)
def labels(asked: Asked, key: str, *, wanted: Annotated[LabelsAsked, Query()]) -> Sending:
    """Labels of a set as PDF, one a page."""
    number = SaidNumber(
        **{wanted.kind: wanted.number},
        serial=wanted.serial,
        lot=wanted.lot,
        use_by=_day(wanted.use_by),
        load=wanted.load,
    )
    data = paper_sets.set_labels(
        asked.archive, asked.visitor, key, number, size=wanted.size, copies=wanted.copies, now=asked.now
    )
    return Sending(data, PDF, saved_as=f"labels-{key}.pdf")


def _wanted(asked: Asked, key: str, size: str) -> Wanted:
    return Wanted(key, None, papers_url(asked), SheetSize(size))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text.strip() else None
    except ValueError as error:
        raise BadInput(f"'{text}' is no day; expected one such as 2026-12-31", resource="use_by") from error
