"""Every roll-out, and one of them: how many are ready before first use, and what each of the others lacks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.desk import roll_out_standing, roll_outs
from sinkside.desk.observing_kept import READS
from sinkside.desk.roll_out_standing import Readiness
from sinkside.plain.operations import station_label
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Screen

screen = Screen("roll-outs")

PLACE: Final = f"{DEPARTMENT}/roll-outs"
ONE: Final = f"{PLACE}/{{roll_out}}"


@dataclass(frozen=True)
class RollOutLine:
    """One roll-out of the list: its page, device, day of first use, whether it is closed."""

    address: str
    device: str
    first_use: str
    is_closed: bool


@dataclass(frozen=True)
class RollOutsPage:
    """Every roll-out, those that run first; devices to plan one of, for whoever may."""

    title: str
    new: str
    proof: str
    running: tuple[RollOutLine, ...]
    closed: tuple[RollOutLine, ...]
    devices: tuple[Option, ...]


@dataclass(frozen=True)
class PersonReady:
    """One person: their record, name, shift, what they lack, and what is there."""

    address: str
    name: str
    shift: str
    lacks: tuple[str, ...]
    done: str


@dataclass(frozen=True)
class ShiftShown:
    """One shift: its name, how many of it are ready, and how many must be."""

    name: str
    ready: int
    people: int


@dataclass(frozen=True)
class RollOutPage:
    """One roll-out.

    Attributes:
        title: the device.
        address: of the page.
        roll_outs: where the list is.
        ready: how many are ready.
        must_be: how many must be.
        first_use: the day of first use.
        days: how long until then, in words.
        asks: what everybody must have, in words.
        shifts: shift by shift.
        waiting: who lacks something, with what.
        done: who is ready.
        closed: why it is closed; empty while it runs.
        lesson: where badges are scanned into a lesson.
    """

    title: str
    address: str
    roll_outs: str
    ready: int
    must_be: int
    first_use: str
    days: str
    asks: tuple[str, ...]
    shifts: tuple[ShiftShown, ...]
    waiting: tuple[PersonReady, ...]
    done: tuple[PersonReady, ...]
    closed: str
    lesson: str


class Close(Form):
    """Why the roll-out is closed."""

    why: str = Field("", max_length=1000)


@screen.page(PLACE, right=READS, template="roll_outs.html")
def roll_outs_page(asked: Asked) -> RollOutsPage:
    """Every roll-out."""
    lines = [
        RollOutLine(
            asked.at(f"/roll-outs/{row.id}"), row.title, str(row.fields["first_use"]), row.state == "closed"
        )
        for row in roll_outs.roll_out_rows(asked.archive, asked.visitor)
    ]
    may_plan = asked.visitor.may(roll_outs.EDITS)
    devices = roll_outs.devices_for(asked.archive, asked.visitor) if may_plan else ()
    return RollOutsPage(
        title="Roll-outs",
        new=asked.at("/roll-outs/new"),
        proof=asked.at("/proof"),
        running=tuple(line for line in lines if not line.is_closed),
        closed=tuple(line for line in lines if line.is_closed),
        devices=tuple(Option(*one) for one in devices),
    )


@screen.page(ONE, right=READS, template="roll_out.html")
def roll_out_page(asked: Asked, roll_out: str) -> RollOutPage:
    """How a roll-out stands."""
    known = roll_out_standing.how_it_stands(asked.archive, asked.visitor, roll_out, now=asked.now)
    made = known.roll_out
    return RollOutPage(
        title=made.device,
        address=asked.at(f"/roll-outs/{roll_out}"),
        roll_outs=asked.at("/roll-outs"),
        ready=known.ready,
        must_be=known.must_be,
        first_use=made.first_use.isoformat(),
        days=_days((made.first_use - asked.now.date()).days),
        asks=(
            f"the lesson of revision {made.revision}",
            *([f"{made.questions} % of the answers right"] if made.questions else []),
            f"{made.level} work observed and signed off: "
            + ", ".join(station_label(one).lower() for one in made.stations),
        ),
        shifts=tuple(ShiftShown(one.name, one.ready, one.people) for one in known.shifts),
        waiting=tuple(_person(asked, one, known) for one in known.people if not one.is_ready),
        done=tuple(_person(asked, one, known) for one in known.people if one.is_ready),
        closed=made.closed,
        lesson=asked.at(f"/roll-outs/{roll_out}/lesson"),
    )


@screen.act(f"{ONE}/close", right=roll_outs.EDITS, form=Close, page=roll_out_page)
def close(asked: Asked, form: Close, roll_out: str) -> Done:
    """Close a roll-out: the device is in use, or does not come."""
    roll_outs.close(asked.archive, asked.visitor, roll_out, why=form.why, now=asked.now)
    return Done(go=asked.at("/roll-outs"), said="The roll-out is closed.")


def _days(left: int) -> str:
    if left == 0:
        return "today"
    if left < 0:
        return "1 day ago" if left == -1 else f"{-left} days ago"
    return "in 1 day" if left == 1 else f"in {left} days"


def _person(asked: Asked, one: Readiness, known: roll_out_standing.RollOutStands) -> PersonReady:
    names = {shift.shift: shift.name for shift in known.shifts}
    done = [
        *(["lesson taken"] if one.lesson else []),
        *([f"{one.right} of {one.answered} answers right"] if one.answered else []),
        f"signed off at {one.stations} of {len(known.roll_out.stations)} stations",
    ]
    return PersonReady(
        address=asked.at(f"/proof/people/{one.person}"),
        name=one.name,
        shift=names[one.shift],
        lacks=one.lacks,
        done="; ".join(done),
    )
