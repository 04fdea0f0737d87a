"""Sign-offs given, taken back, opened again; and how everybody's stand.

Whoever has no sign-off for a family at a station does that work only with somebody beside who has one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, current, record, require
from sinkside.desk.cover import cover_again, shift_names
from sinkside.desk.editing import reason_of
from sinkside.desk.people import person_subject
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_policy import GIVE, READ, policy_in
from sinkside.desk.sign_off_records import EVIDENCE, family_names, kept, known_family, sign_off_of
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import Post
from sinkside.route import Station
from sinkside.teach.sign_offs import (
    Asked,
    Level,
    Occasion,
    SignOff,
    SignOffPolicy,
    in_order_of_need,
    may_watch,
)

_LONGEST: Final = 500

#: What opened a sign-off again, where it was an error and no text.
AN_ERROR: Final = "an error"


@dataclass(frozen=True)
class PersonStands:
    """How one person stands: every sign-off, what is to be done first at the head; posts; the policy."""

    person: str
    sign_offs: tuple[SignOff, ...]
    policy: SignOffPolicy
    posts: tuple[Post, ...]
    families: Mapping[str, str]
    shifts: Mapping[str, str]


@dataclass(frozen=True)
class Signing:
    """What is signed: how far somebody may work, what shows it, what the signer adds, and why it is given.

    `evidence` goes by `lesson`, `questions` and `observation`, a sentence or reference each. The occasion is
    told from how they stand, unless said.
    """

    level: Level
    evidence: Mapping[str, str]
    why: str = ""
    occasion: Occasion | None = None


def sign_off(
    unit: Unit,
    who: Visitor,
    person: str,
    family: str,
    station: Station,
    signing: Signing,
    *,
    now: datetime,
) -> SignOff:
    """Say how far somebody may process a family at a station, within a unit of whoever calls.

    Raises:
        NotAllowed: without the right, or for one's own work.
        NotThere: if there is no such person or family here.
        BadInput: if something that the occasion needs is not shown.
    """
    given = _signed(unit, who, (person, family, station), signing, now)
    cover_again(unit, who.department, [family], now=now)
    return given


def give(
    archive: Archive,
    who: Visitor,
    person: str,
    family: str,
    stations: Iterable[Station],
    signing: Signing,
    *,
    now: datetime,
) -> int:
    """The same at several stations at once, all or none; says at how many.

    Raises:
        NotAllowed: without the right, or for one's own work.
        NotThere: if there is no such person or family here.
        BadInput: if no station is named, or something that the occasion needs is not shown.
    """
    require(who, GIVE)
    wanted = tuple(dict.fromkeys(stations))
    if not wanted:
        raise BadInput("choose a station at least", resource="stations")
    with archive.unit() as unit:
        for station in wanted:
            _signed(unit, who, (person, family, station), signing, now)
        cover_again(unit, who.department, [family], now=now)
    return len(wanted)


def _signed(
    unit: Unit, who: Visitor, of: tuple[str, str, Station], signing: Signing, now: datetime
) -> SignOff:
    require(who, GIVE)
    person, family, station = of
    here = policy_in(unit, who.department)
    if not may_watch(here.sign, who=who.person, trainee=person, roles=who.roles, works_alone=False):
        raise NotAllowed("nobody signs for their own work, and only whom the policy names signs for others")
    somebody_here(unit, who.department, person, now)
    known_family(unit, who.department, family)
    before = _standing_in(unit, who.department, person, family, station)
    independent = signing.level is Level.independent
    occasion = signing.occasion or occasion_of(unit, who.department, person, before, now)
    given = SignOff(
        who=person,
        family=family,
        station=station,
        level=signing.level,
        given=now,
        evidence=_shown(signing.evidence, here.asked(occasion) if independent else None),
        by=who.person,
        occasion=occasion,
        why=_short(signing.why, "why"),
    )
    if independent:
        leaves = leaves_on(unit, who.department, person)
        given = replace(given, until=here.until(occasion, now, leaves=leaves))
    if signing.level is Level.not_yet and before and before.level is not Level.not_yet:
        reason_of(signing.why)
    _keep(unit, who, given, "sign-off-given", now)
    return given


def after_an_error(
    archive: Archive,
    who: Visitor,
    person: str,
    family: str,
    station: Station,
    *,
    reason: str,
    now: datetime,
) -> None:
    """Open a sign-off again because of an error: until it is given anew they work with somebody beside.

    Raises:
        NotAllowed: without the right, or for one's own work.
        NotThere: if there is no such sign-off here.
        BadInput: without a reason.
    """
    require(who, GIVE)
    words = reason_of(reason)
    with archive.unit() as unit:
        before = _standing_in(unit, who.department, person, family, station)
        if before is None:
            raise NotThere("there is no such sign-off here", resource=person)
        opened = replace(before, reopened=now, changes=(words,), cause=AN_ERROR)
        _keep(unit, who, opened, "sign-off-reopened", now)
        cover_again(unit, who.department, [family], now=now)


def reopen(
    unit: Unit,
    department: str,
    families: Collection[str],
    changes: Mapping[Station, tuple[str, ...]],
    *,
    cause: str,
    now: datetime,
) -> tuple[SignOff, ...]:
    """Open again what a change of some steps touches: who stands for one of the families at their stations.

    One that is open already keeps since when, and says all that changed. Where nobody may work, there is
    nothing to open.

    Args:
        unit: the transaction.
        department: where.
        families: those of the device.
        changes: what changed at each touched station, in sentences.
        cause: what changed it: the instruction with its revision.
        now: the moment.
    """
    opened = []
    for standing in unit.standings.of_family(department, families):
        before = sign_off_of(standing)
        if standing.state == "closed" or before.level is Level.not_yet or before.station not in changes:
            continue
        all_changes = tuple(dict.fromkeys((*before.changes, *changes[before.station])))
        if before.reopened is None:
            all_changes = changes[before.station]
        one = replace(before, reopened=before.reopened or now, changes=all_changes, cause=cause)
        unit.standings.put(kept(department, one))
        opened.append(one)
    if opened:
        cover_again(unit, department, {one.family for one in opened}, now=now)
    return tuple(opened)


def standings_of(unit: Unit, department: str, person: str) -> tuple[SignOff, ...]:
    """Every sign-off of a person, by family and station."""
    return tuple(sign_off_of(one) for one in unit.standings.of_person(department, person))


def how_person_stands(archive: Archive, who: Visitor, person: str, *, now: datetime) -> PersonStands:
    """How somebody stands; everybody may see how they stand themselves.

    Raises:
        NotAllowed: without the right, for somebody else.
        NotThere: if there is nobody of that pseudonym here.
    """
    if person != who.person:
        require(who, READ)
    with archive.unit(writes=False) as unit:
        somebody_here(unit, who.department, person, now)
        here = policy_in(unit, who.department)
        known = in_order_of_need(standings_of(unit, who.department, person), now, ahead=here.ahead)
        return PersonStands(
            person=person,
            sign_offs=known,
            policy=here,
            posts=tuple(unit.roster.of_person(who.department, person)),
            families=family_names(unit, who.department, {one.family for one in known}),
            shifts=shift_names(unit, who.department),
        )


def may_work_alone(
    unit: Unit, department: str, person: str, family: str, station: Station, now: datetime
) -> bool:
    """Whether somebody may process a family at a station without anybody beside."""
    one = _standing_in(unit, department, person, family, station)
    return one is not None and one.allows_alone(now)


def may_observe(unit: Unit, who: Visitor, person: str, family: str, station: Station, now: datetime) -> bool:
    """Whether somebody may watch a trainee at a station, by the policy here; never themselves."""
    here = policy_in(unit, who.department)
    alone = may_work_alone(unit, who.department, who.person, family, station, now)
    return may_watch(here.observe, who=who.person, trainee=person, roles=who.roles, works_alone=alone)


def occasion_of(unit: Unit, department: str, person: str, before: SignOff | None, now: datetime) -> Occasion:
    """Why a sign-off would be given now, told from how somebody stood before this moment."""
    if before is not None and before.reopened is not None:
        return Occasion.after_an_error if before.cause == AN_ERROR else Occasion.changed_step
    if before is not None and before.level is Level.independent:
        return Occasion.yearly
    others = standings_of(unit, department, person)
    alone = any(one.level is Level.independent and one.given < now for one in others)
    return Occasion.new_device if alone else Occasion.on_hire


def leaves_on(unit: Unit, department: str, person: str) -> datetime | None:
    """When somebody's time here ends: the last of their posts, where every one of them ends."""
    ends = [post.until for post in unit.roster.of_person(department, person)]
    return max((end for end in ends if end), default=None) if ends and all(ends) else None


