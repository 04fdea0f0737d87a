"""Watching somebody at work: begun, marked criterion by criterion, judged and signed by both."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import departments, shelf, sign_offs
from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import keep_next
from sinkside.desk.observing_documents import Observation, PicturesRead, Seen
from sinkside.desk.observing_kept import (
    LONGEST_NOTE,
    OBSERVATION,
    RIGHT,
    being_watched,
    kept_observation,
    noted,
    people_at_work,
)
from sinkside.desk.paper_making import Ground, ground_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.route import Station
from sinkside.teach.borescope import Shows, pictures
from sinkside.teach.observing import Mark, criteria_of, stations_of
from sinkside.teach.observing_policy import CriterionKind, Manner
from sinkside.teach.sign_offs import families_of

_SEEDS: Final = 1_000_000


@dataclass(frozen=True)
class ToObserve:
    """What can be watched of a device: its approved revision, where, and whom; people as id and name."""

    instruction: str
    device: str
    revision: int
    stations: tuple[Station, ...]
    people: tuple[tuple[str, str], ...]


def to_observe(archive: Archive, who: Visitor, instruction: str, *, now: datetime) -> ToObserve:
    """What can be watched of a device, and whom somebody may watch at it; never themselves.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        BadInput: if none of its revisions is approved.
    """
    require(who, RIGHT)
    with archive.unit(writes=False) as unit:
        ground = _approved(unit, who, instruction)
        people = people_at_work(unit, who, now)
        return ToObserve(
            instruction,
            ground.device,
            ground.shown.revision.number,
            stations_of(ground.shown.instruction, ground.route),
            tuple(one for one in people if one[0] != who.person),
        )


def begin(
    archive: Archive,
    who: Visitor,
    instruction: str,
    station: Station,
    trainee: str,
    *,
    manner: Manner = Manner.at_work,
    now: datetime,
) -> str:
    """Begin to watch somebody, and say the observation's id.

    Args:
        archive: where it is kept.
        who: who watches.
        instruction: the device's approved text.
        station: where.
        trainee: who is watched.
        manner: at work, or shown back after teaching.
        now: the moment.

    Raises:
        NotAllowed: without the right, or if policy does not let them watch there, or at their own work.
        NotThere: if there is no such instruction or person here.
        BadInput: if nothing is approved, or there is no work at that station.
    """
    require(who, RIGHT)
    with archive.unit() as unit:
        ground = _approved(unit, who, instruction)
        _refuse_stranger(unit, who, trainee, now)
        site = departments.department_in(unit, who.department)
        families = families_of(site, ground.shown.instruction, instruction)
        if not all(sign_offs.may_observe(unit, who, trainee, one, station, now) for one in families):
            raise NotAllowed("who observes here works alone at this station, or teaches", resource="station")
        criteria = criteria_of(ground.shown.instruction, ground.route, station)
        if not criteria:
            raise BadInput(f"there is no work at the {station} with this device", resource="station")
        made = Observation(
            instruction=instruction,
            revision=ground.shown.revision.number,
            digest=ground.shown.revision.digest,
            device=ground.device,
            families=families,
            station=station,
            manner=manner,
            trainee=trainee,
            observer=who.person,
            begun=now,
            seen=tuple(Seen.of(one) for one in criteria),
        )
        observation = new_id("o")
        kept_observation(unit, who, observation, made, event="observation-begun", now=now)
    return observation


def mark(
    archive: Archive,
    who: Visitor,
    observation: str,
    criterion: str,
    *,
    seen: Mark | None,
    note: str,
    now: datetime,
) -> Observation:
    """Keep what the observer saw of one criterion, and the note beside it.

    Args:
        archive: where it is kept.
        who: the observer.
        observation: which.
        criterion: which of its criteria.
        seen: done, missed or not seen; what it was where only the note changes.
        note: what the observer adds; no names.
        now: the moment.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here, or no such criterion.
        Conflict: if it is judged already.
        BadInput: if the note is too long, or the pictures of a channel are to be marked by hand.
    """
    with archive.unit() as unit:
        known = being_watched(unit, who, observation)
        before = known.criterion(criterion)
        if before is None:
            raise NotThere("there is no such point in this observation", resource=criterion)
        if before.kind is CriterionKind.pictures and seen is not None:
            raise BadInput("the pictures tell this by themselves: have them read", resource="mark")
        said = noted(note, LONGEST_NOTE)
        changed: dict[str, object] = {"note": said}
        if seen is not None:
            changed |= {"mark": seen, "looked": True}
        made = known.with_seen(before.model_copy(update=changed))
        if made != known:
            keep_next(unit, OBSERVATION, observation, made, by=who.person, now=now)
        return made


def show_pictures(archive: Archive, who: Visitor, observation: str, *, now: datetime) -> PicturesRead:
    """The pictures that the trainee reads, drawn by chance once for each observation.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here, or it has no pictures.
        Conflict: if it is judged already.
    """
    with archive.unit() as unit:
        known = being_watched(unit, who, observation)
        _pictures_of(known)
        if known.pictures is not None:
            return known.pictures
        drawn = PicturesRead(seed=secrets.randbelow(_SEEDS))
        made = known.model_copy(update={"pictures": drawn})
        keep_next(unit, OBSERVATION, observation, made, by=who.person, now=now)
        return drawn


def read_pictures(
    archive: Archive, who: Visitor, observation: str, said: Mapping[str, Shows], *, now: datetime
) -> Observation:
    """Keep what the trainee said of the pictures: read once, before anybody is told what they show.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here, or it has no pictures.
        Conflict: if it is judged, or the pictures were read already.
        BadInput: if one was left out, or there is no such picture.
    """
    with archive.unit() as unit:
        known = being_watched(unit, who, observation)
        seen = _pictures_of(known)
        drawn = known.pictures
        if drawn is None or drawn.said:
            raise Conflict("these pictures were read already", resource=observation)
        shown = {one.id for one in pictures(drawn.seed)}
        if left := sorted(shown - said.keys()):
            raise BadInput(f"expected an answer to every picture; {len(left)} have none", resource=left[0])
        kept = PicturesRead(seed=drawn.seed, said={one: said[one] for one in sorted(shown)})
        judged = Mark.done if kept.reading.is_enough else Mark.missed
        changed = seen.model_copy(update={"mark": judged, "looked": True})
        made = known.with_seen(changed).model_copy(update={"pictures": kept})
        keep_next(unit, OBSERVATION, observation, made, by=who.person, now=now)
        return made


def _approved(unit: Unit, who: Visitor, instruction: str) -> Ground:
    row = shelf.row_of(unit, who, instruction)
    if not row.fields.get("approved"):
        raise BadInput("no revision of this text is approved yet", resource="instruction")
    return ground_of(unit, who, instruction)


def _refuse_stranger(unit: Unit, who: Visitor, trainee: str, now: datetime) -> None:
    if trainee == who.person:
        raise NotAllowed("nobody observes themselves", resource="trainee")
    if trainee not in dict(people_at_work(unit, who, now)):
        raise NotThere("there is no such person here", resource="trainee")


def _pictures_of(known: Observation) -> Seen:
    found = [one for one in known.seen if one.kind is CriterionKind.pictures]
    if not found:
        raise NotThere("there are no pictures to be read here")
    return found[0]
