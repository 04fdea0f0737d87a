"""Questions for the order of the work: what comes first, what comes last, what comes straight after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from
from sinkside.teach.questions.case import Case, ToldStep, one_sentence

#: How far apart the steps of one question lie, among those that have a place in the order.
_APART: Final = (0, 1, 3, 4)
_STRIDE: Final = 2
_NEAR: Final = (2, 3, -1, -2, 4, 5, -3)


def order_questions(case: Case) -> Iterator[Question]:
    """Four steps of which one comes first, then of the next four one that comes last, and on."""
    turn = case.in_turn
    for number, start in enumerate(range(0, len(turn) - _APART[-1], _STRIDE)):
        steps = [turn[start + apart] for apart in _APART]
        is_clear = all(map(case.is_told_apart, steps))
        if is_clear and all(case.comes_before(one, other) for one, other in pairwise(steps)):
            question = _first_or_last(steps, case, is_first=number % 2 == 0)
            if question is not None:
                yield question


def next_questions(case: Case) -> Iterator[Question]:
    """For every step with another straight after it: which that is."""
    turn = case.in_turn
    at = {one.index: number for number, one in enumerate(turn)}
    for one in turn:
        after = at.get(one.index + 1)
        if after is None or not case.comes_before(one, turn[after]) or not _follows(one, turn[after], case):
            continue
        if not case.is_told_apart(one) or not case.is_told_apart(turn[after]):
            continue
        question = _next(one, turn[after], _others(after, one, case), case)
        if question is not None:
            yield question


def _first_or_last(steps: Sequence[ToldStep], case: Case, *, is_first: bool) -> Question | None:
    right = steps[0] if is_first else steps[-1]
    others = [one for one in steps if one is not right]
    asked = Asked(
        kind=QuestionKind.order,
        told=right,
        mark=("first" if is_first else "last", *sorted(one.mark for one in others)),
        prompt=case.voice.say(templates.FIRST if is_first else templates.LAST),
        right=Choice(text=right.words),
    )
    why = case.voice.say(templates.LATER if is_first else templates.BEFORE_IT)
    return question_from(asked, [Choice(text=one.words, why=why) for one in others], case)


def _follows(one: ToldStep, after: ToldStep, case: Case) -> bool:
    """Whether nothing stands between two steps on the route either, and nothing comes in the same breath."""
    places = sorted(set(case.places.values()))
    at = {place: number for number, place in enumerate(places)}
    first, second = case.places.get(one.step.id), case.places.get(after.step.id)
    if first is None or second is None or not 0 <= at[second] - at[first] <= 1:
        return False
    return not any(other is not after and one_sentence(other, after) for other in case.told)


def _others(after: int, one: ToldStep, case: Case) -> list[ToldStep]:
    """Steps near a step that do not come straight after it."""
    turn = case.in_turn
    here = after - 1
    near = [turn[here + by] for by in _NEAR if 0 <= here + by < len(turn)]
    return [
        other for other in near if other is not one and other is not turn[after] and case.is_told_apart(other)
    ]


def _next(one: ToldStep, after: ToldStep, others: Sequence[ToldStep], case: Case) -> Question | None:
    asked = Asked(
        kind=QuestionKind.next,
        told=after,
        mark=("after", one.mark),
        prompt=f"{case.voice.say(templates.AT, stage=one.plain.stage_name, step=one.words)}"
        f" {case.voice.say(templates.NEXT)}",
        right=Choice(text=after.words),
    )
    wrong = [
        Choice(
            text=other.words,
            why=case.voice.say(templates.LATER if other.index > after.index else templates.BEFORE_IT),
        )
        for other in others
    ]
    return question_from(asked, wrong, case)
