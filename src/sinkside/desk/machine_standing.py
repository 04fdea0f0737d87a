"""In use and out of use: who took a machine out and why, what ran since the last good check, the way back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.machine_documents import WHY_WORDS, Cause, Standing, Why
from sinkside.desk.machine_policy import ChecksHere, Needed, needed_by, policy, times_in_a_row
from sinkside.desk.machine_rows import (
    CHECK,
    IN_USE,
    OUT_OF_USE,
    LastCheck,
    MachineCycle,
    cycles_of,
    last_check,
    machine_row,
    row_id,
    subject_of,
)
from sinkside.desk.machine_things import Thing, profile_of, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput
from sinkside.records import Row, WantedRows

STANDING: Final = "standing"
CHECKS: Final = "checks"

#: Reasons that a person may give; the others come of a check or an indicator.
SAID_BY_PEOPLE: Final[tuple[Why, ...]] = ("installation", "move", "major-repair", "other")
_MOST_CHECKS: Final = 200


@dataclass(frozen=True)
class ToShow:
    """What must be shown before a machine goes back into use: the check, how often, how often it was."""

    check: str
    name: str
    wanted: int
    done: int

    @property
    def is_shown(self) -> bool:
        """Whether it was shown."""
        return self.done >= self.wanted


def checks_here(unit: Unit, department: str) -> ChecksHere:
    """What a department put in the place of the policy."""
    return read_kept(unit, CHECKS, department, ChecksHere) or ChecksHere()


def needed_of(unit: Unit, who: Visitor, thing: Thing) -> tuple[Needed, ...]:
    """Every check that a thing needs here, those for the way back included."""
    site = department_in(unit, who.department)
    return needed_by(thing.kinds, checks_here(unit, who.department), profile_of(site)) if site else ()


def standing_of(unit: Unit, department: str, thing: str) -> Standing:
    """How a thing stands; in use where nobody ever took it out."""
    return read_kept(unit, STANDING, row_id(department, thing), Standing) or Standing()


def loads_since(
    unit: Unit, department: str, machines: Sequence[str], since: datetime | None
) -> tuple[MachineCycle, ...]:
    """The loads that machines ran after a moment, the latest first; all that are kept where there is none."""
    known = cycles_of(unit, department, machines, since=since)
    return tuple(one for one in known if one.is_load and (since is None or one.at > since))


def take_out_of_use(
    archive: Archive, who: Visitor, thing: str, why: Why, *, reason: str, now: datetime
) -> Standing:
    """Take a thing out of use, as a named person; one that is out already gets this reason too.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such thing here.
        BadInput: if there is no reason, or it is none that a person gives.
    """
    require(who, "machine-check")
    if why not in SAID_BY_PEOPLE:
        raise BadInput(
            f"'{why}' is no such reason; expected one of {', '.join(SAID_BY_PEOPLE)}", resource="why"
        )
    words = reason_of(reason)
    with archive.unit() as unit:
        found = thing_in(unit, who, thing)
        cause = Cause(why=why, words=words, by=who.person, at=now)
        return taken_out(unit, who, found, cause, now=now)


def taken_out(unit: Unit, who: Visitor, thing: Thing, cause: Cause, *, now: datetime) -> Standing:
    """Keep that a thing is out of use for one more cause."""
    before = standing_of(unit, who.department, thing.id)
    causes = (*before.causes, cause) if not before.in_use else (cause,)
    after = Standing(in_use=False, causes=causes, reason=cause.words, by=who.person, at=now)
    data: dict[str, str | int] = {
        "why": cause.why,
        "check": cause.check,
        "evidence": cause.evidence,
        "loads": len(cause.loads),
    }
    _keep(unit, who, thing, after, event="machine-out-of-use", data=data, now=now)
    return after


def return_to_use(archive: Archive, who: Visitor, thing: str, *, reason: str, now: datetime) -> Standing:
    """Return a thing to use once it has shown what it must.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such thing here.
        BadInput: if it is in use, something is not shown yet, or no reason is given.
    """
    require(who, "machine-return")
    words = reason_of(reason)
    with archive.unit() as unit:
        found = thing_in(unit, who, thing)
        before = standing_of(unit, who.department, thing)
        if before.in_use:
            raise BadInput("it is in use already", resource=thing)
        missing = [one for one in way_back(unit, who, found, before) if not one.is_shown]
        if missing:
            raise BadInput(f"not shown yet: {_listed(missing)}", resource="reason")
        after = Standing(in_use=True, reason=words, by=who.person, at=now)
        _keep(unit, who, found, after, event="machine-in-use", data={}, now=now)
        return after


def way_back(unit: Unit, who: Visitor, thing: Thing, standing: Standing) -> tuple[ToShow, ...]:
    """What a thing must show, and has shown, before it goes back into use."""
    needed = {one.id: one for one in needed_of(unit, who, thing)}
    row = machine_row(unit, who.department, thing.id, name=thing.name, now=_start_of(standing))
    shown = [
        ToShow(check, needed[check].check.name, 1, int(_is_good(last_check(row, check), since)))
        for check, since in _failed(standing.causes).items()
        if check in needed
    ]
    asked = policy().way_back
    grave = [cause.at for cause in standing.causes if cause.why in asked.after]
    if grave:
        done = _checks_since(unit, who, thing, max(grave))
        for test in asked.tests:
            if test.check in needed:
                name = needed[test.check].check.name
                shown.append(ToShow(test.check, name, times_in_a_row(test), _in_a_row(done, test.check)))
    return _without_doubles(shown)


def _without_doubles(shown: Iterable[ToShow]) -> tuple[ToShow, ...]:
    """One line a check: the harder demand."""
    hardest: dict[str, ToShow] = {}
    for one in shown:
        known = hardest.get(one.check)
        if known is None or one.wanted > known.wanted:
            hardest[one.check] = one
    return tuple(hardest.values())


def _failed(causes: Iterable[Cause]) -> dict[str, datetime]:
    """Each check that failed, and when it did so last."""
    failed: dict[str, datetime] = {}
    for cause in causes:
        if cause.why == "failed-check":
            failed[cause.check] = max(cause.at, failed.get(cause.check, cause.at))
    return failed


def _start_of(standing: Standing) -> datetime:
    return max(cause.at for cause in standing.causes)


def _is_good(last: LastCheck, since: datetime) -> bool:
    return last.passed and last.at is not None and last.at >= since


def _checks_since(unit: Unit, who: Visitor, thing: Thing, since: datetime) -> list[Row]:
    """The checks of a thing since a moment, the latest first."""
    wanted = WantedRows(states=[thing.id], since=since, limit=_MOST_CHECKS)
    return unit.rows.found(CHECK, [who.department], wanted)


def _in_a_row(done: Iterable[Row], check: str) -> int:
    """How often a check passed in a row, up to now."""
    count = 0
    for row in done:
        if row.fields.get("check") == check:
            if not row.fields.get("passed"):
                break
            count += 1
    return count


def _listed(missing: Iterable[ToShow]) -> str:
    return ", ".join(
        one.name.lower() if one.wanted == 1 else f"{one.name.lower()} ({one.done} of {one.wanted} in a row)"
        for one in missing
    )


def _keep(
    unit: Unit,
    who: Visitor,
    thing: Thing,
    standing: Standing,
    *,
    event: str,
    data: Mapping[str, str | int],
    now: datetime,
) -> None:
    kept = keep_next(unit, STANDING, row_id(who.department, thing.id), standing, by=who.person, now=now)
    record(unit, who, event, subject_of(thing.id), now=now, data={**data, "digest": kept.digest})
    row = machine_row(unit, who.department, thing.id, name=thing.name, now=now)
    state = IN_USE if standing.in_use else OUT_OF_USE
    why = "" if standing.in_use else WHY_WORDS[standing.causes[-1].why]
    fields = {**row.fields, "why": why, "reason": standing.reason, "since": now.isoformat()}
    unit.rows.put(replace(row, state=state, title=thing.name, updated=now, fields=fields))