def end_with_their_time(unit: Unit, department: str, person: str) -> None:
    """Let no sign-off of somebody outlast their time here."""
    leaves = leaves_on(unit, department, person)
    for one in standings_of(unit, department, person) if leaves else ():
        if one.until and leaves and one.until > leaves:
            unit.standings.put(kept(department, replace(one, until=leaves)))


def somebody_here(unit: Unit, department: str, person: str, now: datetime) -> None:
    """Refuse who is nobody here: a pseudonym without a role in this department.

    Raises:
        NotThere: if so.
    """
    here = {grant.department for grant in current(unit.people.grants(person), now)}
    if department not in here:
        raise NotThere("there is no such person", resource=person)


def _standing_in(unit: Unit, department: str, person: str, family: str, station: Station) -> SignOff | None:
    found = unit.standings.get(department, family, station.value, person)
    return sign_off_of(found) if found else None


def _keep(unit: Unit, who: Visitor, one: SignOff, kind: str, now: datetime) -> None:
    unit.standings.put(kept(who.department, one))
    data = {"family": one.family, "station": one.station.value, "level": one.level.value}
    said = {"occasion": one.occasion.value, "evidence": "; ".join(one.evidence), "why": one.why}
    if one.until:
        said["until"] = one.until.isoformat()
    if one.reopened:
        said["changes"] = "; ".join(one.changes)
    record(unit, who, kind, person_subject(one.who), now=now, data={**data, **said})


def _shown(evidence: Mapping[str, str], asked: Asked | None) -> tuple[str, ...]:
    """What shows it, a line each; all that the occasion asks for must be there."""
    if asked is not None:
        needed = {
            "lesson": asked.lesson != "none",
            "questions": asked.questions > 0,
            "observation": asked.observations > 0,
        }
        for kind in EVIDENCE:
            if needed[kind] and not evidence.get(kind, "").strip():
                raise BadInput(f"{asked.name}: say what shows the {kind}", resource=kind)
    return tuple(f"{kind}: {said}" for kind in EVIDENCE if (said := _short(evidence.get(kind, ""), kind)))


def _short(text: str, field: str) -> str:
    words = " ".join(text.split())
    if len(words) > _LONGEST:
        raise BadInput(f"this has {len(words)} characters; at most {_LONGEST}", resource=field)
    return words
