"""A machine's days as its page shows them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.desk.machine_days import Due
from sinkside.desk.machine_documents import WHY_WORDS, Cause
from sinkside.desk.machine_drawing import DAY_WORDS
from sinkside.desk.machine_pages import Load, LoadsAsked, MachineDay, OpenThing
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.machine_words import due_words, when_words
from sinkside.web.rendering import shown_moment

_LOADS_SHOWN: Final = 100


@dataclass(frozen=True)
class FindingShown:
    """What the machine's day has to say: level, sentence, what would put it right."""

    level: str
    message: str
    remedy: str


@dataclass(frozen=True)
class DueShown:
    """One check: how it stands, when it was done, is due again, how often, who says so, where to record."""

    name: str
    state: str
    words: str
    when: str
    often: str
    source: str
    address: str


@dataclass(frozen=True)
class CauseShown:
    """Why it is out of use: the kind of reason, the reason, by whom, when."""

    why: str
    words: str
    by: str
    at: str


@dataclass(frozen=True)
class ShownLine:
    """What must be shown before it goes back: the check, how often it passed in a row of how often, where."""

    name: str
    done: int
    wanted: int
    is_shown: bool
    address: str


@dataclass(frozen=True)
class LoadLine:
    """A load that is asked after: its cycle, file, program, when, verdict, and what was decided.

    `also` names the other programs that the same file was judged by; it counts once.
    """

    address: str
    file: str
    machine: str
    program: str
    at: str
    outcome: str
    decided: str
    also: str


@dataclass(frozen=True)
class LoadsShown:
    """The loads since the last good check: which, since when (empty for ever), how many, the latest first."""

    check: str
    since: str
    total: int
    loads: tuple[LoadLine, ...]


@dataclass(frozen=True)
class DayShown:
    """One day: the date, what it was like in words, how many cycles, which checks."""

    day: str
    words: str
    cycles: int
    checks: str


@dataclass(frozen=True)
class CheckShown:
    """A recorded check: when, which, whether it passed, what was seen, by whom, the cycle behind it."""

    at: str
    name: str
    passed: bool
    said: str
    note: str
    by: str
    cycle: str


def cause_shown(one: Cause, asked: Asked, names: dict[str, str]) -> CauseShown:
    """Why a thing is out of use."""
    at = shown_moment(one.at, asked.visitor.zone)
    return CauseShown(WHY_WORDS[one.why].capitalize(), one.words, names.get(one.by, one.by), at)


def returned_shown(known: OpenThing, asked: Asked, names: dict[str, str]) -> str:
    """Who last returned a thing to use, and why, in a sentence; nothing where nobody did."""
    last = known.standing
    if not last.in_use or last.at is None:
        return ""
    at = shown_moment(last.at, asked.visitor.zone)
    return f"Returned to use by {names.get(last.by, last.by)}, {at}: {last.reason}"


def loads_shown(one: LoadsAsked, known: OpenThing, asked: Asked) -> LoadsShown:
    """The loads that are asked after because of one check."""
    since = shown_moment(one.cause.since, asked.visitor.zone) if one.cause.since else ""
    name = next((need.check.name for need in known.needed if need.id == one.cause.check), one.cause.check)
    lines = tuple(load_shown(load, asked) for load in one.loads[:_LOADS_SHOWN])
    return LoadsShown(name, since, len(one.loads), lines)


def load_shown(load: Load, asked: Asked) -> LoadLine:
    """One such load."""
    cycle = load.cycle
    return LoadLine(
        address=asked.at(f"/cycles/{cycle.id}"),
        file=cycle.file_name,
        machine=cycle.machine,
        program=cycle.program,
        at=shown_moment(cycle.at, asked.visitor.zone),
        outcome=cycle.outcome,
        decided=load.decided,
        also=cycle.also,
    )


def due_shown(due: Due, address: str, asked: Asked) -> DueShown:
    """How one check stands."""
    needed = due.needed
    return DueShown(
        name=needed.check.name,
        state=due.state,
        words=due_words(due),
        when=when_words(due, asked.visitor.zone),
        often=needed.often,
        source=needed.source,
        address="" if needed.check.record == "indicator" else f"{address}/checks/{needed.id}",
    )


def day_shown(one: MachineDay) -> DayShown:
    """One day of the line."""
    return DayShown(one.day.isoformat(), DAY_WORDS[one.state], one.cycles, "; ".join(one.checks))


def check_shown(row: Row, asked: Asked, names: dict[str, str]) -> CheckShown:
    """One check that was recorded."""
    fields = row.fields
    by, cycle = str(fields.get("by", "")), str(fields.get("cycle") or "")
    return CheckShown(
        at=shown_moment(row.updated, asked.visitor.zone),
        name=row.title,
        passed=bool(fields.get("passed")),
        said=str(fields.get("said", "")),
        note=str(fields.get("note") or ""),
        by=names.get(by, by),
        cycle=asked.at(f"/cycles/{cycle}") if cycle else "",
    )
