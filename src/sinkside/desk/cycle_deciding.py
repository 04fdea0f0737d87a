"""Deciding on a judged cycle: nothing is released but by a named person with the right to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final, get_args

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.load_following import follow_cycle
from sinkside.desk.cycle_documents import Decided, Decision, goes_against
from sinkside.desk.cycle_records import (
    DECISION,
    OpenCycle,
    count_file_once,
    cycle_row,
    is_of_program,
    opened_cycle,
    subject_of,
)
from sinkside.desk.deviations.held import cycle_held
from sinkside.desk.editing import reason_of
from sinkside.desk.indicators_before_release import NeededThing, before_release, still_missing
from sinkside.desk.keeping import keep_next
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, Conflict
from sinkside.records import Row

_DECISIONS: Final[tuple[Decided, ...]] = get_args(Decided)


def decide(
    archive: Archive,
    who: Visitor,
    cycle: str,
    decided: Decided,
    *,
    verdict_revision: int,
    now: datetime,
    reason: str = "",
    seen: int = 0,
) -> Decision:
    """Hold or release what a cycle processed, as a named person; a later decision replaces an earlier one.

    Args:
        archive: where it is kept.
        who: who decides.
        cycle: which cycle.
        decided: `released` or `held`.
        verdict_revision: the verdict that the person had before them.
        now: the moment.
        reason: why, which must be said where `reasons_needed` has this decision.
        seen: how many decisions the person had before them.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is another verdict by now, or another decision.
        BadInput: if it is not judged yet, or a reason is missing.
    """
    require(who, "cycle-decide")
    if decided not in _DECISIONS:
        raise BadInput(f"'{decided}' is no decision; expected released or held", resource="decided")
    with archive.unit() as unit:
        known = opened_cycle(unit, cycle_row(unit, who, cycle))
        if known.judged is None:
            raise BadInput("this record is not judged yet", resource=cycle)
        if known.verdict_revision != verdict_revision:
            raise Conflict("there is another verdict by now; look at it first", resource=cycle)
        outcome = known.judged.outcome
        if known.decision and known.decision.decided == decided:
            raise BadInput(f"it is {decided} already", resource=cycle)
        if len(known.decisions) != seen:
            raise Conflict("it was decided on meanwhile; look at that first", resource=cycle)
        needed = before_release(unit, who, known, now=now)
        if decided == "released":
            _refuse_without(needed)
        reasons = reasons_needed(known, needed)
        decision = Decision(
            decided=decided,
            reason=reason_of(reason) if decided in reasons else reason.strip(),
            outcome=outcome,
            verdict_revision=verdict_revision,
            without=_names(one for one in needed if not one.is_there) if decided == "released" else (),
            by=who.person,
            at=now,
        )
        _keep_decision(unit, who, known, decision, needed, now=now)
        return decision


def _refuse_without(needed: Iterable[NeededThing]) -> None:
    refusing = still_missing(needed, "refuse")
    if refusing:
        names = ", ".join(one.name.lower() for one in refusing)
        raise BadInput(
            f"it cannot be released without: {names}; hold it until it is there", resource="decided"
        )


def _names(things: Iterable[NeededThing]) -> tuple[str, ...]:
    return tuple(one.name for one in things)


def reasons_needed(known: OpenCycle, needed: Iterable[NeededThing] = ()) -> Mapping[Decided, str]:
    """The decisions that take a reason, each with what asks for it; `needed` must be there before release."""
    if known.judged is None:
        return {}
    outcome = known.judged.outcome
    against = {one: "it goes against the verdict" for one in _DECISIONS if goes_against(one, outcome)}
    if any(_missed_another_program(known, row) for row in known.others):
        against.setdefault("released", "the same file does not meet another program it was judged by")
    missing = still_missing(needed, "refuse", "reason")
    if missing:
        without = ", ".join(one.name.lower() for one in missing)
        against.setdefault("released", f"it would go out without: {without}")
    if still_missing(needed, "refuse"):
        against.pop("held", None)
    if known.decision is not None:
        return {one: against.get(one, "it changes what was decided") for one in _DECISIONS}
    return against


def _missed_another_program(known: OpenCycle, other: Row) -> bool:
    is_same = is_of_program(other, known.record)
    return not is_same and str(other.fields.get("verdict") or "meets") != "meets"


def decision_sentence(decision: Decision | None, name: str = "") -> str:
    """Who decided what, in a sentence.

    >>> decision_sentence(None)
    'Nobody has decided; the evidence releases nothing by itself.'
    """
    if decision is None:
        return "Nobody has decided; the evidence releases nothing by itself."
    against = ", against the verdict" if decision.against_the_verdict else ""
    without = f", without: {', '.join(decision.without).lower()}" if decision.without else ""
    because = f": {decision.reason}" if decision.reason else "."
    return f"{decision.decided.capitalize()} by {name or decision.by}{against}{without}{because}"


def _keep_decision(
    unit: Unit,
    who: Visitor,
    known: OpenCycle,
    decision: Decision,
    needed: Sequence[NeededThing],
    *,
    now: datetime,
) -> None:
    row = known.row
    number = len(known.decisions) + 1
    kept = keep_next(unit, DECISION, row.id, decision, by=who.person, now=now, number=number)
    data = {
        "decided": decision.decided,
        "outcome": decision.outcome,
        "verdict": decision.verdict_revision,
        "against": decision.against_the_verdict,
        "without": len(decision.without),
        "digest": kept.digest,
    }
    record(unit, who, "cycle-decided", subject_of(row.id), now=now, data=data)
    fields = {
        **row.fields,
        "decided_by": who.person,
        "decided_at": now.isoformat(),
        "against": decision.against_the_verdict,
    }
    unit.rows.put(replace(row, state=decision.decided, updated=now, due=None, fields=fields))
    if known.others:
        count_file_once(unit, who.department, known.record.file)
    follow_cycle(unit, who, row.id, decision.decided, reason=decision.reason, now=now)
    if decision.decided == "held" and not _only_waits(decision, needed):
        cycle_held(unit, who, row.id, known.record, decision, now=now)


def _only_waits(decision: Decision, needed: Iterable[NeededThing]) -> bool:
    """Whether a load is held for nothing but what is still to come, such as the result of its indicator."""
    return decision.outcome == "meets" and bool(still_missing(needed, "refuse"))
