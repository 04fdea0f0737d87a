"""Files of papers: pictures of pages, PDFs, and the paper pack for downtime."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Query

from sinkside.aids.count_sheet import SheetSize
from sinkside.desk import paper_printing, paper_sets
from sinkside.desk.paper_making import MadePaper
from sinkside.desk.paper_pictures import page_png
from sinkside.desk.paper_readers import ReadIn
from sinkside.web.asked import Asked
from sinkside.web.screen import Sending
from sinkside.web.screens.papers.choosing import LookedAt, wanted_of
from sinkside.web.screens.papers.shelf import PLACE, READ, screen

PDF = "application/pdf"
Page = Annotated[int, Query(ge=1, le=1_000)]


@screen.file(f"{PLACE}/picture", right=READ)
def picture(asked: Asked, *, wanted: Annotated[LookedAt, Query()]) -> Sending:
    """A page of a paper as a picture."""
    return Sending(page_png(_looked_at(asked, wanted).pdf, wanted.page), "image/png")


@screen.file(f"{PLACE}/file", right=READ)
def file(asked: Asked, *, wanted: Annotated[LookedAt, Query()]) -> Sending:
    """A paper as it is looked at, as PDF; what is to hang is printed, so that it is known by its code."""
    made = _looked_at(asked, wanted)
    return Sending(made.pdf, PDF, saved_as=made.file_name)


@screen.file(f"{PLACE}/downtime", right="department-read")
def downtime(
    asked: Asked,
    *,
    size: Literal["a4", "letter"] = "a4",
    sheets: Annotated[int, Query(ge=1, le=40)] = 1,
    language: Annotated[str, Query(max_length=10)] = "en",
    proof: bool = False,
) -> Sending:
    """The paper pack of this department: forms for when the screens do not answer."""
    data = paper_sets.downtime_pack(
        asked.archive,
        asked.visitor,
        size=SheetSize(size),
        sheets=sheets,
        read_in=ReadIn(language, proof),
        now=asked.now,
    )
    return Sending(data, PDF, saved_as="paper-pack-for-downtime.pdf")


def _looked_at(asked: Asked, wanted: LookedAt) -> MadePaper:
    paper = wanted_of(asked, wanted.chosen, proof=wanted.proof)
    return paper_printing.look(asked.archive, asked.visitor, paper, now=asked.now)
