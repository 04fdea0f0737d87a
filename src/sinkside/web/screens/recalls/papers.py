"""The papers of a recall, each as PDF."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import Query

from sinkside.desk.paper_readers import ReadIn
from sinkside.desk.recall.papers import RecallPaper, recall_paper
from sinkside.desk.recall.rights import READ
from sinkside.web.asked import Asked
from sinkside.web.screen import Sending
from sinkside.web.screens.recalls.place import ONE, screen

_PDF: Final = "application/pdf"

Language = Annotated[str, Query(max_length=10)]


@screen.file(f"{ONE}/papers/pick-list", right=READ)
def pick_list(asked: Asked, recall: str, *, language: Language = "en", proof: bool = False) -> Sending:
    """What is to be fetched from where."""
    return _paper(asked, recall, RecallPaper.pick_list, ReadIn(language, proof))


@screen.file(f"{ONE}/papers/calls", right=READ)
def calls(asked: Asked, recall: str, *, language: Language = "en", proof: bool = False) -> Sending:
    """Whom to call, in which order, and what to say."""
    return _paper(asked, recall, RecallPaper.calls, ReadIn(language, proof))


@screen.file(f"{ONE}/papers/cases", right=READ)
def letters_of_cases(asked: Asked, recall: str, *, language: Language = "en", proof: bool = False) -> Sending:
    """A letter for each case in which something was used."""
    return _paper(asked, recall, RecallPaper.cases, ReadIn(language, proof))


@screen.file(f"{ONE}/papers/others", right=READ)
def letters_to_houses(
    asked: Asked, recall: str, *, language: Language = "en", proof: bool = False
) -> Sending:
    """A letter to each other house that it concerns."""
    return _paper(asked, recall, RecallPaper.others, ReadIn(language, proof))


def _paper(asked: Asked, recall: str, paper: RecallPaper, read_in: ReadIn) -> Sending:
    live = f"{asked.address}{asked.at(f'/recalls/{recall}')}"
    data = recall_paper(
        asked.archive, asked.visitor, recall, paper, read_in=read_in, now=asked.now, live_url=live
    )
    return Sending(data, _PDF, saved_as=f"recall-{paper.value}.pdf")
