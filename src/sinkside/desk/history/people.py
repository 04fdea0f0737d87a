"""The history of a person: what they did, their sign-offs and roles; and work that no sign-off carried."""

from __future__ import annotations

from sinkside.bench.gaps_of_others import person_gaps
from sinkside.desk.access import Visitor
from sinkside.desk.history.gathered import PAGE, Gathered, Page, next_page
from sinkside.desk.history.telling import lines_of
from sinkside.desk.history.worked import worked_on
from sinkside.desk.people import names_in, person_subject
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere
from sinkside.journal import Event
from sinkside.records import Wanted


def of_person(unit: Unit, who: Visitor, person: str, page: Page) -> Gathered:
    """One page of a person's history.

    Raises:
        NotThere: if nobody of that pseudonym ever worked here.
    """
    entries = _entries(unit, who, person, page)
    here = {grant.department for grant in unit.people.grants(person)}
    if who.department not in here and (not entries or not page.is_first):
        raise NotThere("there is no such person", resource=person)
    worked = [one for by, one in worked_on(unit, who, entries) if by == person]
    return Gathered(
        title=names_in(unit, [person])[person],
        about="Works here" if who.department in here else "Worked here",
        gaps=person_gaps(worked),
        lines=tuple(lines_of(unit, who, entries, of=person_subject(person))),
        before=next_page(entries),
    )


def _entries(unit: Unit, who: Visitor, person: str, page: Page) -> list[Event]:
    """What they did, and what was done about them, newest first; each of the two by its own index."""
    asked = (
        Wanted(actor=person, before=page.sequence, limit=PAGE),
        Wanted(subject=person_subject(person), before=page.sequence, limit=PAGE),
    )
    found = [event for wanted in asked for event in unit.journal.events(who.department, wanted)]
    every = {event.sequence: event for event in found}
    return [every[turn] for turn in sorted(every, reverse=True)][:PAGE]
