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
from sinkside.desk.paper_readers import ReadIn
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.plain import LANGUAGES
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option, Sending
from sinkside.web.screens.papers.choosing import PreviewPage, sentence
from sinkside.web.screens.papers.files import PDF, Page
from sinkside.web.screens.papers.shelf import PLACE, papers_url, screen

Sheet = Literal["a4", "letter"]
Language = Annotated[str, Query(max_length=10)]
_SET = f"{PLACE}/sets/{{key}}"


class SheetChosen(Form):
    """On which size, and in which language, the count sheet is printed."""

    size: SheetSize = SheetSize.a4
    language: str = Field("en", max_length=10)


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
    language: str = Field("en", max_length=10)
    proof: bool = False


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
        language: in which it is looked at.
        proof: whether a proof is looked at.
        pages: its pages as pictures.
        file: where the PDF of a proof is.
        refused: why it must not be printed yet; empty where it may.
        proof_address: where a proof is looked at instead.
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
    language: str
    proof: bool
    pages: tuple[PreviewPage, ...]
    file: str
    refused: str
    proof_address: str
    label_sizes: tuple[Option, ...]
    numbers: tuple[Option, ...]
    kinds: tuple[Option, ...]
    languages: tuple[Option, ...]
    packs: str


@screen.page(_SET, right=sets.READ, template="set_papers.html")
def of_set(
    asked: Asked, key: str, *, size: Sheet = "a4", language: Language = "en", proof: bool = False
) -> SetPapersPage:
    """Papers of a set: its count sheet as it would be printed, its labels, and the papers of its devices."""
    address = asked.at(f"/papers/sets/{key}")
    said = {"size": size, "language": language, "proof": proof}
    pages, refused = _looked_at(asked, _wanted(asked, key, size, language, proof=proof), address, said)
    return SetPapersPage(
        title=f"Papers of {paper_sets.name_of(asked.archive, asked.visitor, key)}",
        address=address,
        set_address=asked.at(f"/sets/{key}"),
        key=key,
        size=size,
        sizes=(Option("a4", "A4"), Option("letter", "Letter")),
        language=language,
        proof=proof,
        pages=pages,
        file=f"{address}/count-sheet/file?{urlencode(said)}" if pages else "",
        refused=refused,
        proof_address=f"{address}?{urlencode({**said, 'proof': True})}",
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
def sheet_picture(
    asked: Asked,
    key: str,
    *,
    size: Sheet = "a4",
    language: Language = "en",
    proof: bool = False,
    page: Page = 1,
) -> Sending:
    """A page of the count sheet as a picture."""
    wanted = _wanted(asked, key, size, language, proof=proof)
    made = paper_printing.look(asked.archive, asked.visitor, wanted, now=asked.now)
    return Sending(page_png(made.pdf, page), "image/png")


@screen.file(f"{_SET}/count-sheet/file", right=sets.READ)
def sheet_file(
    asked: Asked, key: str, *, size: Sheet = "a4", language: Language = "en", proof: bool = False
) -> Sending:
    """The count sheet as it is looked at, as PDF; what is to be used is printed, and known by its code."""
    wanted = _wanted(asked, key, size, language, proof=proof)
    made = paper_printing.look(asked.archive, asked.visitor, wanted, now=asked.now)
    return Sending(made.pdf, PDF, saved_as=made.file_name)


@screen.act(f"{_SET}/count-sheet", right=sets.READ, form=SheetChosen, page=of_set)
def print_sheet(asked: Asked, form: SheetChosen, key: str) -> Done:
    """Print the count sheet: it is known by its code from now on."""
    wanted = _wanted(asked, key, form.size, form.language)
    made = paper_printing.print_paper(asked.archive, asked.visitor, wanted, now=asked.now)
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
        asked.archive,
        asked.visitor,
        key,
        number,
        size=wanted.size,
        copies=wanted.copies,
        read_in=ReadIn(wanted.language, wanted.proof),
        now=asked.now,
    )
    return Sending(data, PDF, saved_as=f"labels-{key}.pdf")


def _wanted(asked: Asked, key: str, size: str, language: str, *, proof: bool = False) -> Wanted:
    return Wanted(key, None, papers_url(asked), SheetSize(size), language, proof)


def _looked_at(
    asked: Asked, wanted: Wanted, address: str, said: dict[str, object]
) -> tuple[tuple[PreviewPage, ...], str]:
    """The pages of the count sheet as pictures, or why there are none."""
    try:
        made = paper_printing.look(asked.archive, asked.visitor, wanted, now=asked.now)
    except (NotForTheFloor, BadInput) as error:
        return (), sentence(error.message)
    sizes = page_sizes(made.pdf)
    return tuple(
        PreviewPage.of(
            f"{address}/picture?{urlencode({**said, 'page': number})}",
            one,
            f"Count sheet, page {number} of {len(sizes)}",
        )
        for number, one in enumerate(sizes, start=1)
    ), ""


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text.strip() else None
    except ValueError as error:
        raise BadInput(f"'{text}' is no day; expected one such as 2026-12-31", resource="use_by") from error
