"""One person's sign-offs: how they stand, giving and taking back, opening again after an error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from sinkside.bench.recall import CauseKind
from sinkside.department import WORKED_AT
from sinkside.desk import sign_offs
from sinkside.desk.people import names_of
from sinkside.desk.recall.choosing import WHERE_OF
from sinkside.desk.sign_off_people import families_here
from sinkside.desk.sign_offs import PersonStands, Signing
from sinkside.errors import BadInput
from sinkside.plain.operations import station_label
from sinkside.records import Post
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, SignOff, State
from sinkside.web.asked import Asked
from sinkside.web.recall_links import recall_link
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import SIGNED_IN, Done, Form, Option
from sinkside.web.screens.sign_offs.shelf import GIVE, PLACE, READ, Text, screen
from sinkside.web.sign_off_words import StateShown, last_day_of, since_said, state_shown, stations_said
from sinkside.web.typed_moments import typed

_PERSON = f"{PLACE}/people/{{person}}"


@dataclass(frozen=True)
class Held:
    """Sign-offs of one family that stand alike: since or until when, what shows them, who signed.

    `recall` is where one looks at what was done by them, should they be found wrong.
    """

    family: str
    name: str
    stations: str
    state: StateShown
    since: str
    evidence: tuple[str, ...]
    signed: str
    recall: str


@dataclass(frozen=True)
class PostHeld:
    """A shift somebody is on: its id and name, and the last day, empty where there is none."""

    shift: str
    name: str
    last_day: str


@dataclass(frozen=True)
class PersonSignOffsPage:
    """One person's sign-offs, what is to be done first at the head.

    Attributes:
        title: the heading.
        address: of the page; empty where it is one's own, which nobody signs.
        list: where all are.
        roster: where the posts of this person are sent.
        proof: where their record is.
        held: the sign-offs.
        posts: the shifts they are on.
        shifts: the shifts there are.
        family: the family that is chosen in the form.
        families: those to choose from.
        stations: where the work is done.
        needs: what each occasion asks for, in sentences.
        opened: families and stations that can be opened again after an error.
    """

    title: str
    address: str
    list: str
    roster: str
    proof: str
    held: tuple[Held, ...]
    posts: tuple[PostHeld, ...]
    shifts: tuple[Option, ...]
    family: str
    families: tuple[Option, ...]
    stations: tuple[Option, ...]
    needs: tuple[str, ...]
    opened: tuple[Option, ...]


class SignForm(Form):
    """A sign-off: family, stations, how far, what shows it, what is added."""

    family: str = Field(max_length=200)
    stations: list[Station] = Field(default=[], max_length=20)
    how_far: Literal["not-yet", "supervised", "independent"]
    lesson: str = Field("", max_length=500)
    questions: str = Field("", max_length=500)
    observation: str = Field("", max_length=500)
    why: str = Field("", max_length=500)


class ErrorForm(Form):
    """Which sign-off an error opens again, as family and station, and what happened."""

    opened: str = Field(max_length=300)
    reason: str = Field("", max_length=4000)


@screen.page(_PERSON, right=READ, template="sign_off_person.html")
def person(asked: Asked, person: str, *, family: Text = "") -> PersonSignOffsPage:
    """One person's sign-offs."""
    known = sign_offs.how_person_stands(asked.archive, asked.visitor, person, now=asked.now)
    own = person == asked.visitor.person
    may_give = asked.visitor.may(GIVE) and not own
    families = families_here(asked.archive, asked.visitor) if may_give else ()
    name = names_of(asked.archive, [person])[person]
    return _page(asked, known, name, family=family, families=families)


@screen.page(f"{PLACE}/mine", right=SIGNED_IN, template="sign_off_person.html")
def mine(asked: Asked) -> PersonSignOffsPage:
    """One's own sign-offs; everybody may read these."""
    known = sign_offs.how_person_stands(asked.archive, asked.visitor, asked.visitor.person, now=asked.now)
    return _page(asked, known, "Your sign-offs", family="", families=())


@screen.act(_PERSON, right=GIVE, form=SignForm, page=person)
def sign(asked: Asked, form: SignForm, person: str) -> Done:
    """Sign somebody off, or take a sign-off back."""
    shown = {"lesson": form.lesson, "questions": form.questions, "observation": form.observation}
    signing = Signing(Level(form.how_far), shown, why=form.why)
    count = sign_offs.give(
        asked.archive, asked.visitor, person, form.family, form.stations, signing, now=asked.now
    )
    said = f"Signed at {count} {'station' if count == 1 else 'stations'}: {form.how_far.replace('-', ' ')}."
    return Done(go=asked.at(f"/sign-offs/people/{person}?family={form.family}"), said=said)


