"""The sheet of the week: what is due within seven days, to be printed and written on at the bench."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from sinkside.desk.programmes import seeing
from sinkside.desk.programmes.kept import today_of
from sinkside.desk.programmes.policy import READ
from sinkside.web.asked import Asked
from sinkside.web.screens.verification.place import PLACE, screen, when
from sinkside.web.screens.verification.programmes import mark_words


@dataclass(frozen=True)
class SheetLine:
    """One test of the sheet: when, which device, by which method, what passes, which pieces, where."""

    due: str
    device: str
    method: str
    mark: str
    kit: bool
    pieces: tuple[str, ...]
    places: tuple[str, ...]


@dataclass(frozen=True)
class WeekPage:
    """The sheet of one week: from which day to which, and what is due."""

    title: str
    back: str
    first: str
    last: str
    department: str
    lines: tuple[SheetLine, ...]


@screen.page(f"{PLACE}/week", right=READ, template="verification_week.html")
def week_page(asked: Asked) -> WeekPage:
    """What is due within seven days, with room to write."""
    day = today_of(asked.visitor, asked.now)
    found = seeing.tests_of_week(asked.archive, asked.visitor, now=asked.now)
    return WeekPage(
        title="Cleaning tests of the week",
        back=asked.at("/verification"),
        first=day.isoformat(),
        last=(day + timedelta(days=6)).isoformat(),
        department=asked.site.name if asked.site else "",
        lines=tuple(
            SheetLine(
                due=when(one.due.day, one.seen.day),
                device=one.due.device.name,
                method=one.seen.method.name,
                mark=mark_words(one.seen),
                kit=one.seen.method.kit,
                pieces=tuple(piece.code for piece in one.pieces),
                places=one.due.device.places,
            )
            for one in found
        ),
    )
