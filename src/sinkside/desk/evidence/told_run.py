"""The run on paper: where the set was when, each task with who and when, what was otherwise, sign-offs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Final

from sinkside.aids.evidence import EvidenceBlock, EvidenceSaid, EvidenceTable
from sinkside.bench.behind import stations_behind
from sinkside.bench.run import Deviation, Place
from sinkside.department import Station
from sinkside.desk.evidence.facts import RunFacts, StoodThen, TaskThen
from sinkside.desk.evidence.told_texts import members_named
from sinkside.desk.evidence.wording import Clock, minutes
from sinkside.instruction import Action
from sinkside.plain.operations import station_label
from sinkside.records import KeptTap
from sinkside.teach.sign_offs import Level, State

#: Where a set is once it was stored.
_STORED: Final = frozenset({Place.in_store, Place.issued})
_NOT_RECORDED: Final = "not recorded"
_ENTERED: Final = "◆ entered from paper afterwards"

#: The acts by which a set passes from place to place, in words.
_PASSING: Final[Mapping[str, str]] = {
    "report-use": "Reported as used",
    "arrive": "Arrived",
    "take-up": "Taken up at the sink",
    "to-clean-side": "Taken up on the clean side",
    "to-packing": "Taken on to packing",
    "pack": "Packed",
    "send-back": "Sent back to the sink",
    "hold": "Held",
    "lift-hold": "Hold lifted",
    "put-in-store": "Put in store",
    "reserve": "Reserved for a case",
    "issue": "Issued",
    "take-back": "Taken back",
}

_STOOD: Final[Mapping[State, str]] = {
    State.open_again: "open again: with somebody beside",
    State.ended: "ended: with somebody beside",
    State.not_yet: "not yet",
    State.supervised: "supervised: with somebody beside",
    State.ending: "worked alone",
    State.holds: "worked alone",
}


def of_run(facts: RunFacts, clock: Clock) -> tuple[EvidenceBlock, ...]:
    """The way of the set, then each station with what was done there, then what was otherwise."""
    blocks: list[EvidenceBlock] = [_way(facts, clock)]
    blocks += [_tasks(facts, clock), _lines(facts, clock)]
    if facts.run.packed is not None:
        blocks.append(EvidenceSaid((_packed(facts, clock),)))
    blocks += [_deviations(facts, clock), *_holds(facts, clock)]
    if any(one.entered for one in facts.tasks) or any(one.entered for one in facts.taps):
        blocks.append(EvidenceSaid((f"{_ENTERED}: written on paper at that time, typed in later.",)))
    return tuple(blocks)


def of_signing(facts: RunFacts, families: Mapping[str, str], clock: Clock) -> tuple[EvidenceBlock, ...]:
    """How everybody who worked on it was signed off at that moment."""
    rows = tuple(_stood(one, families, clock) for one in facts.stood)
    columns = ("Who", "Where, at what moment", "Sign-off then", "What showed it")
    empty = "Nobody’s work by hand is recorded."
    return (EvidenceTable("", columns, rows, widths=(0.9, 1.1, 1.5, 1.7), empty=empty),)


def _way(facts: RunFacts, clock: Clock) -> EvidenceTable:
    """Where the set was when, in the order of the moments."""
    passed = [(one.at, _PASSING[one.act], _by(one)) for one in facts.taps if one.act in _PASSING]
    for load in facts.loads:
        machine = load.load.fields.get("machine_name") or load.load.machine
        taken = f", taken out again {clock.at(load.loaded.out)}" if load.loaded.out else ""
        passed.append((load.loaded.at, f"Put into {machine}", f"{load.load.program}{taken}"))
    rows = [("Last used", clock.at(facts.run.last_used), "")]
    if facts.run.clean_by is not None:
        rows.append(("Cleaning to begin by", clock.at(facts.run.clean_by), ""))
    rows += [(what, clock.at(at), who) for at, what, who in sorted(passed, key=lambda one: one[0])]
    return EvidenceTable("The way of the set", ("What", "When", "Who"), tuple(rows), widths=(1.2, 1, 1.6))


def _by(tapped: KeptTap) -> str:
    return f"{tapped.by} {_ENTERED}" if tapped.entered else tapped.by


def _tasks(facts: RunFacts, clock: Clock) -> EvidenceTable:
    """What was done, station by station; what was done alike at one moment for several devices is one row."""
    several = len(facts.plan.texts) > 1
    rows: list[tuple[str, ...]] = []
    for station in Station:
        grouped: dict[tuple[str, ...], list[str]] = {}
        for one in facts.tasks:
            if one.task.station is station:
                grouped.setdefault(_task_row(facts, one, clock), []).append(one.task.member)
        if grouped:
            rows.append((station_label(station),))
        rows += [
            (row[0], f"{row[1]} ({members_named(members)})" if several else row[1], *row[2:])
            for row, members in grouped.items()
        ]
    columns = ("", "Asked for", "Done by", "When", "Reading")
    return EvidenceTable("What was done", columns, tuple(rows), widths=(0.2, 2, 1, 1, 1.3))


def _task_row(facts: RunFacts, one: TaskThen, clock: Clock) -> tuple[str, ...]:
    task = one.task
    asked = f"{task.words} {' · '.join(task.figures)}" if task.figures else task.words
    if one.done is not None:
        return task.letter, asked, one.done.by, clock.at(one.done.at), "; ".join(_readings(one))
    if one.load:
        load = next(each for each in facts.loads if each.load.id == one.load)
        machine = str(load.load.fields.get("machine_name") or load.load.machine)
        end = load.inside.end if load.inside else "open"
        told = {"open": "nobody has decided", "released": "load released", "held": "load held"}[end]
        return task.letter, asked, f"{machine}, {load.load.program}", clock.at(load.load.started), told
    if not task.required:
        return task.letter, asked, "–", "–", "only where it applies; nothing is recorded"
    if task.action is Action.store and facts.run.place in _STORED:
        return task.letter, asked, "–", "–", "as the way of the set tells"
    if station_is_ahead(facts, task.station):
        return task.letter, asked, "–", "–", "still to come"
    return task.letter, asked, _NOT_RECORDED, _NOT_RECORDED, _NOT_RECORDED


def station_is_ahead(facts: RunFacts, station: Station) -> bool:
    """Whether a set has a station still before it."""
    return station not in stations_behind(facts.run.place)


def _readings(one: TaskThen) -> Iterator[str]:
    done = one.done
    if done is None:
        return
    if done.began is not None:
        took = minutes((done.at - done.began).total_seconds())
        yield f"{took} by the timer, at least {minutes(one.task.at_least_s)}"
    elif one.task.at_least_s:
        yield f"time {_NOT_RECORDED}, at least {minutes(one.task.at_least_s)}"
    if one.task.times:
        yield f"{done.times} times, at least {one.task.times}"
    if one.task.until:
        yield f"{one.task.until}: {'seen' if done.seen else _NOT_RECORDED}"
    if one.entered:
        yield _ENTERED


def _lines(facts: RunFacts, clock: Clock) -> EvidenceTable:
    """Every line of the list: looked at, counted."""
    run = facts.run
    rows = []
    for line in facts.plan.lines:
        looked, counted = run.looked.get(line.id), run.counted.get(line.id)
        seen, count = _NOT_RECORDED, _NOT_RECORDED
        if looked is not None:
            fault = "" if looked.passed else f": {looked.fault}{', ' + looked.then if looked.then else ''}"
            seen = f"{'passed' if looked.passed else 'not passed'}{fault}, {looked.by}, {clock.at(looked.at)}"
        if counted is not None:
            instead = f", in its place {counted.substitute}" if counted.substitute else ""
            count = f"{counted.found} of {line.expected}{instead}, {counted.by}, {clock.at(counted.at)}"
        uses = f"{run.uses[line.id] + 1}" if line.id in run.uses else _NOT_RECORDED
        rows.append((line.words, seen, count, f"{uses} of {line.most_uses}" if line.most_uses else uses))
    columns = ("Line", "Looked at", "Counted", "Use")
    return EvidenceTable("Inspection and count", columns, tuple(rows), widths=(1.2, 1.8, 1.8, 0.4))


def _packed(facts: RunFacts, clock: Clock) -> str:
    packed = facts.run.packed
    if packed is None:
        return ""
    mass = f"{packed.mass_kg:g} kg" if packed.mass_kg is not None else f"weight {_NOT_RECORDED}"
    label = f", label {packed.label}" if packed.label else ""
    pieces = ", ".join(f"{one.name} ({one.code})" for one in facts.pieces.values())
    marked = f" Marked instruments in it: {pieces}." if pieces else ""
    how = packed.packaging or f"packaging {_NOT_RECORDED}"
    return f"Packed: {how}, {mass}{label}, by {packed.by}, {clock.at(packed.at)}.{marked}"


def _deviations(facts: RunFacts, clock: Clock) -> EvidenceTable:
    words = {one.id: f"{station_label(one.station)}, {one.letter}" for one in facts.plan.tasks}

    def row(one: Deviation) -> tuple[str, ...]:
        return words.get(one.task, "the run"), one.what, one.reason, f"{one.by}, {clock.at(one.at)}"

    columns = ("Where", "What was otherwise", "Why", "Who, when")
    rows = tuple(row(one) for one in facts.run.deviations)
    return EvidenceTable("Deviations", columns, rows, widths=(0.8, 1.6, 1.4, 1.4), empty="None is recorded.")


def _holds(facts: RunFacts, clock: Clock) -> Iterator[EvidenceTable]:
    rows = tuple(
        (one.why, f"{one.by}, {clock.at(one.at)}", one.lifted or "it stands") for one in facts.run.holds
    )
    if rows:
        yield EvidenceTable("Holds", ("Why", "Who, when", "Lifted"), rows)


def _stood(one: StoodThen, families: Mapping[str, str], clock: Clock) -> tuple[str, ...]:
    where = f"{station_label(one.station)}, {families.get(one.family, one.family)}, {clock.at(one.at)}"
    if one.level is None or one.state is None or one.given is None:
        return one.person, where, _NOT_RECORDED, "–"
    until = f", until {clock.day(one.until)}" if one.until else ""
    level = "independent" if one.level is Level.independent else one.level.value.replace("-", " ")
    given = f"{level}, given {clock.day(one.given)} by {one.by}{until}: {_STOOD[one.state]}"
    return one.person, where, given, one.evidence or _NOT_RECORDED


def done_by_station(facts: RunFacts) -> dict[Station, tuple[int, int, frozenset[str]]]:
    """Station by station: how many tasks by hand are recorded, of how many, and whose they are."""
    counts: defaultdict[Station, list[TaskThen]] = defaultdict(list)
    for one in facts.tasks:
        if one.task.whose == "hand" and one.task.required:
            counts[one.task.station].append(one)
    return {
        station: (
            sum(1 for one in tasks if one.done),
            len(tasks),
            frozenset(one.done.by for one in tasks if one.done),
        )
        for station, tasks in counts.items()
    }
