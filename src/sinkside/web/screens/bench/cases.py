"""Cases: the days to come with the sets they need, planned one by one or taken in from a file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from pydantic import Field

from sinkside.bench.case_number import case_number, room_name
from sinkside.bench.cases import PlannedCase
from sinkside.desk.bench import cases as desk
from sinkside.desk.bench.copies import READ
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option, Upload
from sinkside.web.screens.bench.moments import clock, room_words
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.typed_moments import read_moment, typed

CASES: Final = f"{PLACE}/cases"

_DAYS: Final = 7
STATES: Final = {
    "planned": "planned",
    "under-way": "under way",
    "closed": "closed",
    "cancelled": "cancelled",
}


@dataclass(frozen=True)
class CaseLine:
    """One case: its page, number, room, when it begins, which sets it needs and how it stands."""

    address: str
    number: str
    room: str
    begins: str
    sets: tuple[str, ...]
    state: str


@dataclass(frozen=True)
class CasesPage:
    """The cases of the days to come, and forms to plan one and to hand in a file.

    Attributes:
        title: the heading.
        address: of the page, where a case is planned.
        file: where a file is handed in.
        arrivals: where the arrival list is.
        cases: the cases, the earliest first.
        sets: the sets of the department, to choose from.
        may_plan: whether whoever reads this may plan.
        begins: what the field for the begin holds at first.
    """

    title: str
    address: str
    file: str
    arrivals: str
    cases: tuple[CaseLine, ...]
    sets: tuple[Option, ...]
    may_plan: bool
    begins: str


@dataclass(frozen=True)
class CasesTakenPage:
    """What became of a file: how many cases are new, changed, as they were; what was left out or refused."""

    title: str
    cases: str
    added: tuple[str, ...]
    changed: tuple[str, ...]
    unchanged: int
    left_out: tuple[str, ...]
    refused: tuple[str, ...]


class PlanCase(Form):
    """A case to plan: number, room, begin, and which sets it needs."""

    number: str = Field("", max_length=60)
    room: str = Field("", max_length=60)
    begins: str = Field("", max_length=40)
    sets: list[str] = Field([], max_length=100)


@screen.page(CASES, right=READ, template="bench_cases.html")
def cases_page(asked: Asked) -> CasesPage:
    """The cases of today and the days to come."""
    midnight = _midnight(asked)
    found = desk.find_cases(asked.archive, asked.visitor, midnight, midnight + timedelta(days=_DAYS))
    may_plan = asked.visitor.may(desk.PLAN)
    here = desk.named_sets(asked.archive, asked.visitor) if may_plan else []
    return CasesPage(
        title="Cases",
        address=asked.at("/bench/cases"),
        file=asked.at("/bench/cases/file"),
        arrivals=asked.at("/bench/arrivals"),
        cases=tuple(_line(asked, one) for one in found),
        sets=tuple(Option(key, name) for key, name in here),
        may_plan=may_plan,
        begins=typed(asked, midnight + timedelta(days=1, hours=7, minutes=30)),
    )


@screen.act(CASES, right=desk.PLAN, form=PlanCase, page=cases_page)
def plan_case(asked: Asked, form: PlanCase) -> Done:
    """Plan a case, or change it."""
    planned = PlannedCase(
        number=case_number(form.number),
        room=room_name(form.room),
        begins=read_moment(asked, form.begins, field="begins"),
        sets=tuple(form.sets),
    )
    number = desk.plan_case(asked.archive, asked.visitor, planned, now=asked.now)
    return Done(
        go=asked.at("/bench/cases"), said=f"Case {number} is planned, {clock(asked, planned.begins)}."
    )


@screen.act(
    f"{CASES}/file", right=desk.PLAN, page=cases_page, template="bench_cases_taken.html", uploads="file"
)
def take_in_cases(asked: Asked, files: tuple[Upload, ...]) -> CasesTakenPage:
    """Take in the cases of a spreadsheet or a calendar."""
    made = desk.import_cases(asked.archive, asked.visitor, files[0].handed_in(), now=asked.now)
    return CasesTakenPage(
        title="Cases taken in",
        cases=asked.at("/bench/cases"),
        added=made.added,
        changed=made.changed,
        unchanged=len(made.unchanged),
        left_out=made.left_out,
        refused=made.refused,
    )


def _line(asked: Asked, seen: desk.CaseSeen) -> CaseLine:
    return CaseLine(
        address=asked.at(f"/bench/cases/{seen.case.id}"),
        number=seen.case.number,
        room=room_words(seen.case.room),
        begins=clock(asked, seen.case.begins),
        sets=tuple(f"{one.name}{f', {one.code}' if one.code else ''}" for one in seen.sets),
        state=STATES.get(seen.case.state, seen.case.state),
    )


def _midnight(asked: Asked) -> datetime:
    zone = ZoneInfo(asked.visitor.zone)
    return datetime.combine(asked.now.astimezone(zone).date(), time(), zone)
