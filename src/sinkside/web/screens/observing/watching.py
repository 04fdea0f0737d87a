"""One observation: point by point while it is watched, then judged, then signed by who was watched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.desk import observing, observing_kept, observing_signing
from sinkside.desk.observing_documents import Observation, Seen
from sinkside.desk.observing_kept import RIGHT
from sinkside.desk.people import names_of
from sinkside.desk.signing_in import Shown
from sinkside.errors import BadInput
from sinkside.plain.operations import station_label
from sinkside.teach.observing import Mark, may_be_given
from sinkside.teach.observing_policy import CriterionKind, observing_policy
from sinkside.teach.sign_offs import Level
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.observing.shelf import LEVELS, PLACE, screen

_ONE: Final = f"{PLACE}/{{observation}}"
_MARKS: Final = ((Mark.done, "Done"), (Mark.missed, "Missed"), (Mark.not_seen, "Not seen"))
_ABOUT: Final = {
    Level.not_yet: "teach it again before the next try",
    Level.supervised: "with somebody beside who works alone here",
    Level.independent: "alone",
}


@dataclass(frozen=True)
class PointShown:
    """One point to be watched.

    Attributes:
        id: its number.
        place: which of them it is, from 1.
        words: what is seen when it is done.
        details: what goes with it.
        critical: why it is critical; empty where it is not.
        mark: what was seen; empty before the observer said anything.
        mark_word: the same in a word.
        note: the observer's note.
        pictures: where pictures are read, instead of a mark by hand; empty for all others.
    """

    id: str
    place: int
    words: str
    details: tuple[str, ...]
    critical: str
    mark: str
    mark_word: str
    note: str
    pictures: str


@dataclass(frozen=True)
class WatchingPage:
    """One observation.

    Attributes:
        title: device and station.
        address: of the page.
        observing: where the list is.
        state: open, judged, signed or struck.
        trainee: who is watched.
        observer: who watches.
        about: the manner, the revision and when it began.
        points: what is watched for, in the order of the work.
        marks: the marks an observer may give.
        looked: how many points have a mark.
        said: what was seen, in a sentence.
        reasons: why it leads to no more.
        levels: how far the observer may let them work, the highest first.
        level: what was given; empty before.
        level_sign: its sign.
        note: what the observer added.
        signed: who signed, when and how, one line each.
        struck: why it was struck out.
        is_observer: whether who looks is the observer.
    """

    title: str
    address: str
    observing: str
    state: str
    trainee: str
    observer: str
    about: str
    points: tuple[PointShown, ...]
    marks: tuple[Option, ...]
    looked: int
    said: str
    reasons: tuple[str, ...]
    levels: tuple[Option, ...]
    level: str
    level_sign: str
    note: str
    signed: tuple[str, ...]
    struck: str
    is_observer: bool


class MarkPoint(Form):
    """What was seen of one point; without a mark only the note is kept."""

    criterion: str = Field(max_length=40)
    mark: Literal["", "done", "missed", "not-seen"] = ""
    note: str = Field("", max_length=2000)


class Judge(Form):
    """How far the trainee may work, and what the observer adds."""

    reached: Level
    note: str = Field("", max_length=4000)


class Countersign(Form):
    """The trainee's badge, or their PIN."""

    badge: str = Field("", max_length=200)
    pin: str = Field("", max_length=40)


class Strike(Form):
    """Why the observation is struck out."""

    why: str = Field("", max_length=1000)


