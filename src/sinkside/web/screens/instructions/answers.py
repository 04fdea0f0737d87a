"""Answering findings: accepted with a reason, asked of the maker, settled by the maker's written answer."""

from __future__ import annotations

from pydantic import Field

from sinkside.desk import answering
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Upload
from sinkside.web.screens.instructions.page import instruction as page
from sinkside.web.screens.instructions.shelf import screen

ANSWER = "finding-answer"
_FINDING = f"{DEPARTMENT}/instructions/{{instruction}}/findings/{{finding}}"


class Reason(Form):
    """Why a finding is accepted."""

    reason: str = Field("", max_length=2000)


class Question(Form):
    """What the maker was asked."""

    words: str = Field("", max_length=2000)


class MakersAnswer(Form):
    """What the maker's answer says, in a sentence."""

    words: str = Field("", max_length=2000)


@screen.act(f"{_FINDING}/accept", right=ANSWER, form=Reason, page=page)
def accept_finding(asked: Asked, form: Reason, instruction: str, finding: str) -> Done:
    """Accept what a finding says, with a reason."""
    answering.accept_finding(
        asked.archive, asked.visitor, instruction, finding, reason=form.reason, now=asked.now
    )
    return _back(asked, instruction, finding, "The finding is accepted; your reason is kept.")


@screen.act(f"{_FINDING}/ask", right=ANSWER, form=Question, page=page)
def ask_maker(asked: Asked, form: Question, instruction: str, finding: str) -> Done:
    """Note that the maker was asked; the finding stays open until the answer is attached."""
    answering.ask_maker(asked.archive, asked.visitor, instruction, [finding], words=form.words, now=asked.now)
    said = "It is noted that the maker was asked; attach the written answer when it comes."
    return _back(asked, instruction, finding, said)


@screen.act(f"{_FINDING}/answer", right=ANSWER, form=MakersAnswer, page=page, uploads="letter")
def attach_answer(
    asked: Asked, form: MakersAnswer, letter: tuple[Upload, ...], instruction: str, finding: str
) -> Done:
    """Attach the maker's written answer, which settles a finding."""
    if len(letter) != 1:
        raise BadInput("expected one file", resource="letter")
    answering.attach_answer(
        asked.archive,
        asked.visitor,
        instruction,
        [finding],
        upload=letter[0].handed_in(),
        words=form.words,
        now=asked.now,
    )
    return _back(asked, instruction, finding, "The maker’s answer is attached; the finding is settled.")


def _back(asked: Asked, instruction: str, finding: str, said: str) -> Done:
    go = asked.at(f"/instructions/{instruction}?finding={finding}#finding-{finding}")
    return Done(go=go, said=said)
