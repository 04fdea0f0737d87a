"""My learning: today's two or three questions, one at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.desk import answers, memories
from sinkside.desk.memories import AskedNow, Day
from sinkside.teach.memory import shuffled
from sinkside.web.asked import Asked
from sinkside.web.question_shown import QuestionAsked, asked_question
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Screen

screen = Screen("learning")

LEARN: Final = memories.LEARN
PLACE: Final = f"{DEPARTMENT}/learning"


@dataclass(frozen=True)
class QuestionOfTheDay:
    """A question as it is asked; which answer is right is not on the page.

    `place` is its place in the day, `of` how many the day has; `is_new` that it is asked for the first time.
    """

    instruction: str
    device: str
    asked: QuestionAsked
    is_new: bool
    place: int
    of: int


@dataclass(frozen=True)
class LearningPage:
    """Today's question, or that there is none left.

    Attributes:
        title: the heading.
        day: the day here.
        question: the question; none when the day is done.
        answered: how many were answered today.
        memory: where one's own memory is shown.
        team: where the team's is.
        answer: where an answer is sent.
    """

    title: str
    day: str
    question: QuestionOfTheDay | None
    answered: int
    memory: str
    team: str
    answer: str


@screen.page(PLACE, right=LEARN, template="learning.html", nav=Nav("My learning", 12, "people"))
def learning(asked: Asked) -> LearningPage:
    """Today's question, one at a time."""
    day = memories.today_for(asked.archive, asked.visitor, now=asked.now)
    return LearningPage(
        title="My learning",
        day=memories.day_of(asked.visitor, asked.now),
        question=_shown(asked, day.left[0], day) if day.left else None,
        answered=day.answered,
        memory=asked.at("/learning/memory"),
        team=asked.at("/learning/team"),
        answer=asked.at("/learning"),
    )


def _shown(asked: Asked, one: AskedNow, day: Day) -> QuestionOfTheDay:
    key = answers.key_of(asked.visitor, one.instruction, one.question.id, asked.now)
    return QuestionOfTheDay(
        instruction=one.instruction,
        device=one.device,
        asked=asked_question(one.question, order=shuffled(range(len(one.question.choices)), key)),
        is_new=one.is_new,
        place=day.answered + 1,
        of=day.answered + len(day.left),
    )


class AnswerForm(Form):
    """An answer: to which question of which device, and the number of the choice."""

    device: str = Field(max_length=100)
    question: str = Field(max_length=64)
    choice: int = Field(ge=0, le=99)


@screen.act(PLACE, right=LEARN, form=AnswerForm, page=learning)
def answer(asked: Asked, form: AnswerForm) -> Done:
    """Keep an answer; then it is said whether it is right, and why."""
    kept = answers.answer_question(
        asked.archive, asked.visitor, form.device, form.question, form.choice, now=asked.now
    )
    return Done(go=asked.at(f"/learning/answers/{kept.id}"))
