"""Whose record one reads, one person's record, who covers a station, and all of it to take along."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.desk import observing_kept, proof, proof_papers
from sinkside.desk.observing_kept import READS
from sinkside.desk.people import names_of
from sinkside.desk.proof import PersonProof
from sinkside.desk.proof_papers import STANDS, day_of
from sinkside.errors import NotThere
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, SignOff, State
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Option, Screen, Sending
from sinkside.web.screens.observing.shelf import LEVELS

screen = Screen("proof")

PLACE: Final = f"{DEPARTMENT}/proof"
_PERSON: Final = f"{PLACE}/people/{{person}}"
_PDF: Final = "application/pdf"
_SIGNS: Final[Mapping[State, str]] = {
    State.open_again: "▲",
    State.ended: "▲",
    State.not_yet: "○",
    State.supervised: "◐",
    State.ending: "●",
    State.holds: "●",
}


@dataclass(frozen=True)
class ProofPage:
    """People and stations whose proof can be read, and where all of it is taken along."""

    title: str
    people: tuple[Option, ...]
    stations: tuple[Option, ...]
    roll_outs: str
    export: str


@dataclass(frozen=True)
class SignOffShown:
    """One sign-off: devices, station, how it stands, given, until; what opened it again; its certificate."""

    devices: str
    station: str
    sign: str
    stands: str
    given: str
    until: str
    changes: tuple[str, ...]
    certificate: str


@dataclass(frozen=True)
class SeenShown:
    """One observation of a record: its page, device, station, what was seen, how far it led, who, when."""

    address: str
    device: str
    station: str
    said: str
    sign: str
    level: str
    observer: str
    day: str


@dataclass(frozen=True)
class LearntShown:
    """One device that somebody learnt: revision, day of the lesson, answers right."""

    device: str
    revision: int
    lesson: str
    answers: str


@dataclass(frozen=True)
class PersonPage:
    """One person's record; `back` is empty for whoever reads only their own."""

    title: str
    back: str
    paper: str
    shifts: str
    sign_offs: tuple[SignOffShown, ...]
    observations: tuple[SeenShown, ...]
    learnt: tuple[LearntShown, ...]


@dataclass(frozen=True)
class CoverLine:
    """Devices of one family, and who works alone with them: name, shift, until when, and their record."""

    devices: str
    people: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True)
class CoverPage:
    """Who works alone at a station, family by family; what nobody covers first."""

    title: str
    back: str
    families: tuple[CoverLine, ...]


@dataclass(frozen=True)
class ObservationPage:
    """One observation as it was signed, to be read: what was seen of each point, and who signed.

    `points` are the words, the mark in a word, the note, and why it is critical.
    """

    title: str
    back: str
    trainee: str
    observer: str
    sign: str
    level: str
    said: str
    reasons: tuple[str, ...]
    points: tuple[tuple[str, str, str, str], ...]
    signed: tuple[str, ...]
    struck: str


@screen.page(PLACE, right=READS, template="proof.html")
def proof_page(asked: Asked) -> ProofPage:
    """Whose record, and which station's cover, can be read."""
    people = proof.people_proved(asked.archive, asked.visitor, now=asked.now)
    return ProofPage(
        title="Proof",
        people=tuple(Option(asked.at(f"/proof/people/{one}"), name) for one, name in people),
        stations=tuple(
            Option(asked.at(f"/proof/stations/{one.value}"), station_label(one)) for one in Station
        ),
        roll_outs=asked.at("/roll-outs"),
        export=asked.at("/proof/export"),
    )


@screen.page(_PERSON, right="instruction-read", template="proof_person.html")
def person_page(asked: Asked, person: str) -> PersonPage:
    """One person's record; everybody may read their own."""
    known = proof.proof_of(asked.archive, asked.visitor, person, now=asked.now)
    zone = asked.visitor.zone
    return PersonPage(
        title=known.name,
        back=asked.at("/proof") if asked.visitor.may(READS) else "",
        paper=asked.at(f"/proof/people/{person}/file"),
        shifts=", ".join(known.shifts),
        sign_offs=tuple(
            _sign_off(asked, known, one, state)
            for one, state in zip(known.sign_offs, known.stands, strict=True)
        ),
        observations=tuple(
            SeenShown(
                address=asked.at(f"/proof/observations/{one.id}"),
                device=one.device,
                station=station_label(Station(one.station)),
                said=one.said,
                sign=LEVELS[Level(one.level)][0],
                level=LEVELS[Level(one.level)][1],
                observer=one.observer_name,
                day=day_of(one.at, zone),
            )
            for one in known.observations
        ),
        learnt=tuple(
            LearntShown(
                one.device,
                one.revision,
                day_of(one.lesson, zone) if one.lesson else "–",
                f"{one.right} of {one.answered}" if one.answered else "–",
            )
            for one in known.learnt
        ),
    )


