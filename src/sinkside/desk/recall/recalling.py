"""Recalls opened, narrowed, dealt with thing by thing, and closed; each by a named person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.doing import held
from sinkside.bench.recall import Fate, Reach, Touched, refuse_window
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.runs import copy_of_code, keep_run, run_by_id
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.documents import Cause, Dealt, Recall, Recalled
from sinkside.desk.recall.reaching import policy, reach_of
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.records import KeptCopy, Row

KIND: Final = "recall"
READ: Final = "recall-read"
OPEN: Final = "recall-open"
WORK: Final = "recall-work"
NARROW: Final = "recall-narrow"
OPENED, CLOSED = "open", "closed"


@dataclass(frozen=True)
class Scope:
    """How far somebody wants a recall to reach: way, reason, from when, until when."""

    reach: str = ""
    reason: str = ""
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class OpenRecall:
    """A recall as it stands: its row, its document, and which revision of it that is."""

    row: Row
    recall: Recall
    number: int


@dataclass(frozen=True)
class SeenRecall:
    """A recall, and how every set of it that nobody has dealt with stands now, by its run."""

    recall: Recall
    now: Mapping[str, Touched]


def see_reach(archive: Archive, who: Visitor, cause: Cause, scope: Scope, *, now: datetime) -> Reach:
    """What a recall would reach, before anybody opens it.

    Raises:
        NotAllowed: without the right, or to narrow it.
        BadInput: if the stretch of time is none.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _reached(unit, who, cause, scope, now)


def open_recall(archive: Archive, who: Visitor, cause: Cause, scope: Scope, *, now: datetime) -> str:
    """Open a recall, hold every set of it that is in the house, and say its id.

    Raises:
        NotAllowed: without the right; only infection prevention opens one that is narrower than the default.
        BadInput: if it is narrower without a reason, or the stretch of time is none.
    """
    require(who, OPEN)
    with archive.unit() as unit:
        reach = _reached(unit, who, cause, scope, now)
        recall_id = new_id("n")
        kept = Recall(
            cause=cause,
            reach=scope.reach or _default(),
            reason=scope.reason.strip(),
            since=scope.since,
            until=scope.until or now,
            loads=reach.loads,
            reached=_recalled(reach),
            by=who.person,
            at=now,
        )
        for one in reach.of(Fate.here):
            opened = run_by_id(unit, one.run)
            if opened.kept.closed is not None:
                continue  # its copy is out of use and goes nowhere
            run = held(opened.run, f"recall: {cause.words}", at=now, by=who.person)
            keep_run(unit, opened, run, now=now, place=opened.copy.place)
        _keep(unit, who, recall_id, kept, "recall-opened", number=1, now=now)
        return recall_id


def deal_with_set(
    archive: Archive, who: Visitor, recall: str, run: str, *, words: str, now: datetime
) -> None:
    """Say what was done about a set that it reached.

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
        dealt = {**opened.recall.sets, run: Dealt(words=reason_of(words), by=who.person, at=now)}
        _next(unit, who, opened, opened.recall.model_copy(update={"sets": dealt}), "recall-set-dealt", now)


def tell_case(archive: Archive, who: Visitor, recall: str, case: str, *, words: str, now: datetime) -> None:
    """Say who was told of a case in which something was used.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such recall here, or it has no such case.
        BadInput: without words, or if it is closed.
    """
    require(who, WORK)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        if case not in opened.recall.numbers:
            raise NotThere("this recall has no such case", resource=case)
        told = {**opened.recall.cases, case: Dealt(words=reason_of(words), by=who.person, at=now)}
        _next(unit, who, opened, opened.recall.model_copy(update={"cases": told}), "recall-case-told", now)


def close_recall(archive: Archive, who: Visitor, recall: str, *, words: str, now: datetime) -> None:
    """Close a recall in which everything is dealt with; what it held stays held until somebody lifts that.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if something is left: how many sets and cases.
    """
    require(who, OPEN)
    with archive.unit() as unit:
        opened = _opened_to_work(unit, who, recall)
        sets, cases = len(opened.recall.open_sets), len(opened.recall.open_cases)
        if sets or cases:
            raise BadInput(f"{sets} sets and {cases} cases are not dealt with yet", resource="words")
        closed = Dealt(words=reason_of(words), by=who.person, at=now)
        _next(unit, who, opened, opened.recall.model_copy(update={"closed": closed}), "recall-closed", now)


def find_recalls(archive: Archive, who: Visitor, *, limit: int = 100) -> Sequence[Row]:
    """The recalls of this department, open ones first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        open_ones = unit.rows.all(KIND, [who.department], states=(OPENED,), limit=limit)
        return [*open_ones, *unit.rows.all(KIND, [who.department], states=(CLOSED,), limit=limit)]


