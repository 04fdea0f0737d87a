"""Machines: every machine, room and water point with its day, worst first; and what is asked of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.desk import machine_own_checks
from sinkside.desk.machine_checks import read_number
from sinkside.desk.machine_days import ThingToday, machines_today
from sinkside.desk.machine_own_checks import CheckHere
from sinkside.desk.machine_policy import Asked as AskedHere
from sinkside.desk.people import names_of
from sinkside.errors import NotThere
from sinkside.web.asked import Asked
from sinkside.web.machine_words import STATE_WORDS, day_sentence
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Screen

screen = Screen("machines")

READ: Final = "machine-read"
_EDIT: Final = "department-edit"
_NUMBERS: Final = 3


@dataclass(frozen=True)
class ToRecord:
    """A check that waits at a thing: its name, and where it is recorded."""

    name: str
    address: str


@dataclass(frozen=True)
class ThingLine:
    """One machine, room or water point: how it stands in a word and a sentence, and what waits to be done."""

    address: str
    name: str
    kind: str
    state: str
    words: str
    says: str
    to_record: tuple[ToRecord, ...]


@dataclass(frozen=True)
class MachinesPage:
    """Every thing that needs checks, the worst first; how many are out of use, where checks wait."""

    title: str
    day: str
    things: tuple[ThingLine, ...]
    out_of_use: int
    waiting: int
    checks: str


@dataclass(frozen=True)
class CheckLine:
    """One check as it holds here: for what, how often, by whose word, what passes, whether it is asked for.

    `own` says who put the department's own in the place of the policy, and when.
    """

    address: str
    name: str
    how: str
    things: str
    often: str
    source: str
    passes: tuple[str, ...]
    is_asked: bool
    failed: str
    own: str


@dataclass(frozen=True)
class ChecksPage:
    """Every check that something here could need."""

    title: str
    machines: str
    checks: tuple[CheckLine, ...]


@dataclass(frozen=True)
class BoundShown:
    """A number that a check asks for: its words and unit, both ends that pass now, and who says so."""

    place: int
    words: str
    unit: str
    low: str
    high: str
    source: str


@dataclass(frozen=True)
class OwnCheckPage:
    """One check, to be replaced by the department's own: how often, what passes, whether asked for at all."""

    title: str
    address: str
    checks: str
    line: CheckLine
    days: int
    bounds: tuple[BoundShown, ...]


class OwnCheck(Form):
    """The department's own: asked for or not, after how many days again, both ends of each number, why."""

    needed: Literal["yes", "no"] = "yes"
    days: int = Field(1, ge=1, le=3660)
    low_1: str = Field("", max_length=40)
    high_1: str = Field("", max_length=40)
    low_2: str = Field("", max_length=40)
    high_2: str = Field("", max_length=40)
    low_3: str = Field("", max_length=40)
    high_3: str = Field("", max_length=40)
    reason: str = Field("", max_length=4000)


@screen.page(
    f"{DEPARTMENT}/machines", right=READ, template="machines.html", nav=Nav("Machines", 35, "machines")
)
def machines(asked: Asked) -> MachinesPage:
    """Every machine, room and water point with what is due today, the worst first."""
    known = machines_today(asked.archive, asked.visitor, now=asked.now)
    return MachinesPage(
        title="Machines",
        day=shown_moment(asked.now, asked.visitor.zone)[:10],
        things=tuple(_line(asked, one) for one in known),
        out_of_use=sum(one.state == "out-of-use" for one in known),
        waiting=sum(bool(one.of("failed", "overdue", "due")) for one in known if one.state != "out-of-use"),
        checks=asked.at("/checks"),
    )


@screen.page(f"{DEPARTMENT}/checks", right=READ, template="machine_checks.html")
def checks(asked: Asked) -> ChecksPage:
    """What is asked of machines, rooms and water here, how often, and by whose word."""
    known = machine_own_checks.own_checks(asked.archive, asked.visitor)
    return ChecksPage(
        title="What is checked here",
        machines=asked.at("/machines"),
        checks=tuple(_check_line(asked, one) for one in known),
    )


