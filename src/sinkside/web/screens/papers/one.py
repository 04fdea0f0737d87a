"""One paper by its code, as whoever scans it sees it: current or replaced, what changed, where it hangs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from sinkside.desk import paper_printing, paper_register
from sinkside.desk.paper_printing import print_paper, wanted_again
from sinkside.desk.paper_register import KnownPaper
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Sending
from sinkside.web.screens.papers.files import PDF
from sinkside.web.screens.papers.shelf import (
    HANG,
    PLACE,
    READ,
    PlaceLine,
    now_words,
    paper_words,
    papers_url,
    people_of,
    place_line,
    screen,
)


class Hung(Form):
    """Where copies of a paper hang now, and how many."""

    place: str = Field(max_length=200)
    copies: int = 1


class Gone(Form):
    """How copies ended: replaced by the current paper, or taken away, and why where the paper is current."""

    how: Literal["replaced", "removed"]
    why: str = Field("", max_length=500)


@dataclass(frozen=True)
class PaperPage:
    """One paper.

    Attributes:
        title: the heading.
        address: of this page.
        papers: where the list is.
        paper: which paper it is, in words.
        code: its code.
        of: the page of what it is of.
        revision: what it was printed from.
        is_current: whether people may work by it.
        state: current, replaced or withdrawn.
        since: since when it is replaced.
        now: what is in force instead.
        changes: what changed, in sentences.
        file: its PDF; empty where it is not current.
        hanging: where it hangs.
        gone: where it hung.
        may_hang: whether this person may say what hangs where.
    """

    title: str
    address: str
    papers: str
    paper: str
    code: str
    of: str
    revision: int
    is_current: bool
    state: str
    since: str
    now: str
    changes: tuple[str, ...]
    file: str
    hanging: tuple[PlaceLine, ...]
    gone: tuple[PlaceLine, ...]
    may_hang: bool


@screen.page(f"{PLACE}/{{code}}", right=READ, template="paper.html")
def paper(asked: Asked, code: str) -> PaperPage:
    """A paper by its code: whether it is current, and if not, since when and what changed."""
    opened = paper_register.open_paper(asked.archive, asked.visitor, code)
    names = names_of(asked.archive, people_of(opened.places))
    lines = [place_line(asked, one, names) for one in opened.places]
    known, address = opened.known, asked.at(f"/papers/{opened.known.code}")
    standing = known.standing
    return PaperPage(
        title=known.paper.title,
        address=address,
        papers=asked.at("/papers"),
        paper=paper_words(known.paper),
        code=known.code,
        of=_page_of(asked, known),
        revision=known.paper.of.revision,
        is_current=standing.is_current,
        state=standing.state,
        since=shown_moment(standing.since, asked.visitor.zone) if standing.since else "",
        now=now_words(known),
        changes=standing.changes,
        file=f"{address}/file" if standing.is_current else "",
        hanging=tuple(line for line in lines if not line.ended),
        gone=tuple(line for line in lines if line.ended),
        may_hang=asked.visitor.may(HANG),
    )


@screen.file(f"{PLACE}/{{code}}/file", right=READ)
def paper_file(asked: Asked, code: str) -> Sending:
    """A current paper as PDF, as it is printed today; a replaced one is not printed again."""
    made = paper_printing.printed_again(
        asked.archive, asked.visitor, code, now=asked.now, papers_url=papers_url(asked)
    )
    return Sending(made.pdf, PDF, saved_as=made.file_name)


@screen.act(f"{PLACE}/{{code}}/places", right=HANG, form=Hung, page=paper)
def hang(asked: Asked, form: Hung, code: str) -> Done:
    """Say that copies of a paper hang somewhere now."""
    paper_register.hang(
        asked.archive, asked.visitor, code, place=form.place, copies=form.copies, now=asked.now
    )
    return Done(go=asked.at(f"/papers/{code}"), said=f"Noted: it hangs at {' '.join(form.place.split())}.")


@screen.act(f"{PLACE}/{{code}}/places/{{copy}}", right=HANG, form=Gone, page=paper)
def end(asked: Asked, form: Gone, code: str, copy: str) -> Done:
    """Say that the copies at a place were replaced by the current paper, or taken away."""
    gone = paper_register.end(
        asked.archive, asked.visitor, code, copy, how=form.how, why=form.why, now=asked.now
    )
    done = "replaced" if form.how == "replaced" else "taken away"
    return Done(go=asked.at("/papers"), said=f"Noted: {done} at {gone.place.place}.")


@screen.act(f"{PLACE}/{{code}}/current", right=READ, page=paper)
def print_current(asked: Asked, code: str) -> Done:
    """Print the paper that takes this one's place: the same choice of what is in force now."""
    known = paper_register.open_paper(asked.archive, asked.visitor, code).known
    wanted = wanted_again(known.paper, papers_url(asked))
    made = print_paper(asked.archive, asked.visitor, wanted, now=asked.now)
    return Done(go=asked.at(f"/papers/{made.code}"), said="This is the current paper. Print it and hang it.")


def _page_of(asked: Asked, known: KnownPaper) -> str:
    folder = "instructions" if known.paper.of.noun == "instruction" else "sets"
    return asked.at(f"/{folder}/{known.paper.of.id}")
