"""Proof on paper: a person's record, and a certificate that says what was seen and until when it holds."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.aids.proof import ProofRequest, ProofTable, proof_pdf
from sinkside.desk import proof
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive
from sinkside.desk.proof import PersonProof
from sinkside.errors import NotForTheFloor, NotThere
from sinkside.plain.operations import STATION_LABELS
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, SignOff, State

#: How a sign-off stands, as people read it.
STANDS: Final[Mapping[State, str]] = {
    State.open_again: "Open again: with somebody beside",
    State.ended: "Ended: with somebody beside",
    State.not_yet: "Not yet",
    State.supervised: "Supervised: with somebody beside",
    State.ending: "Independent, ends soon",
    State.holds: "Independent",
}
_CERTIFIED: Final = frozenset({State.supervised, State.ending, State.holds})


def person_paper(
    archive: Archive, who: Visitor, person: str, *, now: datetime, live_url: str = ""
) -> tuple[str, bytes]:
    """One person's record: file name and PDF.

    Raises:
        NotAllowed: without the right, for somebody else.
        NotThere: if nothing is known of anybody of that pseudonym here.
    """
    known = proof.proof_of(archive, who, person, now=now)
    alone = sum(state in {State.ending, State.holds} for state in known.stands)
    request = ProofRequest(
        kind="Record of learning and work",
        title=known.name,
        about=known.shifts,
        said=(f"Signed off for work alone: {alone} of {len(known.sign_offs)} sign-offs on record.",),
        tables=(_sign_offs(known, who.zone), _observations(known, who.zone), _learnt(known, who.zone)),
        printed=day_of(now, who.zone),
        department=department_name(archive, who),
        live_url=live_url,
    )
    return f"record-{day_of(now, who.zone)}.pdf", proof_pdf(request)


def certificate(
    archive: Archive,
    who: Visitor,
    person: str,
    family: str,
    station: Station,
    *,
    now: datetime,
    live_url: str = "",
) -> tuple[str, bytes]:
    """A certificate of one sign-off: file name and PDF. It says what was observed and until when, never more.

    Raises:
        NotAllowed: without the right, for somebody else.
        NotThere: if there is no such sign-off here.
        NotForTheFloor: if it is open again, has ended, or was never given.
    """
    known = proof.proof_of(archive, who, person, now=now)
    found = [
        (one, state)
        for one, state in zip(known.sign_offs, known.stands, strict=True)
        if (one.family, one.station) == (family, station)
    ]
    if not found:
        raise NotThere("there is no such sign-off here", resource=person)
    signed, state = found[0]
    if state not in _CERTIFIED:
        raise NotForTheFloor(f"nothing is certified: {STANDS[state].lower()}", resource=known.name)
    request = ProofRequest(
        kind="Certificate",
        title=known.name,
        about=known.shifts,
        said=_certified(known, signed, who.zone),
        tables=(_seen(known, station, who.zone), _evidence(signed)),
        printed=day_of(now, who.zone),
        department=department_name(archive, who),
        live_url=live_url,
    )
    return f"certificate-{station.value}-{day_of(now, who.zone)}.pdf", proof_pdf(request)


def day_of(moment: datetime, zone: str) -> str:
    """The day of a moment on the department's calendar, ISO 8601."""
    return moment.astimezone(ZoneInfo(zone)).date().isoformat()


def department_name(archive: Archive, who: Visitor) -> str:
    """What the department is called."""
    with archive.unit(writes=False) as unit:
        site = unit.sites.get(who.department)
    return site.name if site else who.department


def _certified(known: PersonProof, signed: SignOff, zone: str) -> tuple[str, ...]:
    where = STATION_LABELS[signed.station].lower()
    family = known.names[signed.family]
    alone = signed.level is Level.independent
    how = "alone" if alone else "with somebody beside who works there alone"
    until = f", until {day_of(signed.until, zone)}" if signed.until else ""
    by = known.names.get(signed.by, signed.by)
    return (
        f"{known.name} may process {family} at the station “{where}”, {how}{until}.",
        f"Signed off on {day_of(signed.given, zone)} by {by}.",
    )


def _sign_offs(known: PersonProof, zone: str) -> ProofTable:
    return ProofTable(
        "Sign-offs",
        ("Devices", "Station", "How it stands", "Given", "Until"),
        tuple(
            (
                known.names[one.family],
                STATION_LABELS[one.station],
                STANDS[state],
                day_of(one.given, zone),
                day_of(one.until, zone) if one.until else "–",
            )
            for one, state in zip(known.sign_offs, known.stands, strict=True)
        ),
        "None on record.",
    )


def _observations(known: PersonProof, zone: str) -> ProofTable:
    return ProofTable(
        "Observations, signed by both",
        ("Device", "Station", "What was seen", "Led to", "Observer, day"),
        tuple(
            (
                one.device,
                STATION_LABELS[Station(one.station)],
                one.said,
                one.level.replace("-", " "),
                f"{one.observer_name}, {day_of(one.at, zone)}",
            )
            for one in known.observations
        ),
        "None on record.",
    )


def _learnt(known: PersonProof, zone: str) -> ProofTable:
    return ProofTable(
        "Lessons and questions",
        ("Device", "Revision", "Lesson", "Answers right"),
        tuple(
            (
                one.device,
                str(one.revision),
                day_of(one.lesson, zone) if one.lesson else "–",
                f"{one.right} of {one.answered}" if one.answered else "–",
            )
            for one in known.learnt
        ),
        "None on record.",
    )


def _seen(known: PersonProof, station: Station, zone: str) -> ProofTable:
    """The observations at one station that a certificate rests on."""
    table = _observations(known, zone)
    here = STATION_LABELS[station]
    return ProofTable(
        "What was observed",
        table.columns,
        tuple(row for row in table.rows if row[1] == here),
        "Nothing on record.",
    )


def _evidence(signed: SignOff) -> ProofTable:
    rows = tuple(
        (kind.capitalize(), said) for kind, _, said in (one.partition(": ") for one in signed.evidence)
    )
    return ProofTable("What it rests on", ("Kind", "Shown by"), rows, "Nothing was named.")
