"""What is done about a recall: each set, each case, each other house, every call; and closing it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.no_names import reads_like_a_name
from sinkside.bench.recall import CauseKind, Found
from sinkside.desk.access import Visitor, require
from sinkside.desk.editing import reason_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.documents import Call, Closed, Dealt, Recall
from sinkside.desk.recall.recalling import OpenRecall, counted, keep_recall, recall_in
from sinkside.desk.recall.rights import NARROW, OPEN, WORK
from sinkside.errors import BadInput, NotThere

#: Clocks of people and of the house differ by so much at most.
_SLACK: Final = timedelta(minutes=5)
_LONGEST: Final = 500


@dataclass(frozen=True)
class Called:
    """A call as it is told: when, who answered by function – empty where nobody did –, what was said."""

    at: datetime
    answered: str = ""
    words: str = ""


@dataclass(frozen=True)
class Ended:
    """How a recall ended: what was found, what lay at the root, what was put right."""

    words: str
    root: str
    correction: str


def deal_with_set(
    archive: Archive, who: Visitor, recall: str, run: str, *, found: Found, words: str, now: datetime
) -> None:
    """Say how a set that it reached was found, and what was done with it; one not found stays open.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such recall here, or it did not reach that run.
        BadInput: without words, or if it is closed.
    """
    require(who, WORK)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        if run not in {one.run for one in opened.recall.reached}:
            raise NotThere("this recall did not reach that set", resource=run)
        done = Dealt(words=_words(words), by=who.person, at=now, found=found)
        _next(unit, who, opened, "recall-set-dealt", now, sets={**opened.recall.sets, run: done})


def tell_case(
    archive: Archive, who: Visitor, recall: str, case: str, called: Called, *, now: datetime
) -> None:
    """Say who was called about a case in which something was used; where nobody answered it stays open.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such recall here, or it has no such case.
        BadInput: if the call is still to come, somebody answered without words, or it is closed.
    """
    require(who, WORK)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        if case not in opened.recall.numbers:
            raise NotThere("this recall has no such case", resource=case)
        call, told = _called(opened.recall, who, case, called, now=now)
        cases = {**opened.recall.cases, **({case: told} if told else {})}
        event = "recall-case-told" if told else "recall-call-unanswered"
        _next(unit, who, opened, event, now, cases=cases, calls=(*opened.recall.calls, call))


def tell_other(
    archive: Archive, who: Visitor, recall: str, loan: str, called: Called, *, now: datetime
) -> None:
    """Say who of another house was written to or called; where nobody answered it stays open.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such recall here, or it does not concern that loan.
        BadInput: if the call is still to come, somebody answered without words, or it is closed.
    """
    require(who, WORK)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        if loan not in {one.loan for one in opened.recall.concerned}:
            raise NotThere("this recall concerns no such loan", resource=loan)
        call, told = _called(opened.recall, who, loan, called, now=now)
        others = {**opened.recall.others, **({loan: told} if told else {})}
        event = "recall-other-told" if told else "recall-call-unanswered"
        _next(unit, who, opened, event, now, others=others, calls=(*opened.recall.calls, call))


def close_recall(archive: Archive, who: Visitor, recall: str, ended: Ended, *, now: datetime) -> None:
    """Close a recall in which everything is dealt with; what it held stays held until somebody lifts that.

    One on suspicion of prions is closed by infection prevention: a named person's decision.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if something is left: how many sets, cases and letters; or nobody says what lay at the root.
    """
    require(who, OPEN)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        if opened.recall.cause.kind is CauseKind.prion:
            require(who, NARROW)
        _refuse_left(opened.recall)
        closed = Closed(
            words=_words(ended.words),
            root=_words(ended.root, "root"),
            correction=_words(ended.correction, "correction"),
            by=who.person,
            at=now,
        )
        _next(unit, who, opened, "recall-closed", now, closed=closed)


def _refuse_left(known: Recall) -> None:
    sets, cases = len({one.copy_id for one in known.open_sets}), len(known.open_cases)
    others = len(known.open_others)
    if sets or cases or others:
        left = [
            counted(sets, "set"),
            counted(cases, "case"),
            *([counted(others, "letter")] if others else []),
        ]
        raise BadInput(f"{' and '.join(left)} not dealt with yet", resource="words")


def _called(
    known: Recall, who: Visitor, of: str, called: Called, *, now: datetime
) -> tuple[Call, Dealt | None]:
    """The call as it is kept, and what it settles: nothing, where nobody answered."""
    if called.at > now + _SLACK:
        raise BadInput("this call is still to come; expected when it was made", resource="at")
    if called.at < known.until - timedelta(days=1) and called.at < known.at - timedelta(days=1):
        raise BadInput("this call was made before the recall", resource="at")
    answered = " ".join(called.answered.split())
    if len(answered) > _LONGEST or reads_like_a_name(answered):
        raise BadInput(
            "say who answered by function, such as: nurse in charge of theatre 2", resource="answered"
        )
    call = Call(of=of, at=min(called.at, now), answered=answered, words=called.words.strip(), by=who.person)
    if not answered:
        return call, None
    said = call.words or "told"
    return call, Dealt(words=_words(f"{answered}: {said}"), by=who.person, at=call.at)


def _words(text: str, field: str = "words") -> str:
    try:
        words = reason_of(text)
    except BadInput as error:
        raise BadInput(error.message, resource=field) from error
    if reads_like_a_name(words):
        raise BadInput("this reads like a name or a birthday; say it without", resource=field)
    return words


def _opened_to_work(unit: Unit, who: Visitor, recall: str) -> OpenRecall:
    opened = recall_in(unit, who, recall)
    if opened.recall.closed:
        raise BadInput("this recall is closed", resource=recall)
    return opened


def _next(unit: Unit, who: Visitor, opened: OpenRecall, event: str, now: datetime, **changed: object) -> None:
    recall = opened.recall.model_copy(update=changed)
    keep_recall(unit, who, opened.row.id, recall, event, number=opened.number + 1, now=now)
