"""The lesson as a handout: every reason stands on it, with whose advice it is, and the notes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sinkside.aids.papers import Approval, Kind, PaperRequest, paper_pdf
from sinkside.aids.papers.request import NoteBeside
from sinkside.errors import NotForTheFloor
from sinkside.instruction import Instruction
from sinkside.route import Route
from sinkside.teach.lesson import lesson_of
from support.pdf_words import text_of, without_gaps


@pytest.fixture
def handout(forceps: Instruction, route: Route) -> PaperRequest:
    """The lesson of the forceps in an invented department."""
    approval = Approval(by="A. Tester", on="2026-11-01")
    return PaperRequest(forceps, "2026-11-02", kind=Kind.lesson, route=route, approval=approval)


def test_a_handout_says_all_that_the_lesson_says(handout: PaperRequest) -> None:
    """Every sentence beside a step, every source of one and every note is printed."""
    first = handout.instruction.steps[0].id
    notes = (NoteBeside(first, "Our wipes hang left."), NoteBeside(first, "Bay 3.", is_old=True))
    pdf = paper_pdf(replace(handout, notes=notes))
    printed = without_gaps(text_of(pdf))
    told = [
        one
        for part in lesson_of(handout.instruction, handout.route).parts
        for step in part.steps
        for one in step.told
    ]
    assert len(told) > 20
    assert [one.text for one in told if without_gaps(one.text) not in printed] == []
    assert [one.whose for one in told if without_gaps(one.whose) not in printed] == []
    assert without_gaps("Note here Our wipes hang left.") in printed
    assert without_gaps("Written for an earlier revision: look again Bay 3.") in printed


def test_a_handout_in_unreviewed_words_is_refused(handout: PaperRequest) -> None:
    """As any paper: what nobody in the house has reviewed is not printed for the floor."""
    with pytest.raises(NotForTheFloor, match="not reviewed in German"):
        paper_pdf(replace(handout, languages=("de",)))
