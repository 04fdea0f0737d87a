"""Questions for the positions of moving parts, drawn where the device can be drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, product
from typing import Final

from sinkside.instruction import POSITIONS, Action, Stage
from sinkside.instruction.positions import simulate
from sinkside.plain.wording import position_words
from sinkside.shapes import draw, drawable, svg
from sinkside.shapes.moving import MOVERS
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep

_SHOWN_MM: Final = 70.0

#: Steps whose words already say the position.
_SAYS_IT: Final = frozenset({Action.set_position, Action.take_apart, Action.put_together, Action.connect})


def position_questions(case: Case) -> Iterator[Question]:
    """For every step that needs moving parts in a position: which drawing, or which words, show it so."""
    for moment, told in zip(simulate(case.instruction), case.told, strict=True):
        is_steam = told.step.action is Action.sterilize
        held = {mover: one.position for mover, one in moment.during.items()}
        needed = held if is_steam or told.step.stage is Stage.packaging else dict(told.step.positions)
        where = case.where(told)
        if not needed or not where or told.step.action in _SAYS_IT:
            continue
        question = _question(told, needed, where, case)
        if question is not None:
            yield question


def _question(told: ToldStep, needed: Mapping[str, str], where: str, case: Case) -> Question | None:
    device = case.instruction.device
    shown = drawable(device, needed)
    is_drawn = bool(shown) and draw(device, shown, shown_mm=_SHOWN_MM, with_letters=False).is_known
    asked_of = shown if is_drawn else dict(needed)
    is_steam = told.step.action is Action.sterilize
    if is_drawn:
        ask = templates.READY if is_steam else templates.AS_NEEDED
    else:
        ask = templates.READY_WORDS if is_steam else templates.AS_NEEDED_WORDS
    right = _choice(asked_of, case, is_drawn=is_drawn)
    if right.text.casefold() in where.casefold():
        return None
    asked = Asked(
        kind=QuestionKind.position,
        told=told,
        mark=("needs", *(f"{mover}={position}" for mover, position in sorted(asked_of.items()))),
        prompt=sentences(where, case.voice.say(ask)),
        right=right,
    )
    why = case.voice.say(templates.NOT_SO)
    wrong = [
        _choice(other, case, is_drawn=is_drawn).model_copy(update={"why": why})
        for other in _otherwise(asked_of, _further(asked_of, case, is_drawn=is_drawn))
    ]
    return question_from(asked, wrong, case)


def _further(needed: Mapping[str, str], case: Case, *, is_drawn: bool) -> dict[str, str]:
    """A position of a moving part that the step leaves open, which a wrong answer may show beside."""
    device = case.instruction.device
    kinds = {feature.kind for feature in device.features}
    others = {mover: POSITIONS[mover][-1] for mover, moved in MOVERS.items() if kinds & moved}
    others = {mover: position for mover, position in others.items() if mover not in needed}
    return dict(list((drawable(device, others) if is_drawn else others).items())[:1])


def _otherwise(needed: Mapping[str, str], further: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """The same parts in other positions: one of them wrong, then two, and on; then with a further part."""
    wrong = []
    for many in range(1, len(needed) + 1):
        for changed in combinations(sorted(needed), many):
            others = [[one for one in POSITIONS[mover] if one != needed[mover]] for mover in changed]
            wrong += [{**needed, **dict(zip(changed, one, strict=True))} for one in product(*others)]
    yield from wrong
    for one in wrong:
        for mover, position in further.items():
            yield {**one, mover: position}
            yield {**one, mover: POSITIONS[mover][0]}


def _choice(positions: Mapping[str, str], case: Case, *, is_drawn: bool) -> Choice:
    words = ", ".join(position_words(*held, case.voice) for held in sorted(positions.items()))
    if not is_drawn:
        return Choice(text=words)
    drawing = draw(case.instruction.device, positions, shown_mm=_SHOWN_MM, with_letters=False)
    return Choice(text=words, drawing=svg(drawing, key="choice"))
