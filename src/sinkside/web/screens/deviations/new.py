"""A deviation entered by hand: kind and words are enough, whatever else is known helps."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk.deviations.finding import machines_here
from sinkside.desk.deviations.kept import REPORT
from sinkside.desk.deviations.working import Entered, report
from sinkside.errors import BadInput
from sinkside.instruction import Stage
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.deviations.place import PLACE, kinds, screen, stages
from sinkside.web.typed_codes import codes_at_fields
from sinkside.web.typed_moments import read_moment

_LONGEST = 500


@dataclass(frozen=True)
class NewDeviationPage:
    """The form: its address, the way back, and what it offers."""

    title: str
    address: str
    back: str
    kinds: tuple[Option, ...]
    stages: tuple[Option, ...]
    machines: tuple[Option, ...]


class NewDeviation(Form):
    """What somebody enters; everything but the kind may stay empty."""

    fault: str = Field(min_length=1, max_length=40)
    words: str = Field("", max_length=_LONGEST)
    code: str = Field("", max_length=120)
    device: str = Field("", max_length=200)
    case: str = Field("", max_length=40)
    found: str = Field("", max_length=40)
    at: str = Field("", max_length=40)
    delay_min: str = Field("", max_length=6)
    machine: str = Field("", max_length=120)
    measure: str = Field("", max_length=_LONGEST)


@screen.page(f"{PLACE}/new", right=REPORT, template="deviation_new.html")
def new_page(asked: Asked) -> NewDeviationPage:
    """The form for a new one."""
    machines = machines_here(asked.archive, asked.visitor)
    return NewDeviationPage(
        title="Report a deviation",
        address=asked.at("/deviations/new"),
        back=asked.at("/deviations"),
        kinds=(Option("", "choose"), *kinds()),
        stages=(Option("", "where such things mostly are found"), *stages()),
        machines=(Option("", "none, or that of the set’s load"), *(Option(*one) for one in machines)),
    )


@screen.act(f"{PLACE}/new", right=REPORT, form=NewDeviation, page=new_page)
def enter(asked: Asked, form: NewDeviation) -> Done:
    """Keep it as a report; with a code that nothing here has, what was typed stays in the form."""
    with codes_at_fields():
        key = report(asked.archive, asked.visitor, _entered(asked, form), now=asked.now)
    return Done(go=asked.at(f"/deviations/{key}"), said="Reported. Thank you.")


def _entered(asked: Asked, form: NewDeviation) -> Entered:
    if form.found and form.found not in set(Stage):
        raise BadInput("expected a stage of the list", resource="found")
    return Entered(
        fault=form.fault,
        at=read_moment(asked, form.at, field="at") if form.at.strip() else asked.now,
        words=form.words,
        found=Stage(form.found) if form.found else None,
        code=form.code,
        device=form.device,
        machine=form.machine,
        case=form.case,
        delay_min=minutes_of(form.delay_min) if form.delay_min.strip() else None,
        measure=form.measure,
    )


def minutes_of(text: str) -> int:
    """Whole minutes as somebody types them.

    Raises:
        BadInput: if it is no number.

    >>> minutes_of(" 25 ")
    25
    """
    if not text.strip().isdigit():
        raise BadInput("expected whole minutes, such as 25", resource="delay_min")
    return int(text)
