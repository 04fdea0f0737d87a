"""Observations judged by who watched, signed by who was watched, and what follows from them."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from sinkside.desk import sign_offs
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.observing_documents import Observation, Signature
from sinkside.desk.observing_evidence import listed, shown_for
from sinkside.desk.observing_kept import (
    LONGEST,
    LONGEST_NOTE,
    being_watched,
    kept_observation,
    noted,
    observation_in,
    refuse_other,
)
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_policy import GIVE
from sinkside.desk.signing_in import Shown, person_shown
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.teach.observing import may_be_given
from sinkside.teach.sign_offs import Level


def judge(
    archive: Archive, who: Visitor, observation: str, level: Level, *, note: str = "", now: datetime
) -> Observation:
    """Say how far the trainee may work, and sign; never more than what was seen leads to.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here.
        Conflict: if it is judged already.
        BadInput: if the level is higher than what was seen leads to, or the note is too long.
    """
    with archive.unit() as unit:
        known = being_watched(unit, who, observation)
        outcome = known.outcome
        if level not in may_be_given(outcome):
            why = " ".join(outcome.reasons)
            raise BadInput(f"what was seen leads to {outcome.highest} at most. {why}", resource="reached")
        signed = Signature(person=who.person, at=now, how="session")
        update = {"level": level, "note": noted(note, LONGEST), "observer_signed": signed}
        made = known.model_copy(update=update)
        kept_observation(unit, who, observation, made, event="observation-judged", now=now)
        return made


def countersign(
    archive: Archive,
    who: Visitor,
    observation: str,
    shown: Shown,
    *,
    badge_key: bytes,
    address: str,
    now: datetime,
) -> tuple[Observation, str]:
    """Have the trainee sign on the same tablet by badge or PIN; then what they may do is signed off.

    Says what the sign-off still waits for, if anything.

    Args:
        archive: where it is kept.
        who: the observer, on whose tablet it is.
        observation: which.
        shown: the trainee's badge or PIN; their name is known.
        badge_key: the workspace's key for badges.
        address: where the request came from.
        now: the moment.

    Raises:
        NotAllowed: if the badge or PIN is not the trainee's, or too many tries failed.
        NotThere: if there is no such observation here.
        Conflict: if it is not judged yet, or signed already.
    """
    with archive.unit(writes=False) as unit:
        known = _to_be_signed(unit, who, observation)
        trainee = unit.people.get(known.trainee)
    if trainee is None:
        raise NotThere("this person is not here any more", resource=observation)
    badge = shown.badge.strip()
    sign = shown if badge else Shown(name=trainee.sign_in, pin=shown.pin)
    person = person_shown(archive, sign, badge_key=badge_key, address=address, now=now)
    if person.id != known.trainee:
        raise NotAllowed("this is somebody else’s badge; who was watched signs", resource="badge")
    how: Literal["badge", "pin"] = "badge" if badge else "pin"
    with archive.unit() as unit:
        return signed_by_trainee(unit, who, observation, how=how, now=now)


def signed_by_trainee(
    unit: Unit, who: Visitor, observation: str, *, how: Literal["badge", "pin"], now: datetime
) -> tuple[Observation, str]:
    """The same once the trainee has shown who they are, within a unit of whoever calls.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here, or the trainee has no role here any more.
        Conflict: if it is not judged yet, or signed already.
    """
    known = _to_be_signed(unit, who, observation)
    signing = visitor_in(unit, known.trainee, who.department, now)
    signed = Signature(person=known.trainee, at=now, how=how)
    made = known.model_copy(update={"trainee_signed": signed})
    kept_observation(unit, signing, observation, made, event="observation-signed", now=now)
    return made, _sign_off(unit, who, observation, made, now=now)


def strike(archive: Archive, who: Visitor, observation: str, *, why: str, now: datetime) -> None:
    """Strike out an observation that is not signed by both; it stays readable.

    Raises:
        NotAllowed: to anybody but the observer.
        NotThere: if there is no such observation here.
        Conflict: if it is signed by both, or struck out already.
        BadInput: without a reason.
    """
    with archive.unit() as unit:
        known = observation_in(unit, who, observation)
        refuse_other(who, known)
        if known.state not in {"open", "judged"}:
            raise Conflict("this observation is closed", resource=observation)
        if not why.strip():
            raise BadInput("expected why it is struck out", resource="why")
        made = known.model_copy(update={"struck": noted(why, LONGEST_NOTE)})
        kept_observation(unit, who, observation, made, event="observation-struck", now=now)


def _to_be_signed(unit: Unit, who: Visitor, observation: str) -> Observation:
    """An observation that waits for the trainee."""
    known = observation_in(unit, who, observation)
    refuse_other(who, known)
    if known.state != "judged":
        raise Conflict("this observation does not wait for a signature", resource=observation)
    return known


def _sign_off(unit: Unit, who: Visitor, observation: str, made: Observation, *, now: datetime) -> str:
    """What both signed becomes a sign-off, where the observer may give one; says what came of it.

    Work alone is signed off only once everything is there that policy asks for; until then, supervised.
    """
    if made.level is None or not who.may(GIVE):
        return "Who signs people off here does so by this observation."
    said = []
    for family in made.families:
        shown = shown_for(unit, who.department, made, observation, family, now=now)
        alone = made.level is Level.independent
        level = Level.supervised if alone and shown.missing else made.level
        why = made.outcome.sentence
        if alone and shown.missing:
            why = f"Work alone waits for {listed(shown.missing)}."
            said.append(why)
        signing = sign_offs.Signing(level=level, evidence=shown.evidence, why=why)
        sign_offs.sign_off(unit, who, made.trainee, family, made.station, signing, now=now)
    return " ".join(dict.fromkeys(said))
