"""What is being watched, what waits for a signature, what was signed; and where one begins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.desk import observing, observing_list
from sinkside.desk.observing_kept import RIGHT
from sinkside.desk.observing_list import ObservationLine
from sinkside.errors import BadInput
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.teach.observing_policy import Manner, observing_policy
from sinkside.teach.sign_offs import Level
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Screen

screen = Screen("observing")

PLACE: Final = f"{DEPARTMENT}/observing"

#: How far somebody may work, as people read it: a sign that needs no colour, and the word.
LEVELS: Final[Mapping[Level, tuple[str, str]]] = {
    Level.not_yet: ("○", "Not yet"),
    Level.supervised: ("◐", "Supervised"),
    Level.independent: ("●", "Independent"),
}
_STANDS: Final = {"open": "Go on watching", "judged": "Waits for the other signature", "signed": "Signed"}


@dataclass(frozen=True)
class ObservationShown:
    """One observation of a list: its page, device, station, who was watched, how it stands, when."""

    address: str
    device: str
    station: str
    trainee: str
    stands: str
    sign: str
    level: str
    said: str
    at: str


@dataclass(frozen=True)
class ObservingPage:
    """What is to be gone on with, what was signed lately, and the devices that can be watched."""

    title: str
    new: str
    to_do: tuple[ObservationShown, ...]
    lately: tuple[ObservationShown, ...]
    devices: tuple[Option, ...]


@dataclass(frozen=True)
class BeginPage:
    """The form that begins an observation of one device: where, whom, and how."""

    title: str
    address: str
    observing: str
    instruction: str
    revision: int
    stations: tuple[Option, ...]
    people: tuple[Option, ...]
    manners: tuple[Option, ...]


class Begin(Form):
    """Which device, where, whom, and whether at work or shown back."""

    instruction: str = Field(max_length=100)
    station: str = Field(max_length=40)
    trainee: str = Field(max_length=100)
    manner: Manner = Manner.at_work


@screen.page(PLACE, right=RIGHT, template="observing.html")
def observations(asked: Asked) -> ObservingPage:
    """What somebody watches, and where they begin."""
    found = observing_list.find_observations(asked.archive, asked.visitor)
    return ObservingPage(
        title="Observations",
        new=asked.at("/observing/new"),
        to_do=tuple(shown(asked, one) for one in found.to_do),
        lately=tuple(shown(asked, one) for one in found.lately),
        devices=tuple(Option(*one) for one in found.devices),
    )


@screen.page(f"{PLACE}/new", right=RIGHT, template="observing_begin.html")
def begin_page(asked: Asked, *, instruction: Annotated[str, Query(max_length=100)] = "") -> BeginPage:
    """Where, whom and how one device is to be watched."""
    wanted = instruction or "".join(asked.problem.typed.get("instruction", ())[:1])
    if not wanted:
        raise BadInput("choose a device first", resource="instruction")
    known = observing.to_observe(asked.archive, asked.visitor, wanted, now=asked.now)
    manners = observing_policy().manners
    return BeginPage(
        title=f"Observe: {known.device}",
        address=asked.at("/observing/new"),
        observing=asked.at("/observing"),
        instruction=wanted,
        revision=known.revision,
        stations=tuple(Option(one.value, station_label(one)) for one in known.stations),
        people=tuple(Option(*one) for one in known.people),
        manners=tuple(Option(one.value, f"{manners[one].name}: {manners[one].about}") for one in Manner),
    )


@screen.act(f"{PLACE}/new", right=RIGHT, form=Begin, page=begin_page)
def begin(asked: Asked, form: Begin) -> Done:
    """Begin to watch somebody."""
    if form.station not in set(Station):
        raise BadInput("expected one of the stations", resource="station")
    observation = observing.begin(
        asked.archive,
        asked.visitor,
        form.instruction,
        Station(form.station),
        form.trainee,
        manner=form.manner,
        now=asked.now,
    )
    return Done(go=asked.at(f"/observing/{observation}"))


def shown(asked: Asked, one: ObservationLine) -> ObservationShown:
    """An observation as a list shows it."""
    sign, level = LEVELS[Level(one.level)] if one.level else ("", "")
    return ObservationShown(
        address=asked.at(f"/observing/{one.id}"),
        device=one.device,
        station=station_label(Station(one.station)),
        trainee=one.trainee_name,
        stands=_STANDS[one.state],
        sign=sign,
        level=level,
        said=one.said,
        at=shown_moment(one.at, asked.visitor.zone),
    )