@screen.act(f"{_PERSON}/error", right=GIVE, form=ErrorForm, page=person)
def after_an_error(asked: Asked, form: ErrorForm, person: str) -> Done:
    """Open a sign-off again because of an error."""
    family, _, station = form.opened.rpartition(" ")
    if station not in list(Station):
        raise BadInput("choose one of the sign-offs", resource="opened")
    sign_offs.after_an_error(
        asked.archive, asked.visitor, person, family, Station(station), reason=form.reason, now=asked.now
    )
    said = "The sign-off is open again: until it is given anew they work with somebody beside them."
    return Done(go=asked.at(f"/sign-offs/people/{person}?family={family}"), said=said)


def _page(
    asked: Asked,
    known: PersonStands,
    name: str,
    *,
    family: str,
    families: tuple[tuple[str, str], ...],
) -> PersonSignOffsPage:
    signers = names_of(asked.archive, {one.by for one in known.sign_offs})
    return PersonSignOffsPage(
        title=name,
        address=asked.at(f"/sign-offs/people/{known.person}") if families else "",
        list=asked.at("/sign-offs"),
        roster=asked.at(f"/sign-offs/roster/{known.person}"),
        proof=asked.at(f"/proof/people/{known.person}"),
        held=tuple(_held(asked, known, signers)),
        posts=tuple(_post(asked, known, one) for one in known.posts),
        shifts=tuple(Option(*one) for one in known.shifts.items()),
        family=family or (families[0][0] if families else ""),
        families=tuple(Option(*one) for one in families),
        stations=tuple(Option(station.value, station_label(station)) for station in WORKED_AT),
        needs=_needs(known) if families else (),
        opened=tuple(
            Option(f"{one.family} {one.station.value}", f"{known.families[one.family]}, {_at(one)}")
            for one in known.sign_offs
            if one.level is Level.independent and one.state(asked.now) is State.holds
        ),
    )


def _at(one: SignOff) -> str:
    return station_label(one.station).lower()


def _held(asked: Asked, known: PersonStands, signers: dict[str, str]) -> list[Held]:
    """Lines of one family that stand alike, as one."""
    zone = asked.visitor.zone
    grouped: dict[tuple[str, State, str, str], list[SignOff]] = {}
    for one in known.sign_offs:
        state = one.state(asked.now, ahead=known.policy.ahead)
        signed = f"{signers.get(one.by, one.by)}, {shown_moment(one.given, zone)[:10]}"
        grouped.setdefault((one.family, state, since_said(one, state, zone), signed), []).append(one)
    return [
        Held(
            family=asked.at(f"/sign-offs/families/{family}") if asked.visitor.may(READ) else "",
            name=known.families[family],
            stations=stations_said(one.station for one in some),
            state=state_shown(state),
            since=since,
            evidence=some[0].evidence,
            signed=f"{signed}, {known.policy.asked(some[0].occasion).name}"
            + (f": {some[0].why}" if some[0].why else ""),
            recall=_recall(asked, known, some),
        )
        for (family, state, since, signed), some in grouped.items()
    ]


def _recall(asked: Asked, known: PersonStands, some: list[SignOff]) -> str:
    """Where one looks at what somebody did since some sign-offs were given, should they be found wrong."""
    first = min(some, key=lambda one: one.given)
    places = {WHERE_OF[one.station] for one in some if one.station in WHERE_OF}
    where = places.pop().value if len(places) == 1 else ""
    words = f"A sign-off for {known.families[first.family]} was found wrong."
    since = typed(asked, first.given)
    return recall_link(asked, CauseKind.person, first.who, where=where, words=words, since=since)


def _post(asked: Asked, known: PersonStands, one: Post) -> PostHeld:
    ends = last_day_of(one.until, asked.visitor.zone) if one.until else ""
    return PostHeld(one.shift, known.shifts.get(one.shift, one.shift), ends)


def _needs(known: PersonStands) -> tuple[str, ...]:
    lessons = {"whole": "the lesson", "difference": "the lesson of what changed", "none": ""}
    said = []
    for asked in known.policy.occasions.values():
        parts = [
            lessons[asked.lesson],
            f"{asked.questions} of 100 answers right" if asked.questions else "",
            f"{asked.observations} observation{'s' if asked.observations > 1 else ''}"
            if asked.observations
            else "",
        ]
        said.append(f"{asked.name.capitalize()}: {', '.join(filter(None, parts))}; holds {asked.days} days.")
    return tuple(said)
