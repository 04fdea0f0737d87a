"""Questions for a part that is not there, in words: a drawing without it may show its place filled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from sinkside.instruction import Action, Part, PartUse
from sinkside.plain.wording import thing_name
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep

_FEWEST_PARTS: Final = 3
_COUNTED_AT: Final = (Action.put_together, Action.take_apart, Action.load, Action.pack)
_NEVER_THERE: Final = frozenset({PartUse.discard_after_use, PartUse.sterile_at_field})


def missing_part_questions(case: Case) -> Iterator[Question]:
    """For each part: which is missing, where all others lie on the bench."""
    parts = parts_there(case)
    told = counted_at(case)
    if told is None or len(parts) < _FEWEST_PARTS:
        return
    names = {part.id: thing_name(part.id, case.instruction, case.voice) for part in parts}
    if len({name.casefold() for name in names.values()}) < len(parts):
        return
    for part in parts:
        others = [one for one in parts if one is not part]
        lying = ", ".join(names[one.id] for one in others)
        asked = Asked(
            kind=QuestionKind.missing_part,
            told=told,
            mark=("without", names[part.id], *sorted(one.id for one in parts)),
            prompt=sentences(
                case.voice.say(templates.LISTED, parts=lying), case.voice.say(templates.MISSING)
            ),
            right=Choice(text=names[part.id]),
        )
        why = case.voice.say(templates.NOT_SO)
        wrong = [Choice(text=names[one.id], why=why) for one in _spread(others, parts.index(part))]
        question = question_from(asked, wrong, case)
        if question is not None:
            yield question


def parts_there(case: Case) -> list[Part]:
    """The parts that go through processing together."""
    return [part for part in case.instruction.device.parts if part.use not in _NEVER_THERE]


def counted_at(case: Case) -> ToldStep | None:
    """The step at which all parts are in somebody's hands: put together, else taken apart, else packed."""
    for action in _COUNTED_AT:
        found = next((one for one in case.told if one.step.action is action), None)
        if found is not None:
            return found
    return None


def _spread(others: Sequence[Part], start: int) -> list[Part]:
    """Other parts, beginning at another one for each question."""
    return [*others[start % len(others) :], *others[: start % len(others)]]
