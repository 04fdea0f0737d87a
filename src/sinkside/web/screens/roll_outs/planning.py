"""Planning a roll-out: where people must be able to work, whose people, and by when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Final, Literal

from fastapi import Query
from pydantic import Field

from sinkside.desk import roll_outs
from sinkside.desk.roll_outs import EDITS, Planned
from sinkside.errors import BadInput
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.teach.sign_offs import Level
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.roll_outs.page import PLACE, screen

_MOST: Final = 100


@dataclass(frozen=True)
class PlanPage:
    """The form that plans a roll-out of one device."""

    title: str
    address: str
    roll_outs: str
    instruction: str
    revision: int
    stations: tuple[Option, ...]
    shifts: tuple[Option, ...]
    levels: tuple[Option, ...]


class Plan(Form):
    """Where, whose people, by when, how many answers right, and how far everybody must be."""

    instruction: str = Field(max_length=100)
    stations: list[str] = Field(default=[], max_length=20)
    shifts: list[str] = Field(default=[], max_length=50)
    first_use: str = Field("", max_length=10)
    questions: str = Field("80", max_length=10)
    level: Literal["supervised", "independent"] = "supervised"


@screen.page(f"{PLACE}/new", right=EDITS, template="roll_out_plan.html")
def plan_page(asked: Asked, *, instruction: Annotated[str, Query(max_length=100)] = "") -> PlanPage:
    """What a roll-out of one device can be planned with."""
    wanted = instruction or "".join(asked.problem.typed.get("instruction", ())[:1])
    if not wanted:
        raise BadInput("choose a device first", resource="instruction")
    known = roll_outs.plannable(asked.archive, asked.visitor, wanted)
    return PlanPage(
        title=f"Roll out: {known.device}",
        address=asked.at("/roll-outs/new"),
        roll_outs=asked.at("/roll-outs"),
        instruction=wanted,
        revision=known.revision,
        stations=tuple(Option(one.value, station_label(one)) for one in known.stations),
        shifts=tuple(Option(*one) for one in known.shifts),
        levels=(
            Option("supervised", "With somebody beside who works alone there"),
            Option("independent", "Alone"),
        ),
    )


@screen.act(f"{PLACE}/new", right=EDITS, form=Plan, page=plan_page)
def plan(asked: Asked, form: Plan) -> Done:
    """Plan who must be ready before a device is first used."""
    if strange := [one for one in form.stations if one not in set(Station)]:
        raise BadInput(f"'{strange[0][:40]}' is no station", resource="stations")
    planned = Planned(
        stations=tuple(Station(one) for one in form.stations),
        shifts=tuple(form.shifts),
        first_use=_day(form.first_use),
        questions=_share(form.questions),
        level=Level(form.level),
    )
    roll_out = roll_outs.plan(asked.archive, asked.visitor, form.instruction, planned, now=asked.now)
    return Done(go=asked.at(f"/roll-outs/{roll_out}"), said="The roll-out is planned.")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise BadInput("expected the day of first use, such as 2027-05-31", resource="first_use") from error


def _share(text: str) -> int:
    share = int(text) if text.isascii() and text.isdigit() and len(text) <= len(str(_MOST)) else _MOST + 1
    if share > _MOST:
        raise BadInput("expected a whole number of a hundred, such as 80", resource="questions")
    return share
