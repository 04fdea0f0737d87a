"""Today: what needs this person's attention, worst first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import today as desk_today
from sinkside.desk.first_steps import FirstStep, first_steps
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, SIGNED_IN, Nav, Screen

screen = Screen("today")


@dataclass(frozen=True)
class MatterLine:
    """One thing to see to: level, sentence, where it is opened, by when, or since when it waits."""

    level: str
    sentence: str
    address: str
    due: str
    overdue: bool
    waits_since: bool


@dataclass(frozen=True)
class OthersLine:
    """What waits for somebody else: level, sentence, the list that has it, and who it waits for."""

    level: str
    sentence: str
    address: str
    whom: str


@dataclass(frozen=True)
class StepLine:
    """A step on the way to a house's first poster; without an address it is somebody else's."""

    sentence: str
    done: bool
    address: str


@dataclass(frozen=True)
class TodayPage:
    """What needs attention, worst first, how many of each level; what waits for others; first steps."""

    title: str
    day: str
    matters: tuple[MatterLine, ...]
    stops: int
    concerns: int
    notes: int
    others: tuple[OthersLine, ...]
    first_steps: tuple[StepLine, ...]


@screen.page(f"{DEPARTMENT}/today", right=SIGNED_IN, template="today.html", nav=Nav("Today", 10, "today"))
def today(asked: Asked) -> TodayPage:
    """What needs this person's attention now."""
    matters = desk_today.today(asked.archive, asked.visitor, now=asked.now)
    levels = [matter.level.value for matter in matters]
    return TodayPage(
        title="Today",
        day=shown_moment(asked.now, asked.visitor.zone)[:10],
        matters=tuple(
            MatterLine(
                matter.level.value,
                matter.sentence,
                address_of(asked, matter.noun, matter.id),
                _due(asked, matter.due),
                overdue=matter.noun not in _WAIT and matter.due is not None and matter.due <= asked.now,
                waits_since=matter.noun in _WAIT,
            )
            for matter in matters
        ),
        stops=levels.count("stop"),
        concerns=levels.count("concern"),
        notes=levels.count("note"),
        others=tuple(
            OthersLine(one.level.value, one.sentence, _list_of(asked, one.noun), one.whom)
            for one in desk_today.waiting_for_others(asked.archive, asked.visitor, now=asked.now)
        ),
        first_steps=tuple(
            StepLine(step.sentence, step.done, _first(asked, step))
            for step in first_steps(asked.archive, asked.visitor, now=asked.now)
        ),
    )


#: Of these it is told since when they wait; of everything else by when it is to be done.
_WAIT: Final = frozenset({"cycle", "recall"})

#: Where things are opened, and the right that it takes.
_PLACES: Final = {
    "instruction": ("instructions", "instruction-read"),
    "cycle": ("cycles", "cycle-read"),
    "indicator": ("indicators", "cycle-read"),
    "sink-solution": ("solutions", "solution-read"),
    "machine": ("machines", "machine-read"),
    "set": ("sets", "set-read"),
    "paper": ("papers", "instruction-read"),
    "person": ("people", "people-manage"),
    "learning": ("learning", "learn"),
    "job": ("jobs", None),
    "sign-off": ("sign-offs/people", "sign-off-read"),
    "sign-offs": ("sign-offs", "sign-off-read"),
    "own-sign-offs": ("sign-offs/mine", None),
    "lesson": ("teaching", "lesson-read"),
    "load": ("bench/loads", "bench-read"),
    "alarm": ("bench/theatre", "bench-read"),
    "exception": ("bench/exceptions", "bench-read"),
    "loan": ("bench/loans", "bench-read"),
    "handover": ("bench/handover", "bench-read"),
    "outage": ("bench/downtime", "bench-read"),
    "verification": ("verification/programmes", "verification-read"),
    "deviation": ("deviations", "deviation-read"),
    "product-family": ("verification/families", "verification-read"),
    "text-currency": ("verification/texts", "verification-read"),
    "water-event": ("verification/water", "verification-read"),
    "recall": ("recalls", "recall-read"),
}


def address_of(asked: Asked, noun: str, thing: str) -> str:
    """Where a thing is opened; nothing for what has no page, or none that this person may open."""
    folder, right = _PLACES.get(noun, ("", None))
    allowed = right is None or asked.visitor.may(right)
    return asked.at(f"/{folder}/{thing}".rstrip("/")) if folder and allowed else ""


#: Where each of the first steps is done.
_FIRST: Final = {
    "department": "department",
    "people": "people/new",
    "instruction": "instructions/new",
    "approval": "instructions",
    "poster": "papers",
}


def _first(asked: Asked, step: FirstStep) -> str:
    return asked.at(f"/{_FIRST[step.id]}") if asked.visitor.may(step.right) else ""


def _list_of(asked: Asked, noun: str) -> str:
    """Where the list of such things is."""
    return asked.at(f"/{_PLACES[noun][0]}")


def _due(asked: Asked, due: datetime | None) -> str:
    return shown_moment(due, asked.visitor.zone) if due else ""