@screen.file(f"{_PERSON}/file", right="instruction-read")
def person_file(asked: Asked, person: str) -> Sending:
    """One person's record as PDF."""
    live = f"{asked.address}{asked.at(f'/proof/people/{person}')}"
    name, data = proof_papers.person_paper(asked.archive, asked.visitor, person, now=asked.now, live_url=live)
    return Sending(data, _PDF, saved_as=name)


@screen.file(f"{_PERSON}/certificates/{{key}}/{{station}}", right="instruction-read")
def certificate_file(asked: Asked, person: str, key: str, station: str) -> Sending:
    """The certificate of one sign-off as PDF; `key` is the device family."""
    live = f"{asked.address}{asked.at(f'/proof/people/{person}')}"
    name, data = proof_papers.certificate(
        asked.archive, asked.visitor, person, key, _station(station), now=asked.now, live_url=live
    )
    return Sending(data, _PDF, saved_as=name)


@screen.page(f"{PLACE}/stations/{{station}}", right=READS, template="proof_station.html")
def station_page(asked: Asked, station: str) -> CoverPage:
    """Who works alone at a station, family by family."""
    where = _station(station)
    found = proof.cover_of(asked.archive, asked.visitor, where, now=asked.now)
    zone = asked.visitor.zone
    return CoverPage(
        title=f"Who works alone: {station_label(where).lower()}",
        back=asked.at("/proof"),
        families=tuple(
            CoverLine(
                one.family_name,
                tuple(
                    (
                        name,
                        shifts,
                        day_of(until, zone) if until else "no end",
                        asked.at(f"/proof/people/{who}"),
                    )
                    for who, name, shifts, until in one.people
                ),
            )
            for one in found
        ),
    )


@screen.page(
    f"{PLACE}/observations/{{observation}}", right="instruction-read", template="proof_observation.html"
)
def observation_page(asked: Asked, observation: str) -> ObservationPage:
    """One observation, to be read by whoever was watched, and by whoever reads proof."""
    known = observing_kept.open_observation(asked.archive, asked.visitor, observation)
    names = names_of(asked.archive, [known.trainee, known.observer])
    sign, level = LEVELS[known.level] if known.level else ("", "")
    signing = [one for one in (known.observer_signed, known.trainee_signed) if one]
    return ObservationPage(
        title=f"{known.device}: {station_label(known.station).lower()}",
        back=asked.at(f"/proof/people/{known.trainee}"),
        trainee=names[known.trainee],
        observer=names[known.observer],
        sign=sign,
        level=level,
        said=known.outcome.sentence,
        reasons=known.outcome.reasons,
        points=tuple(
            (one.words, one.mark.value.replace("-", " "), one.note, one.critical) for one in known.seen
        ),
        signed=tuple(f"{names[one.person]}, {day_of(one.at, asked.visitor.zone)}" for one in signing),
        struck=known.struck,
    )


@screen.file(f"{PLACE}/export", right=proof.EXPORTS)
def export(asked: Asked) -> Sending:
    """Every sign-off of this department as a table."""
    data = proof.export_proof(asked.archive, asked.visitor, now=asked.now)
    return Sending(
        data, "text/csv; charset=utf-8", saved_as=f"sign-offs-{day_of(asked.now, asked.visitor.zone)}.csv"
    )


def _station(station: str) -> Station:
    if station not in set(Station):
        raise NotThere("there is no such station", resource=station)
    return Station(station)


def _sign_off(asked: Asked, known: PersonProof, one: SignOff, state: State) -> SignOffShown:
    zone = asked.visitor.zone
    certified = state in {State.supervised, State.ending, State.holds}
    place = f"/proof/people/{known.person}/certificates/{one.family}/{one.station.value}"
    return SignOffShown(
        devices=known.names[one.family],
        station=station_label(one.station),
        sign=_SIGNS[state],
        stands=STANDS[state],
        given=day_of(one.given, zone),
        until=day_of(one.until, zone) if one.until else "–",
        changes=one.changes if one.reopened else (),
        certificate=asked.at(place) if certified else "",
    )
