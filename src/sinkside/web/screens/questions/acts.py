"""What is done in a bank of questions: reworded, left as made, retired, brought back, added."""

from __future__ import annotations

from pydantic import Field, ValidationError

from sinkside.desk import question_bank
from sinkside.desk.lessons import EDIT
from sinkside.desk.question_bank import NewQuestion, QuestionAt
from sinkside.errors import BadInput
from sinkside.teach.bank import LONGEST, Wording
from sinkside.teach.question import QuestionKind
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form
from sinkside.web.screens.questions.bank import PLACE, questions, screen
from sinkside.web.screens.questions.one import question


class Worded(Form):
    """A question in other words; the choices by their place, a wrong one without words is left out."""

    base: int
    prompt: str = Field(default="", max_length=2 * LONGEST)
    choice_0: str = Field(default="", max_length=LONGEST)
    choice_1: str = Field(default="", max_length=LONGEST)
    choice_2: str = Field(default="", max_length=LONGEST)
    choice_3: str = Field(default="", max_length=LONGEST)
    choice_4: str = Field(default="", max_length=LONGEST)
    choice_5: str = Field(default="", max_length=LONGEST)
    why: str = Field(default="", max_length=2 * LONGEST)


class Retiring(Form):
    """Why a question is not asked any more."""

    base: int
    reason: str = Field(default="", max_length=2 * LONGEST)


class Base(Form):
    """The bank's revision that the person had before them."""

    base: int


class Added(Form):
    """A question of the department's own; wrong answers one a line."""

    base: int
    kind: QuestionKind = QuestionKind.figure
    step: str = Field(default="", max_length=100)
    prompt: str = Field(default="", max_length=2 * LONGEST)
    answer: str = Field(default="", max_length=LONGEST)
    wrong: str = Field(default="", max_length=5 * LONGEST)
    why: str = Field(default="", max_length=2 * LONGEST)


@screen.act(f"{PLACE}/add", right=EDIT, form=Added, page=questions)
def add(asked: Asked, form: Added, instruction: str) -> Done:
    """Add a question of the department's own to a step."""
    choices = (form.answer, *form.wrong.splitlines())
    new = NewQuestion(form.kind, form.step, _wording(form.prompt, choices, form.why))
    key = question_bank.add_question(
        asked.archive, asked.visitor, QuestionAt(instruction, "", form.base), new, now=asked.now
    )
    return Done(go=asked.at(f"/questions/{instruction}/{key}"), said="The question is asked from now on.")


@screen.act(f"{PLACE}/{{question}}/words", right=EDIT, form=Worded, page=question)
def word(asked: Asked, form: Worded, instruction: str, question: str) -> Done:
    """Word a question in other words."""
    choices = (form.choice_0, form.choice_1, form.choice_2, form.choice_3, form.choice_4, form.choice_5)
    wording = _wording(form.prompt, choices, form.why)
    at = QuestionAt(instruction, question, form.base)
    question_bank.edit_question(asked.archive, asked.visitor, at, wording, now=asked.now)
    return Done(go=_page(asked, instruction, question), said="The question is asked in these words.")


@screen.act(f"{PLACE}/{{question}}/as-made", right=EDIT, form=Base, page=question)
def as_made(asked: Asked, form: Base, instruction: str, question: str) -> Done:
    """Ask a question in the words that it was made with."""
    at = QuestionAt(instruction, question, form.base)
    question_bank.leave_as_made(asked.archive, asked.visitor, at, now=asked.now)
    return Done(go=_page(asked, instruction, question), said="The question is asked as it was made.")


@screen.act(f"{PLACE}/{{question}}/retire", right=EDIT, form=Retiring, page=question)
def retire(asked: Asked, form: Retiring, instruction: str, question: str) -> Done:
    """Ask a question no more."""
    at = QuestionAt(instruction, question, form.base)
    question_bank.retire_question(asked.archive, asked.visitor, at, form.reason, now=asked.now)
    return Done(go=_page(asked, instruction, question), said="The question is not asked any more.")


@screen.act(f"{PLACE}/{{question}}/bring-back", right=EDIT, form=Base, page=question)
def bring_back(asked: Asked, form: Base, instruction: str, question: str) -> Done:
    """Ask a retired question again."""
    at = QuestionAt(instruction, question, form.base)
    question_bank.bring_back(asked.archive, asked.visitor, at, now=asked.now)
    return Done(go=_page(asked, instruction, question), said="The question is asked again.")


def _page(asked: Asked, instruction: str, question: str) -> str:
    return asked.at(f"/questions/{instruction}/{question}")


def _wording(prompt: str, choices: tuple[str, ...], why: str) -> Wording:
    """What was typed, as a wording.

    Raises:
        BadInput: if something is too long.
    """
    try:
        return Wording(prompt=prompt.strip(), choices=choices, why=why)
    except ValidationError as error:
        raise BadInput(f"expected at most {LONGEST} signs", resource="prompt") from error
