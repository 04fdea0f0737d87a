"""Questions from the instruction's own sentences: what in a case, what never, until when, what to mind."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.instruction import StatementKind
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep

_WORDS: Final = re.compile(r"[^\W\d_]{3,}")
#: What makes a sentence forbid something, in the languages that texts are read in.
_FORBIDS: Final = re.compile(
    r"\b(not|never|no|nor|without|only|must|cannot|nicht|kein\w*|nie|niemals|nur|ohne|ne|pas|jamais|sans|"
    r"uniquement|aucun\w*|nunca|jamás|sin|solo|sólo|ningun\w*|nie|bez|tylko|không|chỉ)\b",
    re.IGNORECASE,
)
_LONGEST: Final = 180


@dataclass(frozen=True)
class _Clause:
    """Words of a step that answer a question about it."""

    told: ToldStep
    words: str


def trouble_questions(case: Case) -> Iterator[Question]:
    """Everything that the text's conditions, prohibitions, pass marks and cautions ask."""
    yield from _in_a_case(case)
    yield from _never(case)
    yield from _done_when(case)
    yield from _care(case)


def _in_a_case(case: Case) -> Iterator[Question]:
    """A step that is due under a condition: what it asks."""
    due = [one for one in case.told if one.step.condition and not case.voice.is_foreign]
    for told in due:
        condition = (told.step.condition or "").strip().rstrip(".")
        if sum(_folded(one.step.condition or "") == _folded(condition) for one in due) > 1:
            continue
        if condition.count("(") != condition.count(")"):
            continue
        here, _, then = condition.partition(",")
        right = then.strip() or _without(here, told.plain.headline)
        if not _WORDS.search(right) or _folded(right) in _folded(here):
            continue
        asked = Asked(
            kind=QuestionKind.trouble,
            told=told,
            mark=("case", condition),
            prompt=sentences(
                case.voice.say(templates.IF_SO, condition=here), case.voice.say(templates.WHAT_THEN)
            ),
            right=Choice(text=_capital(right)),
        )
        said = _folded(f"{condition} {told.sentence}")
        others = [one for one in _elsewhere(told, case) if _folded(one.text) not in said]
        yield from _asked(asked, others, case)


def _never(case: Case) -> Iterator[Question]:
    """A prohibition among things that the text asks for."""
    asked_for = [
        one
        for one in case.told
        if one in case.in_turn and 0 < len(one.sentence) <= _LONGEST and not _FORBIDS.search(one.sentence)
    ]
    for statement in case.instruction.statements:
        words = statement.origin.text.strip()
        if statement.kind is not StatementKind.prohibition or not words or len(words) > _LONGEST:
            continue
        near = _nearest(words, asked_for)
        if near is None:
            continue
        asked = Asked(
            kind=QuestionKind.trouble,
            told=near,
            mark=("never", words),
            prompt=case.voice.say(templates.NEVER),
            right=Choice(text=case.voice.quote(words), why=case.voice.say(templates.SAYS, said=words)),
        )
        others = [near, *(one for one in _around(near, asked_for))]
        why = case.voice.say(templates.ASKED_FOR)
        yield from _asked(
            asked, [Choice(text=case.voice.quote(one.sentence), why=why) for one in others], case
        )


def _done_when(case: Case) -> Iterator[Question]:
    """A step that goes on until something is seen: what."""
    ends = [_Clause(one, one.step.until.strip()) for one in case.told if one.step.until]
    yield from _among(ends, templates.UNTIL_WHAT, "until", case)


def _care(case: Case) -> Iterator[Question]:
    """A step with a caution: which."""
    cautions = [_Clause(one, caution.strip()) for one in case.told for caution in one.step.cautions]
    yield from _among(cautions, templates.CARE, "care", case)


def _among(clauses: Sequence[_Clause], ask: str, mark: str, case: Case) -> Iterator[Question]:
    """Each clause asked for among those of other steps."""
    for clause in clauses:
        where = case.where(clause.told)
        if not where or _folded(clause.words) in _folded(where):
            continue
        own = {_folded(one.words) for one in clauses if one.told is clause.told}
        others = [one for one in clauses if _folded(one.words) not in own]
        asked = Asked(
            kind=QuestionKind.trouble,
            told=clause.told,
            mark=(mark, clause.words),
            prompt=sentences(where, case.voice.say(ask)),
            right=Choice(text=case.voice.quote(_capital(clause.words))),
        )
        wrong = [
            Choice(
                text=case.voice.quote(_capital(one.words)),
                why=case.voice.say(templates.OTHER_STEP, step=one.told.words),
            )
            for one in sorted(others, key=lambda one: abs(one.told.index - clause.told.index))
        ]
        yield from _asked(asked, wrong, case)


def _asked(asked: Asked, wrong: Iterable[Choice], case: Case) -> Iterator[Question]:
    question = question_from(asked, wrong, case)
    if question is not None:
        yield question


def _elsewhere(told: ToldStep, case: Case) -> list[Choice]:
    """What other steps ask, none of them in the same case: those that stand near in the text first."""
    others = sorted(case.in_turn, key=lambda one: (abs(one.index - told.index), one.index))
    return [
        Choice(text=one.plain.headline, why=case.voice.say(templates.OTHER_STEP, step=one.words))
        for one in others
        if one is not told and one.step.origin != told.step.origin
    ]


def _without(condition: str, headline: str) -> str:
    """What a headline asks, without the condition that it opens with."""
    opens = headline.casefold().startswith(condition.casefold())
    return headline[len(condition) :].strip(" ,;:–") if opens else headline


def _nearest(words: str, steps: Sequence[ToldStep]) -> ToldStep | None:
    """The step that shares most words with a sentence; of several the first."""
    said = set(_WORDS.findall(words.casefold()))
    return max(
        steps,
        key=lambda one: len(said & set(_WORDS.findall(one.sentence.casefold()))),
        default=None,
    )


def _around(near: ToldStep, steps: Iterable[ToldStep]) -> list[ToldStep]:
    others = [one for one in steps if one is not near]
    return sorted(others, key=lambda one: (abs(one.index - near.index), one.index))


def _folded(words: str) -> str:
    return " ".join(words.split()).strip().rstrip(".").casefold()


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
