"""Questions for the true reason of a step."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from hashlib import sha256
from typing import Final

from sinkside.instruction import Stage
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep
from sinkside.teach.reasons import About, Reason, fits, reasons, reasons_of

#: A reason is not asked for again and again.
_OFTEN: Final = 2

#: Stages whose reasons are about the same thing: soil and water, heat, dryness, looking and care, the pack.
_WORK: Final[Mapping[Stage, str]] = {
    Stage.point_of_use: "soil",
    Stage.transport: "soil",
    Stage.preparation: "soil",
    Stage.cleaning: "soil",
    Stage.disinfection: "heat",
    Stage.drying: "dryness",
    Stage.inspection: "care",
    Stage.maintenance: "care",
    Stage.packaging: "pack",
    Stage.sterilization: "pack",
    Stage.storage: "pack",
}

#: What reasons of each work speak of: one that says such a word may be half true there, wherever it is from.
_SPEAKS_OF: Final[Mapping[str, re.Pattern[str]]] = {
    "soil": re.compile(r"\b(soil|clean|dries)", re.IGNORECASE),
    "heat": re.compile(r"\b(germ|heat|hot)", re.IGNORECASE),
    "dryness": re.compile(r"\b(dry|dries|wet|water)", re.IGNORECASE),
    "care": re.compile(r"\b(oil|fault|soil|wear|worn)", re.IGNORECASE),
    "pack": re.compile(r"\b(pack|steam|sterile|wrap)", re.IGNORECASE),
}


def reason_questions(case: Case) -> Iterator[Question]:
    """Why a step is done: its reason of the catalogue among reasons of another kind of work."""
    operations = shown_operations(None, case.instruction)
    known = [(operation, _whys(operation, case)) for operation in operations]
    true = _true_of_work(operations, case)
    asked_for: Counter[str] = Counter()
    for told, (operation, whys) in zip(case.told, known, strict=True):
        where = case.where(told)
        if not where or not whys or asked_for[whys[0].id] >= _OFTEN:
            continue
        asked_for[whys[0].id] += 1
        question = _question(
            told, where, whys[0], _elsewhere(operation, known, true[_WORK[operation.stage]]), case
        )
        if question is not None:
            yield question


def _question(
    told: ToldStep, where: str, right: Reason, elsewhere: Sequence[Reason], case: Case
) -> Question | None:
    asked = Asked(
        kind=QuestionKind.reason,
        told=told,
        mark=("why", right.id),
        prompt=sentences(where, case.voice.say(templates.WHY)),
        right=Choice(text=case.voice.say(right.text), why=right.whose),
    )
    turn = sorted(elsewhere, key=lambda one: sha256(f"{told.mark}{one.id}".encode()).hexdigest())
    why = case.voice.say(templates.NOT_SO)
    return question_from(asked, (Choice(text=case.voice.say(one.text), why=why) for one in turn), case)


def _elsewhere(
    operation: Operation, known: Sequence[tuple[Operation, Sequence[Reason]]], true_here: Collection[str]
) -> list[Reason]:
    """Reasons of this device's other work that say nothing true of this work, under whatever name.

    What is true of a neighbour at the sink is often half true of the step itself, and no wrong answer.
    """
    work = _WORK[operation.stage]
    far = [one for other, whys in known if _WORK[other.stage] != work for one in whys]
    return [one for one in far if one.text not in true_here and not _SPEAKS_OF[work].search(one.text)]


def _true_of_work(operations: Sequence[Operation], case: Case) -> dict[str, set[str]]:
    """What the catalogue says of each kind of work here, as sentences."""
    told: dict[str, set[str]] = {work: set() for work in _WORK.values()}
    for operation in operations:
        fitting = (one.text for one in reasons() if fits(one, operation, case.instruction))
        told[_WORK[operation.stage]].update(fitting)
    return told


def _whys(operation: Operation, case: Case) -> list[Reason]:
    return [one for one in reasons_of(operation, case.instruction) if one.about is About.why]
