"""Answering findings: accepted with a reason, asked of the maker, settled by the maker's written answer."""

from __future__ import annotations

from pydantic import Field

from sinkside.desk import answering
from sinkside.desk.still_to_do import counted
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Upload
from sinkside.web.screens.instructions.page import instruction as page
from sinkside.web.screens.instructions.shelf import screen

ANSWER = "finding-answer"
_FINDINGS = f"{DEPARTMENT}/instructions/{{instruction}}/findings"
_FINDING = f"{_FINDINGS}/{{finding}}"


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
    answering.accept_findings(
        asked.archive, asked.visitor, instruction, [finding], reason=form.reason, now=asked.now
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


class ManyAnswered(Form):
    """Findings that one reason, or one letter of the maker's, answers."""

    findings: tuple[str, ...] = ()
    words: str = Field("", max_length=2000)


@screen.act(f"{_FINDINGS}/accept", right=ANSWER, form=ManyAnswered, page=page)
def accept_findings(asked: Asked, form: ManyAnswered, instruction: str) -> Done:
    """Accept several findings with one reason, which is kept with each."""
    answering.accept_findings(
        asked.archive, asked.visitor, instruction, form.findings, reason=form.words, now=asked.now
    )
    return _back_to_approval(asked, instruction, f"{_counted(form)} accepted; your reason is kept with each.")


@screen.act(f"{_FINDINGS}/answer", right=ANSWER, form=ManyAnswered, page=page, uploads="letter")
def attach_to_many(asked: Asked, form: ManyAnswered, letter: tuple[Upload, ...], instruction: str) -> Done:
    """Attach one written answer of the maker's to every finding that it settles."""
    if len(letter) != 1:
        raise BadInput("expected one file", resource="letter")
    answering.attach_answer(
        asked.archive,
        asked.visitor,
        instruction,
        form.findings,
        upload=letter[0].handed_in(),
        words=form.words,
        now=asked.now,
    )
    return _back_to_approval(asked, instruction, f"The maker’s answer is attached; {_counted(form)} settled.")


def _counted(form: ManyAnswered) -> str:
    return counted(len(form.findings), "finding")


def _back_to_approval(asked: Asked, instruction: str, said: str) -> Done:
    return Done(go=asked.at(f"/instructions/{instruction}#approval"), said=said)


def _back(asked: Asked, instruction: str, finding: str, said: str) -> Done:
    go = asked.at(f"/instructions/{instruction}?finding={finding}#finding-{finding}")
    return Done(go=go, said=said)
