"""Observations as they are kept: read, changed by their observer alone, written with their event."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, current, policy, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.observing_documents import Observation
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.records import Row

OBSERVATION: Final = "observation"
RIGHT: Final = "observe"
READS: Final = "proof-read"
LEARNS: Final = "learn"
LONGEST: Final = 2000
LONGEST_NOTE: Final = 500


def observation_in(unit: Unit, who: Visitor, observation: str) -> Observation:
    """An observation of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(OBSERVATION, observation)
    kept = read_kept(unit, OBSERVATION, observation, Observation)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such observation here", resource=observation)
    return kept


def open_observation(archive: Archive, who: Visitor, observation: str) -> Observation:
    """An observation, for whoever watched or was watched, and for whoever reads proof.

    Raises:
        NotAllowed: to anybody else.
        NotThere: if there is none here.
    """
    with archive.unit(writes=False) as unit:
        known = observation_in(unit, who, observation)
    if who.person not in {known.observer, known.trainee}:
        require(who, READS)
    return known


def people_at_work(unit: Unit, who: Visitor, now: datetime) -> tuple[tuple[str, str], ...]:
    """Who learns the work here now, as pseudonym and name, by name."""
    learning = {
        grant.person
        for grant in current(unit.people.grants_in(who.department), now)
        if LEARNS in policy().roles[grant.role].rights
    }
    names = names_in(unit, learning)
    return tuple(sorted(((person, names[person]) for person in learning), key=lambda one: one[1]))


def refuse_other(who: Visitor, known: Observation) -> None:
    """Refuse anybody but the observer.

    Raises:
        NotAllowed: if somebody else watches.
    """
    require(who, RIGHT)
    if who.person != known.observer:
        raise NotAllowed("only who watches writes here")


def being_watched(unit: Unit, who: Visitor, observation: str) -> Observation:
    """An observation that its observer still writes in."""
    known = observation_in(unit, who, observation)
    refuse_other(who, known)
    if known.state != "open":
        raise Conflict("this observation is closed", resource=observation)
    return known


def kept_observation(
    unit: Unit, who: Visitor, observation: str, made: Observation, *, event: str, now: datetime
) -> None:
    """Keep an observation as it stands now, with its line in the list and its event."""
    kept = keep_next(unit, OBSERVATION, observation, made, by=who.person, now=now)
    outcome = made.outcome
    data = {
        "instruction": made.instruction,
        "revision": made.revision,
        "station": made.station.value,
        "trainee": made.trainee,
        "level": made.level.value if made.level else "",
        "seen": outcome.seen_done,
        "criteria": outcome.criteria,
        "critical_missed": len(outcome.critical_missed),
        "digest": kept.digest,
    }
    record(unit, who, event, f"{OBSERVATION}:{observation}", now=now, data=data)
    fields: dict[str, str | int | float | bool | None] = {
        "instruction": made.instruction,
        "revision": made.revision,
        "station": made.station.value,
        "manner": made.manner.value,
        "trainee": made.trainee,
        "observer": made.observer,
        "level": made.level.value if made.level else "",
        "said": outcome.sentence,
    }
    unit.rows.put(Row(OBSERVATION, observation, who.department, made.state, made.device, now, fields=fields))


def noted(text: str, most: int) -> str:
    """What somebody adds, without blanks around.

    Raises:
        BadInput: if it is too long.
    """
    if len(text) > most:
        raise BadInput(f"it has {len(text)} characters; expected at most {most}", resource="note")
    return text.strip()
