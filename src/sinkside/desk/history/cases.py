"""The history of a case: planned, what was kept, issued, used and taken back for it, forms, its end."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from sinkside.bench.gaps_of_others import CaseKnown, SetOfCase, case_gaps
from sinkside.bench.history import Line
from sinkside.desk import sets
from sinkside.desk.access import Visitor
from sinkside.desk.bench.copies import subject_of
from sinkside.desk.bench.theatre import CANCELLED
from sinkside.desk.history.gathered import BESIDE, Gathered, Page, next_page, own_entries
from sinkside.desk.history.telling import act_of, beside, lines_of
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere
from sinkside.journal import Event
from sinkside.records import CaseSet, KeptCase, Wanted

#: What is kept for a case lies so far before it at most, and what comes of it so far behind.
_BEFORE: Final = timedelta(days=14)
_BEHIND: Final = timedelta(days=3)


def of_case(unit: Unit, who: Visitor, case: str, page: Page) -> Gathered:
    """The history of a case.

    Raises:
        NotThere: if there is none here.
    """
    known = unit.bench.cases.get(case)
    if known is None or known.department != who.department:
        raise NotThere("there is no such case here", resource=case)
    subject = f"case:{case}"
    own = own_entries(unit, who, subject, page)
    its_sets = unit.bench.cases.sets_of(case)
    acts = _acts(unit, who, known, its_sets) if page.is_first else []
    every = {one.sequence: one for one in (*own, *acts)}
    room = f", room {known.room}" if known.room else ""
    return Gathered(
        title=f"Case {known.number}",
        about=f"{known.state.replace('-', ' ')}{room}",
        gaps=_gaps(unit, known, its_sets, page),
        lines=tuple(lines_of(unit, who, every.values(), of=subject)),
        before=next_page(own),
    )


def _acts(unit: Unit, who: Visitor, case: KeptCase, its_sets: list[CaseSet]) -> list[Event]:
    """What was done for the case with each of its sets, and the forms that belong to it."""
    journal, here = unit.journal, who.department
    upto = journal.first_since(here, (case.ended or case.begins) + _BEHIND)
    found: list[Event] = []
    for one in its_sets:
        if not one.copy:
            continue
        run = unit.bench.runs.get(one.run) if one.run else None
        since = run.opened if run else case.begins - _BEFORE
        wanted = Wanted(
            kinds=("tapped",),
            subject=subject_of(one.copy),
            after=journal.first_since(here, since) - 1,
            before=upto,
            limit=BESIDE,
        )
        acts = journal.events(here, wanted)
        found += [event for event in acts if act_of(event).get("case") == case.number]
    forms = tuple(name for event in found for name in beside(event) if name.startswith("exception:"))
    return [*found, *(journal.events(here, Wanted(subjects=forms, limit=BESIDE)) if forms else [])]


def _gaps(unit: Unit, case: KeptCase, its_sets: list[CaseSet], page: Page) -> tuple[Line, ...]:
    names = unit.rows.titles(sets.KIND, {one.set for one in its_sets})
    return case_gaps(
        CaseKnown(
            case=case.id,
            number=case.number,
            begins=case.begins,
            ended=case.ended,
            is_cancelled=case.state == CANCELLED,
            sets=tuple(
                SetOfCase(names.get(one.set, one.set), one.state, one.copy, one.run) for one in its_sets
            ),
        ),
        now=page.now,
    )
