"""All papers of a set, or of a change, as one PDF: asked for here, made as a job, taken from here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from sinkside.aids.papers import Kind, Size
from sinkside.desk import paper_packs
from sinkside.desk.paper_packs import PackWanted
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Sending
from sinkside.web.screens.papers.files import PDF
from sinkside.web.screens.papers.shelf import PLACE, READ, papers, papers_url, screen


class PackAsked(Form):
    """Which papers are wanted together: of a set, which ones in which languages; or of a change."""

    of: Literal["set", "change"]
    id: str = Field(max_length=100)
    kinds: list[Kind] = Field(default=[], max_length=20)
    languages: list[str] = Field(default=[], max_length=10)
    size: Size | None = None


@dataclass(frozen=True)
class PackPage:
    """What came of a pack: where its PDF is, what is in it, and what was refused, one sentence each."""

    title: str
    papers: str
    file: str
    held: tuple[str, ...]
    refused: tuple[str, ...]


@screen.act(f"{PLACE}/packs", right=READ, form=PackAsked, page=papers)
def ask(asked: Asked, form: PackAsked) -> Done:
    """Ask for all papers of a set or of a change as one PDF."""
    wanted = PackWanted(
        of=form.of,
        id=form.id,
        papers_url=papers_url(asked),
        kinds=tuple(form.kinds),
        languages=tuple(form.languages),
        size=form.size,
    )
    job = paper_packs.ask_for_pack(asked.archive, asked.visitor, wanted, now=asked.now)
    return Done(go=asked.at(f"/jobs/{job}"), said="The papers are being set.")


@screen.page(f"{PLACE}/packs/{{job}}", right=READ, template="paper_pack.html")
def pack(asked: Asked, job: str) -> PackPage:
    """What came of a pack."""
    opened = paper_packs.open_pack(asked.archive, asked.visitor, job)
    return PackPage(
        title=f"{len(opened.held)} {'paper' if len(opened.held) == 1 else 'papers'} in one file",
        papers=asked.at("/papers"),
        file=asked.at(f"/papers/packs/{job}/file"),
        held=opened.held,
        refused=opened.refused,
    )


@screen.file(f"{PLACE}/packs/{{job}}/file", right=READ)
def pack_file(asked: Asked, job: str) -> Sending:
    """The papers of a pack as one PDF."""
    return Sending(
        paper_packs.open_pack(asked.archive, asked.visitor, job).pdf, PDF, saved_as=f"papers-{job}.pdf"
    )
