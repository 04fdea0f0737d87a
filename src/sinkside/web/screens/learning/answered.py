"""After an answer: right or not, why, the step that it points back to, and when the question comes again."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.desk import answers, memories
from sinkside.teach.memory import shuffled
from sinkside.web.asked import Asked
from sinkside.web.question_shown import QuestionShown, shown_question
from sinkside.web.rendering import shown_moment
from sinkside.web.screens.learning.asking import LEARN, PLACE, screen


@dataclass(frozen=True)
class AnsweredPage:
    """One's own answer.

    Attributes:
        title: the heading: right, or not right.
        is_right: whether it was right.
        device: which device.
        asked: the question, its choices in the order in which it was asked, and why.
        chosen: which of them was chosen.
        words: the step's own words, unless the sentence before holds them.
        step: where the step is; empty where it cannot be opened.
        again: the day on which the question comes again.
        left: how many questions of today are left.
        go_on: where the next question is.
        today: where everything else of today is.
    """

    title: str
    is_right: bool
    device: str
    asked: QuestionShown
    chosen: int
    words: str
    step: str
    again: str
    left: int
    go_on: str
    today: str


@screen.page(f"{PLACE}/answers/{{answer}}", right=LEARN, template="learning_answered.html")
def answered(asked: Asked, answer: str) -> AnsweredPage:
    """What came of one's own answer; nobody else sees it."""
    shown = answers.shown_answer(asked.archive, asked.visitor, answer)
    step = shown.step
    order = shuffled(range(len(shown.question.choices)), shown.answer.id)
    at = f"/instructions/{shown.answer.instruction}?step={step.id}#step-{step.id}" if step else ""
    return AnsweredPage(
        title="Right" if shown.answer.is_right else "Not right",
        is_right=shown.answer.is_right,
        device=shown.device,
        asked=shown_question(shown.question, order=order),
        chosen=shown.answer.choice,
        words=step.origin.text if step and step.origin.text not in shown.question.why else "",
        step=asked.at(at) if at else "",
        again=shown_moment(shown.memory.due, asked.visitor.zone)[:10],
        left=len(memories.today_for(asked.archive, asked.visitor, now=asked.now).left),
        go_on=asked.at("/learning"),
        today=asked.at("/today"),
    )
