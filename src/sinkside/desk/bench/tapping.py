"""Taps taken in: each done once, in the order of its bench, kept with what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.no_names import kept_of_refused, without_names
from sinkside.bench.tap import Tap, Tapped
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.acting import HANDLERS
from sinkside.desk.bench.copies import READ, subject_of
from sinkside.desk.bench.doing import Doing, Said
from sinkside.desk.bench.loads import BroughtWrongly
from sinkside.desk.bench.loads import subject_of as load_subject
from sinkside.desk.deviations.noticing import notice, notice_refused, watched
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere
from sinkside.records import KeptCopy, KeptTap

#: Clocks of tablets and of the house differ by so much at most.
_SLACK: Final = timedelta(minutes=5)
_OLDEST: Final = timedelta(days=14)
_LOAD: Final = load_subject("")
_REFUSALS: Final = (BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere)


def tap(archive: Archive, who: Visitor, taps: Sequence[Tap], *, now: datetime) -> tuple[Tapped, ...]:
    """Do some acts one after the other, each whole or not at all, and say what came of each.

    One that was taken in before gets the same answer again. One that cannot be done is kept as refused, with
    the reason, and the next ones go on.

    Args:
        archive: where everything is kept.
        who: who taps.
        taps: what was done, in order.
        now: the moment.

    Raises:
        NotAllowed: without the right to be at a bench.
        Conflict: if a tap is not the next one of its queue; which is expected is said.
    """
    require(who, READ)
    return tuple(_tapped(archive, who, one, now) for one in taps)


def _tapped(archive: Archive, who: Visitor, tapped: Tap, now: datetime) -> Tapped:
    act, named = without_names(tapped.act)
    one = tapped.model_copy(update={"act": act})
    try:
        with archive.unit() as unit:
            known = _known(unit, who, one)
            if known is not None:
                return known
            if named:
                raise BadInput("this reads like a name or a birthday; say it without", resource=named[0])
            said = _done(unit, who, one, now)
            return _keep(unit, who, one, said, outcome="done", now=now)
    except _OutOfTurn as error:
        raise Conflict(error.message, resource=error.resource) from error
    except _REFUSALS as error:
        with archive.unit() as unit:
            known = _known(unit, who, one)
            if known is not None:
                return known
            if isinstance(error, BroughtWrongly):
                notice_refused(unit, who, one.act, error.message, at=min(one.at, now), now=now)
            return _keep(unit, who, one, Said(error.message), outcome="refused", now=now)


class _OutOfTurn(Conflict):
    """A tap that is not the next one of its queue."""


def _known(unit: Unit, who: Visitor, one: Tap) -> Tapped | None:
    """What came of a tap that was taken in before; none where it is new, and the next of its queue."""
    kept = unit.bench.taps.get(who.department, one.key)
    if kept is not None:
        outcome: Any = kept.outcome
        return Tapped(
            key=kept.key,
            outcome=outcome,
            said=kept.said,
            copy_id=kept.copy if outcome == "done" else "",
            state=kept.state,
            repeated=True,
        )
    if bool(one.number) != bool(one.bench):
        raise _OutOfTurn("a tap of a queue has both a bench and a number", resource="number")
    if one.number:
        expected = unit.bench.taps.last_number(who.department, one.bench) + 1
        if one.number != expected:
            raise _OutOfTurn(
                f"number {one.number} is not the next of this bench; expected {expected}", resource="number"
            )
    return None


def _done(unit: Unit, who: Visitor, one: Tap, now: datetime) -> Said:
    if one.at > now + _SLACK:
        raise BadInput("this was done in the future: set the tablet's clock", resource="at")
    if one.at < now - _OLDEST:
        raise BadInput("this was done more than 14 days ago; expected a later moment", resource="at")
    doing = Doing(unit, who, at=min(one.at, now), now=now, entered=one.entered, key=one.key)
    seen = watched(doing, one.act)
    said = HANDLERS[one.act.act](doing, one.act)
    notice(doing, one.act, said, seen)
    return said


def _keep(unit: Unit, who: Visitor, one: Tap, said: Said, *, outcome: Any, now: datetime) -> Tapped:
    copy = unit.bench.copies.get(said.copy) if said.copy else None
    act = one.act.model_dump(mode="json", exclude_defaults=False)
    if outcome == "refused":
        copy = _copy_here(unit, who, act.get("code"))
        act, words = kept_of_refused(act, said.words, [str(act["code"])] if copy else [])
        said = replace(said, words=words)
    unit.bench.taps.keep(
        KeptTap(
            key=one.key,
            department=who.department,
            bench=one.bench,
            number=one.number,
            act=one.act.act,
            by=who.person,
            at=one.at,
            taken=now,
            outcome=outcome,
            said=said.words,
            copy=copy.id if copy else said.copy,
            state=said.state,
            entered=one.entered,
            run=copy.run if copy else "",
            fields={"code": act.get("code", ""), "load": _load_of(said)},
        )
    )
    data = {
        "act": act,
        "key": one.key,
        "done": one.at.isoformat(),
        "outcome": outcome,
        "said": said.words,
        "state": said.state,
        "run": copy.run if copy else "",
        "entered": one.entered,
        **({"beside": list(said.beside)} if said.beside else {}),
    }
    record(unit, who, "tapped", _subject(one, said, copy), now=now, data=data)
    return Tapped(key=one.key, outcome=outcome, said=said.words, copy_id=said.copy, state=said.state)


def _subject(one: Tap, said: Said, copy: KeptCopy | None) -> str:
    """What an act concerns: the copy, also where it was refused; else the load or case; else the bench."""
    if copy is not None:
        return subject_of(copy.id)
    return said.beside[0] if said.beside else f"bench:{one.bench or 'form'}"


def _copy_here(unit: Unit, who: Visitor, code: str | None) -> KeptCopy | None:
    return unit.bench.copies.by_code(who.department, code_of(code)) if code else None


def _load_of(said: Said) -> str:
    """The id of the load that an act concerns; empty where it concerns none."""
    return next((one.removeprefix(_LOAD) for one in said.beside if one.startswith(_LOAD)), "")
