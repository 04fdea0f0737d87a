"""Every question of an instruction, kind by kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from sinkside.department import Department
from sinkside.instruction import Instruction
from sinkside.plain import Habits
from sinkside.route import Route
from sinkside.teach.question import Question, QuestionKind
from sinkside.teach.questions.case import Case, case_of
from sinkside.teach.questions.figures import figure_questions
from sinkside.teach.questions.order import next_questions, order_questions
from sinkside.teach.questions.parts import missing_part_questions
from sinkside.teach.questions.positions import position_questions
from sinkside.teach.questions.reason import reason_questions
from sinkside.teach.questions.records import cycle_questions
from sinkside.teach.questions.trays import tray_questions
from sinkside.teach.questions.trouble import trouble_questions

_MAKERS: Final[Mapping[QuestionKind, Callable[[Case], Iterator[Question]]]] = {
    QuestionKind.figure: figure_questions,
    QuestionKind.order: order_questions,
    QuestionKind.position: position_questions,
    QuestionKind.missing_part: missing_part_questions,
    QuestionKind.next: next_questions,
    QuestionKind.tray_fault: tray_questions,
    QuestionKind.cycle_plot: cycle_questions,
    QuestionKind.reason: reason_questions,
    QuestionKind.trouble: trouble_questions,
}


def questions_of(
    instruction: Instruction,
    route: Route | None = None,
    *,
    department: Department | None = None,
    language: str = "en",
    seed: int = 0,
) -> tuple[Question, ...]:
    """Every question that an instruction answers, in the order of its steps; each id once.

    Args:
        instruction: the text.
        route: tells where each step is done; without one, the text's own stages do.
        department: whose own program a drawn record follows, where the route binds one.
        language: of the questions.
        seed: what the order of the choices hangs on; the questions are the same.

    Raises:
        BadInput: if plain words are not written in the language.
        NotForTheFloor: if a template has no translation.

    >>> from sinkside.instruction import Device, Step
    >>> from sinkside.quantities import Figure
    >>> rinse = Step(id="s1", stage="cleaning", action="rinse",
    ...     figures=(Figure(quantity="time", min=1, unit="min"),))
    >>> [one.prompt for one in questions_of(Instruction(device=Device(name="Forceps"), steps=(rinse,)))]
    ['Cleaning: “Rinse it”. How long?']
    """
    case = case_of(instruction, route, Habits(language=language), department=department, seed=seed)
    made = [question for make in _MAKERS.values() for question in make(case)]
    once = {question.id: question for question in reversed(made)}
    places = {step.id: place for place, step in enumerate(instruction.steps)}
    kinds = list(QuestionKind)
    return tuple(sorted(once.values(), key=lambda one: (places[one.step], kinds.index(one.kind), one.prompt)))
