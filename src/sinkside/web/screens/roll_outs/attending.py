"""A lesson with badges: whoever scans theirs into it has taken it."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import roll_out_standing, roll_outs
from sinkside.desk.people import names_of
from sinkside.desk.roll_outs import EDITS
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form
from sinkside.web.screens.roll_outs.page import ONE, screen


@dataclass(frozen=True)
class Attended:
    """Somebody who took the lesson, and when."""

    name: str
    at: str


@dataclass(frozen=True)
class AttendPage:
    """The field that badges are scanned into, who took the lesson, the latest first, and who has not yet."""

    title: str
    address: str
    roll_out: str
    device: str
    is_running: bool
    taken: tuple[Attended, ...]
    missing: tuple[str, ...]


class Scan(Form):
    """What the scanner reads from a badge."""

    badge: str = Field("", max_length=200)


@screen.page(f"{ONE}/lesson", right=EDITS, template="roll_out_lesson.html")
def attend_page(asked: Asked, roll_out: str) -> AttendPage:
    """Who took the lesson, and who has not yet."""
    known = roll_out_standing.how_it_stands(asked.archive, asked.visitor, roll_out, now=asked.now)
    people = {one.person: one for one in known.people}.values()
    taken = sorted(((one.lesson, one.name) for one in people if one.lesson), reverse=True)
    return AttendPage(
        title="Who is at the lesson?",
        address=asked.at(f"/roll-outs/{roll_out}/lesson"),
        roll_out=asked.at(f"/roll-outs/{roll_out}"),
        device=known.roll_out.device,
        is_running=not known.roll_out.closed,
        taken=tuple(Attended(name, shown_moment(at, asked.visitor.zone)) for at, name in taken),
        missing=tuple(sorted(one.name for one in people if not one.lesson)),
    )


@screen.act(f"{ONE}/lesson", right=EDITS, form=Scan, page=attend_page)
def scan(asked: Asked, form: Scan, roll_out: str) -> Done:
    """Whoever's badge it is has taken the lesson."""
    person = roll_outs.attend(
        asked.archive,
        asked.visitor,
        roll_out,
        badge=form.badge,
        badge_key=asked.context.badge_key,
        address=asked.sender,
        now=asked.now,
    )
    name = names_of(asked.archive, [person])[person]
    return Done(go=asked.at(f"/roll-outs/{roll_out}/lesson"), said=f"{name} is at the lesson.")
