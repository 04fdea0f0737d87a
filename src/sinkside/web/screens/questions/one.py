"""One question with its answers, how it was made, and the forms that reword and retire it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sinkside.desk import question_bank
from sinkside.desk.lessons import EDIT
from sinkside.desk.people import names_of
from sinkside.plain import plain_steps
from sinkside.plain.names import calm_name
from sinkside.teach.bank import BankLine
from sinkside.web.asked import Asked
from sinkside.web.question_shown import QuestionShown, shown_question
from sinkside.web.rendering import shown_moment
from sinkside.web.screens.questions.bank import PLACE, changed_words, screen


@dataclass(frozen=True)
class ChoiceFields:
    """A choice as a field of the form: its words, whether it is the right one, whether it is drawn."""

    text: str
    is_right: bool
    is_drawn: bool


@dataclass(frozen=True)
class QuestionPage:
    """One question.

    Attributes:
        title: the heading.
        address: of the page.
        bank: the list's page.
        step_address: the step on the instruction's page.
        step: the step in words.
        kind: what it asks for, in words.
        question: as it is asked.
        prompt: the field of the form.
        choices: the fields of the choices.
        why: the field of what is told afterwards.
        changed: what was changed of it, in words.
        by: who changed it, and when; empty where nobody did.
        made: as it was made from the text, where it is worded otherwise; none else.
        reason: why it is retired; empty where it is asked.
        base: the revision of the bank, which forms carry.
    """

    title: str
    address: str
    bank: str
    step_address: str
    step: str
    kind: str
    question: QuestionShown
    prompt: str
    choices: tuple[ChoiceFields, ...]
    why: str
    changed: str
    by: str
    made: QuestionShown | None
    reason: str
    base: int


@screen.page(f"{PLACE}/{{question}}", right=EDIT, template="question.html")
def question(asked: Asked, instruction: str, question: str) -> QuestionPage:
    """One question with its answers, and what was changed of it."""
    seen = question_bank.see_bank(asked.archive, asked.visitor, instruction)
    line = seen.line(question)
    text = seen.ground.shown.instruction
    shown = shown_question(line.question)
    step = next(one for one in plain_steps(None, text) if line.question.step in one.steps)
    home = asked.at(f"/questions/{instruction}")
    return QuestionPage(
        title=f"{shown.kind}: {calm_name(text.device.name)}",
        address=f"{home}/{question}",
        bank=f"{home}?kind={line.question.kind.value}",
        step_address=asked.at(f"/instructions/{instruction}?step={line.question.step}"),
        step=f"{step.stage_name}: {step.headline}",
        kind=shown.kind,
        question=shown,
        prompt=line.question.prompt,
        choices=_fields(line),
        why=_why(line),
        changed=changed_words(line),
        by=_by(asked, line),
        made=shown_question(line.made.model_copy(update={"id": f"made-{line.made.id}"}))
        if line.made is not None and line.edit is not None
        else None,
        reason=line.retired.reason if line.retired else "",
        base=seen.number,
    )


def _fields(line: BankLine) -> tuple[ChoiceFields, ...]:
    """The choices as they are worded; of the department's own question the right one first."""
    if line.own is not None:
        return tuple(
            ChoiceFields(text, is_right=place == 0, is_drawn=False)
            for place, text in enumerate(line.own.wording.choices)
        )
    made = line.made or line.question
    texts = line.edit.wording.choices if line.edit else tuple(choice.text for choice in made.choices)
    return tuple(
        ChoiceFields(text, is_right=place == made.right, is_drawn=bool(choice.drawing))
        for place, (text, choice) in enumerate(zip(texts, made.choices, strict=True))
    )


def _why(line: BankLine) -> str:
    worded = line.edit.wording if line.edit else line.own.wording if line.own else None
    return worded.why if worded else ""


def _by(asked: Asked, line: BankLine) -> str:
    kept = line.retired or line.edit or line.own
    if kept is None:
        return ""
    moment: datetime = kept.at
    name = names_of(asked.archive, [kept.by]).get(kept.by, "somebody")
    return f"{name}, {shown_moment(moment, asked.visitor.zone)}"
