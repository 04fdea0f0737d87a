"""Recalls looked at before they are opened, opened, and read: what they reached, where each set is now."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.doing import held
from sinkside.bench.recall import Fate, Reach, ReachSum, Touched, refuse_window, sum_of
from sinkside.bench.run import AWAY, HELD
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.runs import keep_run, run_by_id
from sinkside.desk.concerning import note_concerning
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.again import refuse_twice
from sinkside.desk.recall.documents import Cause, Concerned, Recall, Recalled
from sinkside.desk.recall.others import concerned_by, loans_in_question
from sinkside.desk.recall.reaching import is_last_run, policy, reach_of, sum_of_reach, touchings_of
from sinkside.desk.recall.rights import CLOSED, KIND, NARROW, OPEN, OPENED, READ, WORK
from sinkside.desk.recall.tracing import sets_of_codes
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.findings import Level
from sinkside.records import KeptCopy, Row, Touching

#: More sets than this nobody reads on one page.
MOST_SHOWN: Final = 500

#: More codes are no list that anybody scanned.
_MOST_CODES: Final = 1_000


@dataclass(frozen=True)
class Scope:
    """How far somebody wants a recall to reach: way, reason, from when, until when.

    `again` is why there should be another one, where one of the same cause is open.
    """

    reach: str = ""
    reason: str = ""
    since: datetime | None = None
    until: datetime | None = None
    again: str = ""


@dataclass(frozen=True)
class OpenRecall:
    """A recall as it stands: its row, its document, and which revision of it that is."""

    row: Row
    recall: Recall
    number: int


@dataclass(frozen=True)
class SeenRecall:
    """A recall, how each set that nobody has dealt with stands now, by its run, and what is still held."""

    recall: Recall
    now: Mapping[str, Touched]
    held: tuple[KeptCopy, ...]


def see_reach(
    archive: Archive, who: Visitor, cause: Cause, scope: Scope, *, now: datetime, most: int = MOST_SHOWN
) -> tuple[ReachSum, tuple[Concerned, ...]]:
    """How far a recall would reach, and whom of other houses it concerns, before anybody opens it.

    Of the runs the first are told, in order of need, and of all of them how many there are.

    Raises:
        NotAllowed: without the right, or to narrow it.
        BadInput: if the stretch of time is none.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        touchings = _touchings(unit, who, cause, scope, now)
        loans = loans_in_question(unit, who, since=scope.since)
        if cause.sets:  # they were used before any run of theirs was kept, perhaps
            reach = reach_of(unit, who, cause, touchings, since=scope.since, until=scope.until or now)
            return sum_of(reach, most), concerned_by(unit, loans, reach.touched, since=scope.since)
        summed, of_codes = sum_of_reach(unit, who, touchings, most=most, codes=loans.keys())
        return summed, concerned_by(unit, loans, of_codes, since=scope.since)


def open_recall(archive: Archive, who: Visitor, cause: Cause, scope: Scope, *, now: datetime) -> str:
    """Open a recall, hold every set of it that is in the house, and say its id.

    Raises:
        NotAllowed: without the right; only infection prevention opens one that is narrower than the default.
        BadInput: if it is narrower without a reason, or the stretch of time is none.
        OpenAlready: if one of the same cause is open, and nobody says why there should be another.
    """
    require(who, OPEN)
    with archive.unit() as unit:
        if not scope.again:
            refuse_twice(unit, who, cause)
        touchings = _touchings(unit, who, cause, scope, now)
        reach = reach_of(unit, who, cause, touchings, since=scope.since, until=scope.until or now)
        loans = loans_in_question(unit, who, since=scope.since)
        recall_id = new_id("n")
        kept = Recall(
            cause=cause,
            reach=scope.reach or _default(),
            reason=scope.reason.strip(),
            since=scope.since,
            until=scope.until or now,
            loads=reach.loads,
            reached=_recalled(reach),
            concerned=concerned_by(unit, loans, reach.touched, since=scope.since),
            by=who.person,
            at=now,
        )
        for one in reach.of(Fate.here):
            opened = run_by_id(unit, one.run)
            if opened.kept.closed is not None:
                continue  # its copy is out of use and goes nowhere
            run = held(opened.run, f"recall: {cause.words}", at=now, by=who.person)
            keep_run(unit, opened, run, now=now, place=opened.copy.place)
        for copy in {one.copy_id for one in kept.reached}:
            note_concerning(unit, who.department, copy, f"{KIND}:{recall_id}", now=now)
        keep_recall(unit, who, recall_id, kept, "recall-opened", number=1, now=now)
        if not scope.again:
            refuse_twice(unit, who, cause, but=recall_id)
        return recall_id


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
        copies = {one.copy_id: unit.bench.copies.get(one.copy_id) for one in known.reached}
        open_ones = [(one, copy) for one in known.open_sets if (copy := copies[one.copy_id])]
        away = [one for one, copy in open_ones if copy.state == AWAY]
        last = {one.run for one in away if is_last_run(unit, one.copy_id, one.run)}
    held = (copy for copy in copies.values() if copy is not None and copy.state == HELD)
    now = {one.run: _standing(one, copy, last) for one, copy in open_ones}
    return SeenRecall(known, now, held=tuple(held))


