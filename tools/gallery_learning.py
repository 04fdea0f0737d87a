"""What the gallery shows of learning: weeks of answers, memories that fade, and the scenes of both."""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from gallery_scenes import LARGE, SMALL, Scene

from sinkside.desk import question_bank
from sinkside.desk.access import Visitor
from sinkside.desk.memory_policy import policy
from sinkside.desk.ports import Unit
from sinkside.records import Answer, KeptMemory
from sinkside.teach.memory import Memory, Rarity, Risk, answered
from sinkside.teach.question import Question

if TYPE_CHECKING:
    from gallery_house import GalleryHouse
    from playwright.sync_api import Page

_SEED: Final = 1939
_PEOPLE: Final = 46
_ASKED: Final = 14
_AT: Final = "/at/valley/learning"


def learn(house: GalleryHouse) -> None:
    """Forty-six people answered questions on the forceps; one question has a wrong answer that draws."""
    draw = random.Random(_SEED)
    instruction, who = house.where["linnet"], house.visitor("technician")
    with house.archive.unit() as unit:
        questions = question_bank.bank_of(unit, who, instruction)[:_ASKED]
        for number in range(_PEOPLE):
            skill = draw.gauss(0.0, 1.2)
            for place, question in enumerate(questions):
                at = house.now - timedelta(days=draw.randint(4, 20), minutes=place)
                answer = _answer(f"{number}-{place}", question, instruction, at)
                unit.answers.keep(_chosen(answer, question, skill - 0.25 * place, draw, misleads=place == 2))
        _remember(unit, who, instruction, questions, now=house.now, draw=draw)
    house.where["quality"] = f"/at/valley/teaching/{instruction}/questions/quality"
    house.where["team-device"] = f"{_AT}/team/{instruction}"


def _answer(key: str, question: Question, instruction: str, at: datetime) -> Answer:
    person = f"p-gallery-{key.partition('-')[0]}"
    return Answer(
        f"a-gallery-{key}",
        "valley",
        person,
        instruction,
        1,
        question.id,
        str(at.date()),
        0,
        is_right=False,
        at=at,
    )


def _chosen(
    answer: Answer, question: Question, ease: float, draw: random.Random, *, misleads: bool
) -> Answer:
    wrong = [number for number in range(len(question.choices)) if number != question.right]
    is_right = draw.gauss(0.0, 1.0) < (-ease if misleads else ease + 1.0)
    choice = question.right if is_right else wrong[0] if misleads and ease > 0.0 else draw.choice(wrong)
    return Answer(**{**vars(answer), "choice": choice, "is_right": choice == question.right})


def _remember(
    unit: Unit,
    who: Visitor,
    instruction: str,
    questions: tuple[Question, ...],
    *,
    now: datetime,
    draw: random.Random,
) -> None:
    """What the people with an account are likely to remember; the technician's own list among it."""
    spacing = policy().spacing(Risk.raised, Rarity.usual)
    people = [person.id for person in unit.people.all()]
    for person in dict.fromkeys([who.person, *people]):
        for question in questions[:9]:
            memory: Memory | None = None
            at = now - timedelta(days=draw.randint(3, 30))
            for _ in range(draw.randint(1, 4)):
                memory = answered(memory, spacing, right=draw.random() < 0.85, now=at)
                at = min(memory.due, now - timedelta(hours=20))
            if memory is not None:
                kept = KeptMemory("valley", person, question.id, instruction, memory.due, memory.fields())
                unit.memories.put(kept)


def _answer_it(page: Page) -> None:
    """Choose the first answer and send it."""
    page.locator(".choices label").first.click()
    page.get_by_role("button", name="Answer").click()


LEARNING_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "learning",
        "My learning",
        "Two or three questions a day, one at a time; which answer is right is not on the page.",
        _AT,
        who="technician",
        sizes=("phone", "tablet", "upright", "desktop"),
        dark=True,
    ),
    Scene(
        "learning-answered",
        "After an answer",
        "Right or not, why, the step that says so, and when the question comes again.",
        _AT,
        who="lead",
        sizes=LARGE,
        act=_answer_it,
    ),
    Scene(
        "learning-memory",
        "What I am likely to remember",
        "What fades and what is fresh, in words; only oneself sees it.",
        f"{_AT}/memory",
        who="technician",
        sizes=LARGE,
    ),
    Scene(
        "learning-team",
        "What the team has fresh",
        "By device in numbers and words: nobody is named, nobody is ranked.",
        f"{_AT}/team",
        who="educator",
        sizes=SMALL,
    ),
    Scene(
        "learning-team-steps",
        "What the team has fresh of one device",
        "Step by step, with what to show again at the next briefing.",
        "{team-device}",
        who="educator",
        sizes=LARGE,
    ),
    Scene(
        "question-quality",
        "Are the questions any good",
        "Weak questions first, each with what to do; every figure opens to its formula and source.",
        "{quality}",
        who="educator",
        sizes=LARGE,
        dark=True,
    ),
)
