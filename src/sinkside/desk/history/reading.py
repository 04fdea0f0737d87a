"""Histories read: which page of which thing, by whom."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.history import Line, folded, in_order
from sinkside.desk.access import Visitor, require
from sinkside.desk.history.cases import of_case
from sinkside.desk.history.documents import of_cycle, of_instruction
from sinkside.desk.history.gathered import Gathered, Page
from sinkside.desk.history.loads import of_load
from sinkside.desk.history.lots import of_lot, of_solution
from sinkside.desk.history.machines import of_machine
from sinkside.desk.history.people import of_person
from sinkside.desk.history.sets import of_set
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import NotThere

READ: Final = "history-read"
#: Only who may read sign-offs reads other people's histories, and who did what on a line.
OF_PEOPLE: Final = "sign-off-read"

Gather = Callable[[Unit, Visitor, str, Page], Gathered]

#: How the history of each noun is gathered.
NOUNS: Final[Mapping[str, Gather]] = {
    "set": of_set,
    "load": of_load,
    "machine": of_machine,
    "person": of_person,
    "lot": of_lot,
    "solution": of_solution,
    "case": of_case,
    "cycle": of_cycle,
    "instruction": of_instruction,
}


@dataclass(frozen=True)
class History:
    """One page of the history of one thing.

    Attributes:
        noun: what kind of thing.
        id: which.
        title: what it is called.
        about: what it is, in a line.
        gaps: what is not recorded, the latest first.
        lines: what happened, newest first, like acts of one go folded.
        before: asks for the page below; empty where there is none.
        names: the names of those who did it, as far as whoever reads this may know them.
    """

    noun: str
    id: str
    title: str
    about: str
    gaps: tuple[Line, ...]
    lines: tuple[Line, ...]
    before: str
    names: Mapping[str, str]


def see_history(
    archive: Archive, who: Visitor, noun: str, thing: str, *, now: datetime, before: str = ""
) -> History:
    """One page of a history, the newest unless told.

    Args:
        archive: where everything is kept.
        who: who reads.
        noun: what kind of thing: one of `NOUNS`.
        thing: its id.
        now: the moment.
        before: what the page above says of the one below.

    Raises:
        NotAllowed: without the right; everybody may read their own.
        NotThere: if there is no such thing here, or it has no history.
        BadInput: if `before` is none that a page gave.
    """
    if (noun, thing) != ("person", who.person):
        require(who, READ)
    if noun == "person" and thing != who.person:
        require(who, OF_PEOPLE)
    gather = NOUNS.get(noun)
    if gather is None:
        raise NotThere(f"a '{noun}' has no history; expected one of {', '.join(NOUNS)}", resource=noun)
    with archive.unit(writes=False) as unit:
        found = gather(unit, who, thing, Page(before, now))
        lines = folded(in_order(found.lines))
        people = {one.by for one in (*lines, *found.gaps) if one.by}
        known = people if who.may(OF_PEOPLE) else people & {who.person, "system"}
        return History(
            noun=noun,
            id=thing,
            title=found.title,
            about=found.about,
            gaps=in_order(found.gaps),
            lines=lines,
            before=found.before,
            names=names_in(unit, known),
        )
