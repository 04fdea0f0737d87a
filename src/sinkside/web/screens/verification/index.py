"""Everything that is verified: what is due first at the head, whatever it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sinkside.desk.programmes import families, seeing, texts, water_events
from sinkside.desk.programmes.kept import today_of
from sinkside.desk.programmes.policy import PLAN, READ
from sinkside.desk.programmes.water_gate import OPEN
from sinkside.desk.set_texts import device_name
from sinkside.web.asked import Asked
from sinkside.web.screen import Nav, Option
from sinkside.web.screens.verification.place import PLACE, screen, when


@dataclass(frozen=True)
class DueLine:
    """One thing that is due: what kind, what, where, when in words, whether that day is over, what for."""

    kind: str
    words: str
    address: str
    due: str
    is_late: bool
    why: str


@dataclass(frozen=True)
class VerificationPage:
    """Everything that is verified.

    Attributes:
        title: of the page.
        water: water events that are not closed.
        stopped: devices on which work is stopped.
        dues: what is due, the earliest first.
        programmes: every programme that runs.
        ended: programmes that ended.
        plan: where a programme is planned; empty for who may not.
        rooms: families, texts, water events.
    """

    title: str
    water: tuple[Option, ...]
    stopped: tuple[Option, ...]
    dues: tuple[DueLine, ...]
    programmes: tuple[Option, ...]
    ended: tuple[Option, ...]
    plan: str
    rooms: tuple[Option, ...]


@dataclass(frozen=True)
class _Dated:
    day: date
    line: DueLine


@screen.page(PLACE, right=READ, template="verification.html", nav=Nav("Verification", 34, "machines"))
def verification(asked: Asked) -> VerificationPage:
    """What is due first, and where everything else of it is."""
    day = today_of(asked.visitor, asked.now)
    programmes = seeing.find_programmes(asked.archive, asked.visitor, now=asked.now)
    dated = [*_tests(asked, programmes, day), *_product_tests(asked, day), *_texts(asked, day)]
    here = asked.at("/verification/programmes")
    return VerificationPage(
        title="Verification",
        stopped=tuple(
            Option(f"{here}/{one.key}", one.programme.device(key).name)
            for one in programmes
            for key in one.asked.stopped
        ),
        dues=tuple(one.line for one in sorted(dated, key=lambda one: one.day)),
        programmes=tuple(Option(f"{here}/{one.key}", one.programme.name) for one in programmes),
        ended=tuple(
            Option(f"{here}/{row.id}", row.title)
            for row in seeing.ended_programmes(asked.archive, asked.visitor)
        ),
        plan=f"{here}/new" if asked.visitor.may(PLAN) else "",
        rooms=(
            Option(asked.at("/verification/week"), "Sheet of the week"),
            Option(asked.at("/verification/families"), "Product families"),
            Option(asked.at("/verification/texts"), "Makers’ texts"),
            Option(asked.at("/verification/water"), "Water events"),
        ),
        water=tuple(
            Option(asked.at(f"/verification/water/{row.id}"), row.title)
            for row in water_events.find_events(asked.archive, asked.visitor)
            if row.state == OPEN
        ),
    )


def _tests(asked: Asked, programmes: tuple[seeing.SeenProgramme, ...], day: date) -> list[_Dated]:
    return [
        _Dated(
            due.day,
            DueLine(
                kind="Cleaning test",
                words=f"{due.device.name}: {one.method.name}",
                address=asked.at(f"/verification/programmes/{one.key}"),
                due=when(due.day, day),
                is_late=due.is_overdue(day),
                why=due.why,
            ),
        )
        for one in programmes
        for due in one.asked.dues
    ]


def _product_tests(asked: Asked, day: date) -> list[_Dated]:
    return [
        _Dated(
            due.day,
            DueLine(
                kind="Product test",
                words=f"{one.family.name}, {one.machines.get(due.machine, due.machine)}",
                address=asked.at(f"/verification/families/{one.key}"),
                due=when(due.day, day),
                is_late=due.day < day,
                why="; ".join(due.reasons),
            ),
        )
        for one in families.find_families(asked.archive, asked.visitor, now=asked.now)
        for due in one.dues
    ]


def _texts(asked: Asked, day: date) -> list[_Dated]:
    """Texts that must be confirmed current, by their days."""
    found = []
    for one in texts.find_texts(asked.archive, asked.visitor):
        due = date.fromisoformat(str(one.row.fields["confirm_by"])) if one.row.due else None
        if due is not None:
            line = DueLine(
                kind="Maker’s text",
                words=f"{device_name(one.row)}: is it current?",
                address=asked.at("/verification/texts"),
                due=when(due, day),
                is_late=due < day,
                why="",
            )
            found.append(_Dated(due, line))
    return found