@screen.page(f"{DEPARTMENT}/checks/{{check}}", right=READ, template="machine_own_check.html")
def own_check(asked: Asked, check: str) -> OwnCheckPage:
    """One check, to be replaced by the department's own."""
    one = _known(asked, check)
    return OwnCheckPage(
        title=one.check.name,
        address=asked.at(f"/checks/{check}"),
        checks=asked.at("/checks"),
        line=_check_line(asked, one),
        days=one.needed.days,
        bounds=tuple(
            BoundShown(
                place=place,
                words=known.question.words,
                unit=known.question.unit,
                low=_typed(_held(known)[0]),
                high=_typed(_held(known)[1]),
                source=known.bound.source if known.bound else "",
            )
            for place, known in enumerate(_numbers(one), 1)
        ),
    )


@screen.act(f"{DEPARTMENT}/checks/{{check}}", right=_EDIT, form=OwnCheck, page=own_check)
def replace_check(asked: Asked, form: OwnCheck, check: str) -> Done:
    """Put the department's own in the place of the policy, with a reason."""
    bounds = {}
    for place, known in enumerate(_numbers(_known(asked, check)), 1):
        given = _given(form, place, known.question.unit)
        if given != _held(known):
            bounds[known.question.id] = given
    machine_own_checks.replace_check(
        asked.archive,
        asked.visitor,
        check,
        is_needed=form.needed == "yes",
        days=form.days,
        bounds=bounds,
        reason=form.reason,
        now=asked.now,
    )
    return Done(go=asked.at("/checks"), said="This department’s own holds from now on.")


def _known(asked: Asked, check: str) -> CheckHere:
    for one in machine_own_checks.own_checks(asked.archive, asked.visitor):
        if one.id == check:
            return one
    raise NotThere("there is no such check here", resource=check)


def _numbers(one: CheckHere) -> tuple[AskedHere, ...]:
    """The numbers that a check asks for; those of rooms are as many as there are kinds of room."""
    found = [known for known in one.needed.asked if known.question.kind == "number"]
    return tuple({known.question.id: known for known in found}.values())[:_NUMBERS]


def _held(known: AskedHere) -> tuple[float | None, float | None]:
    """Both ends that pass now; none where one is open."""
    if known.bound is None:
        return None, None
    low, high = known.bound.low, known.bound.high
    return (None if math.isinf(low) else low), (None if math.isinf(high) else high)


def _given(form: OwnCheck, place: int, unit: str) -> tuple[float | None, float | None]:
    """Both ends as they were typed; none where a field was left empty."""
    low, high = (
        read_number(said, unit, field=field) if (said := str(getattr(form, field)).strip()) else None
        for field in (f"low_{place}", f"high_{place}")
    )
    return low, high


def _typed(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _line(asked: Asked, one: ThingToday) -> ThingLine:
    waits = one.of("failed", "overdue", "due")
    address = asked.at(f"/machines/{one.thing.id}")
    return ThingLine(
        address=address,
        name=one.thing.name,
        kind=one.thing.words,
        state=one.state,
        words=STATE_WORDS[one.state],
        says=day_sentence(one),
        to_record=tuple(
            ToRecord(due.needed.check.name, f"{address}/checks/{due.needed.id}")
            for due in waits
            if due.needed.check.record != "indicator"
        ),
    )


def _check_line(asked: Asked, one: CheckHere) -> CheckLine:
    needed, check = one.needed, one.check
    own = needed.override
    name = names_of(asked.archive, [own.by])[own.by] if own else ""
    return CheckLine(
        address=asked.at(f"/checks/{one.id}"),
        name=check.name,
        how=check.how,
        things=", ".join(thing.name for thing in one.things),
        often="before a return to use" if check.asked == "for-return" else needed.often,
        source="" if check.asked == "for-return" else needed.source,
        passes=tuple(
            f"{known.question.words}: {known.bound.text} ({known.bound.source})"
            for known in needed.asked
            if known.bound is not None and known.bound.text
        ),
        is_asked=one.is_asked,
        failed="takes it out of use" if check.failed == "out-of-use" else "is told; it stays in use",
        own=f"{name}, {shown_moment(own.at, asked.visitor.zone)[:10]}" if own else "",
    )