def sets_for(archive: Archive, who: Visitor, codes: Sequence[str]) -> tuple[str, ...]:
    """The ids of the sets that some codes belong to.

    Raises:
        NotAllowed: without the right.
        NotThere: if nothing here has one of them: which.
        BadInput: if there are none, or too many at once.
    """
    require(who, READ)
    if not 0 < len(codes) <= _MOST_CODES:
        raise BadInput(f"{len(codes)} codes; expected 1 to {_MOST_CODES}", resource="codes")
    with archive.unit(writes=False) as unit:
        return sets_of_codes(unit, who, codes)


def open_recalls(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[tuple[Level, str, Row]]:
    """What Today says of open recalls to whoever works on them: what is to go, and how long they are open."""
    if not who.may(WORK):
        return
    for row in unit.rows.all(KIND, [who.department], states=(OPENED,)):
        left = [
            counted(int(row.fields.get(f"open_{what}") or 0), what[:-1] if what != "others" else "letter")
            for what in ("sets", "cases", "others")
            if row.fields.get(f"open_{what}")
        ]
        to_go = f"{', '.join(left)} to go" if left else "everything is dealt with; close it"
        age = _age(now - row.due) if row.due else ""
        yield Level.stop, f"Recall{age}: {row.title.rstrip('.')}. {to_go[0].upper()}{to_go[1:]}.", row


def _age(age: timedelta) -> str:
    hours = int(age.total_seconds() // 3600)
    days = hours // 24
    return f", open for {counted(days, 'day') if days > 1 else counted(hours, 'hour')}" if hours else ""


def counted(number: int, one: str) -> str:
    """So many of something, in words.

    >>> counted(1, "set"), counted(3, "case")
    ('1 set', '3 cases')
    """
    return f"{number} {one}{'' if number == 1 else 's'}"


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


def _standing(one: Recalled, copy: KeptCopy, last: Collection[str]) -> Touched:
    """A set that a recall reached, as it stands now; `last` are runs after which their copies had none."""
    return Touched(
        run=one.run,
        copy=copy.id,
        code=copy.code,
        name=copy.name,
        at=one.at,
        load=one.load,
        state=copy.state,
        place=copy.place,
        is_its_last=copy.run == one.run or one.run in last,
        cases=tuple((number, "used") for number in one.used_in),
        earlier=one.earlier,
    )


def _default() -> str:
    return next(iter(policy().reaches))


def _touchings(unit: Unit, who: Visitor, cause: Cause, scope: Scope, now: datetime) -> tuple[Touching, ...]:
    reach, until = scope.reach or _default(), scope.until or now
    refuse_window(scope.since, until, now=now)
    known = policy().reaches.get(reach)
    if known is not None and known.narrows:
        require(who, NARROW)
        reason_of(scope.reason)
    if known is not None and known.to_next_good and scope.until is None:
        raise BadInput("say when the next good result was", resource="until")
    return touchings_of(unit, who, cause, reach=reach, since=scope.since, until=until)


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
            earlier=one.earlier,
        )
        for one in reach.touched
    )


def keep_recall(
    unit: Unit, who: Visitor, recall_id: str, kept: Recall, event: str, *, number: int, now: datetime
) -> None:
    """Keep a recall as it stands now, with its line in the list and its event."""
    revision = keep_next(unit, KIND, recall_id, kept, by=who.person, now=now, number=number)
    counts = {
        "sets": len({one.copy_id for one in kept.reached}),
        "cases": len(kept.numbers),
        "open_sets": len({one.copy_id for one in kept.open_sets}),
        "open_cases": len(kept.open_cases),
        "open_others": len(kept.open_others),
        "loads": len(kept.loads),
    }
    state = CLOSED if kept.closed else OPENED
    due = None if kept.closed else kept.at
    fields = {"kind": kept.cause.kind.value, "of": kept.cause.of, **counts}
    unit.rows.put(Row(KIND, recall_id, who.department, state, kept.cause.words, now, due=due, fields=fields))
    record(unit, who, event, f"{KIND}:{recall_id}", now=now, data={**counts, "digest": revision.digest})
