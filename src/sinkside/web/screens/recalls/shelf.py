"""The list of recalls, and the forms that look at what a new one would reach, cause by cause."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.bench.recall import CauseKind
from sinkside.desk.recall import recalling as desk
from sinkside.desk.recall.choosing import WHERE_WORDS, Named, choices
from sinkside.desk.recall.rights import CLOSED, OPENED, READ
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Nav, Option
from sinkside.web.screens.recalls.place import LIST, screen

#: What may begin a recall of a machine, in words.
OF_A_MACHINE: Final = (
    Option(CauseKind.indicator, "An indicator grew or failed"),
    Option(CauseKind.cycle, "A cycle failed, or its record was misread"),
    Option(CauseKind.machine, "The machine broke"),
    Option(CauseKind.water, "A result of the water was bad"),
)


@dataclass(frozen=True)
class RecallLine:
    """One recall of the list: what it began with, how much it reached, and how much of that is open."""

    address: str
    words: str
    sets: int
    cases: int
    open_sets: int
    open_cases: int
    open_others: int
    at: str


@dataclass(frozen=True)
class RecallsPage:
    """Open recalls, closed ones, and what a new one may begin with.

    Attributes:
        title: the heading.
        new: where one looks at what a new one would reach.
        open: those that are open.
        closed: those that are closed.
        machines: machines and water points.
        kinds: what may have happened to them.
        texts: approved texts.
        people: whoever did something here.
        where: where they may have done it.
        chemicals: what is dosed here.
        lots: the lots of them that were logged.
    """

    title: str
    new: str
    open: tuple[RecallLine, ...]
    closed: tuple[RecallLine, ...]
    machines: tuple[Option, ...]
    kinds: tuple[Option, ...]
    texts: tuple[Option, ...]
    people: tuple[Option, ...]
    where: tuple[Option, ...]
    chemicals: tuple[Option, ...]
    lots: tuple[str, ...]


@screen.page(LIST, right=READ, template="recalls.html", nav=Nav("Recalls", 45, "proof"))
def recalls_page(asked: Asked) -> RecallsPage:
    """Every recall, open ones first, and the forms that look at a new one."""
    rows = desk.find_recalls(asked.archive, asked.visitor)
    known = choices(asked.archive, asked.visitor)
    return RecallsPage(
        title="Recalls",
        new=asked.at("/recalls/new"),
        open=tuple(_line(asked, row) for row in rows if row.state == OPENED),
        closed=tuple(_line(asked, row) for row in rows if row.state == CLOSED),
        machines=_options(known.machines),
        kinds=OF_A_MACHINE,
        texts=_options(known.texts),
        people=_options(known.people),
        where=(Option("", "everywhere"), *(Option(one, words) for one, words in WHERE_WORDS.items())),
        chemicals=_options(known.chemicals),
        lots=known.lots,
    )


def _options(named: tuple[Named, ...]) -> tuple[Option, ...]:
    return tuple(Option(key, words) for key, words in named)


def _line(asked: Asked, row: Row) -> RecallLine:
    number = {name: int(row.fields.get(name) or 0) for name in ("sets", "cases")}
    left = {name: int(row.fields.get(name) or 0) for name in ("open_sets", "open_cases", "open_others")}
    return RecallLine(
        address=asked.at(f"/recalls/{row.id}"),
        words=row.title,
        at=shown_moment(row.due or row.updated, asked.visitor.zone),
        **number,
        **left,
    )