def see_recall(archive: Archive, who: Visitor, recall: str) -> SeenRecall:
    """A recall as it stands, and where its sets are now: one may have been let out since it was opened.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = recall_in(unit, who, recall).recall
        found = ((one, unit.bench.copies.get(one.copy_id)) for one in known.open_sets)
        return SeenRecall(known, {one.run: _standing(one, copy) for one, copy in found if copy})


def copy_for(archive: Archive, who: Visitor, code: str) -> str:
    """The id of the set that a code belongs to.

    Raises:
        NotAllowed: without the right.
        NotThere: if none here has it.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return copy_of_code(unit, who.department, code).id


def recall_in(unit: Unit, who: Visitor, recall: str) -> OpenRecall:
    """A recall of this department, for the verbs that need it.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, recall)
    kept = read_kept(unit, KIND, recall, Recall)
    revision = unit.documents.get(KIND, recall)
    if row is None or kept is None or revision is None or row.department != who.department:
        raise NotThere("there is no such recall here", resource=recall)
    return OpenRecall(row, kept, revision.number)


def _standing(one: Recalled, copy: KeptCopy) -> Touched:
    """A set that a recall reached, as it stands now."""
    return Touched(
        run=one.run,
        copy=copy.id,
        code=copy.code,
        name=copy.name,
        at=one.at,
        load=one.load,
        state=copy.state,
        place=copy.place,
        is_its_last=copy.run == one.run,
        cases=tuple((number, "used") for number in one.used_in),
    )


def _default() -> str:
    return next(iter(policy().reaches))


def _reached(unit: Unit, who: Visitor, cause: Cause, scope: Scope, now: datetime) -> Reach:
    reach, until = scope.reach or _default(), scope.until or now
    refuse_window(scope.since, until, now=now)
    known = policy().reaches.get(reach)
    if known is not None and known.narrows:
        require(who, NARROW)
        reason_of(scope.reason)
    return reach_of(unit, who, cause, reach=reach, since=scope.since, until=until)


def _recalled(reach: Reach) -> tuple[Recalled, ...]:
    return tuple(
        Recalled(
            run=one.run,
            copy_id=one.copy,
            code=one.code,
            name=one.name,
            load=one.load,
            at=one.at,
            fate=one.fate,
            place=one.place,
            used_in=one.used_in,
        )
        for one in reach.touched
    )


def _opened_to_work(unit: Unit, who: Visitor, recall: str) -> OpenRecall:
    opened = recall_in(unit, who, recall)
    if opened.recall.closed:
        raise BadInput("this recall is closed", resource=recall)
    return opened


def _next(unit: Unit, who: Visitor, opened: OpenRecall, recall: Recall, event: str, now: datetime) -> None:
    _keep(unit, who, opened.row.id, recall, event, number=opened.number + 1, now=now)


def _keep(
    unit: Unit, who: Visitor, recall_id: str, kept: Recall, event: str, *, number: int, now: datetime
) -> None:
    revision = keep_next(unit, KIND, recall_id, kept, by=who.person, now=now, number=number)
    counts = {
        "sets": len({one.copy_id for one in kept.reached}),
        "cases": len(kept.numbers),
        "open_sets": len(kept.open_sets),
        "open_cases": len(kept.open_cases),
        "loads": len(kept.loads),
    }
    state = CLOSED if kept.closed else OPENED
    due = None if kept.closed else kept.at
    fields = {"kind": kept.cause.kind.value, "of": kept.cause.of, **counts}
    unit.rows.put(Row(KIND, recall_id, who.department, state, kept.cause.words, now, due=due, fields=fields))
    record(unit, who, event, f"{KIND}:{recall_id}", now=now, data={**counts, "digest": revision.digest})