@screen.page(_ONE, right=RIGHT, template="observation.html")
def observation(asked: Asked, observation: str) -> WatchingPage:
    """One observation as it stands."""
    known = observing_kept.open_observation(asked.archive, asked.visitor, observation)
    outcome = known.outcome
    address = asked.at(f"/observing/{observation}")
    signing = [one for one in (known.observer_signed, known.trainee_signed) if one]
    names = names_of(asked.archive, [known.trainee, known.observer])
    sign, level = LEVELS[known.level] if known.level else ("", "")
    manner = observing_policy().manners[known.manner].name
    return WatchingPage(
        title=f"{known.device}: {station_label(known.station).lower()}",
        address=address,
        observing=asked.at("/observing"),
        state=known.state,
        trainee=names[known.trainee],
        observer=names[known.observer],
        about=f"{manner} · revision {known.revision} · {shown_moment(known.begun, asked.visitor.zone)}",
        points=tuple(_point(one, place, address) for place, one in enumerate(known.seen, 1)),
        marks=tuple(Option(mark.value, word) for mark, word in _MARKS),
        looked=sum(one.looked for one in known.seen),
        said=outcome.sentence,
        reasons=outcome.reasons,
        levels=tuple(
            Option(one.value, f"{LEVELS[one][1]}: {_ABOUT[one]}") for one in reversed(may_be_given(outcome))
        ),
        level=level,
        level_sign=sign,
        note=known.note,
        signed=tuple(
            f"{names[one.person]}, {shown_moment(one.at, asked.visitor.zone)}, by {_HOW[one.how]}"
            for one in signing
        ),
        struck=known.struck,
        is_observer=asked.visitor.person == known.observer,
    )


_HOW: Final = {"session": "their open session", "pin": "PIN", "badge": "badge"}


@screen.act(f"{_ONE}/marks", right=RIGHT, form=MarkPoint, page=observation)
def mark_point(asked: Asked, form: MarkPoint, observation: str) -> Done:
    """Keep what was seen of one point at once."""
    observing.mark(
        asked.archive,
        asked.visitor,
        observation,
        form.criterion,
        seen=Mark(form.mark) if form.mark else None,
        note=form.note,
        now=asked.now,
    )
    return Done(go=asked.at(f"/observing/{observation}#point-{form.criterion}"))


@screen.act(f"{_ONE}/judge", right=RIGHT, form=Judge, page=observation)
def judge(asked: Asked, form: Judge, observation: str) -> Done:
    """Say how far the trainee may work, and sign."""
    observing_signing.judge(
        asked.archive, asked.visitor, observation, form.reached, note=form.note, now=asked.now
    )
    return Done(go=asked.at(f"/observing/{observation}#signature"), said="Signed. Hand the tablet over.")


@screen.act(f"{_ONE}/sign", right=RIGHT, form=Countersign, page=observation)
def countersign(asked: Asked, form: Countersign, observation: str) -> Done:
    """Have the trainee sign by badge or PIN."""
    if not form.badge.strip() and not form.pin:
        raise BadInput("expected a badge or a PIN", resource="badge")
    made, waits = observing_signing.countersign(
        asked.archive,
        asked.visitor,
        observation,
        Shown(badge=form.badge, pin=form.pin),
        badge_key=asked.context.badge_key,
        address=asked.sender,
        now=asked.now,
    )
    level = LEVELS[made.level][1].lower() if made.level else ""
    return Done(go=asked.at(f"/observing/{observation}"), said=f"Both have signed: {level}. {waits}".strip())


@screen.act(f"{_ONE}/strike", right=RIGHT, form=Strike, page=observation)
def strike(asked: Asked, form: Strike, observation: str) -> Done:
    """Strike an observation out; it stays readable."""
    observing_signing.strike(asked.archive, asked.visitor, observation, why=form.why, now=asked.now)
    return Done(go=asked.at("/observing"), said="The observation is struck out.")


def _point(one: Seen, place: int, address: str) -> PointShown:
    return PointShown(
        id=one.id,
        place=place,
        words=one.words,
        details=one.details,
        critical=one.critical,
        mark=one.mark.value if one.looked else "",
        mark_word=dict(_MARKS)[one.mark],
        note=one.note,
        pictures=f"{address}/pictures" if one.kind is CriterionKind.pictures else "",
    )


def title_of(known: Observation) -> str:
    """What an observation is called."""
    return f"{known.device}: {station_label(known.station).lower()}"
