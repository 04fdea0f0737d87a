"""Making a repair true: somebody with the right says that the department now has what was asked for.

A plan changes nothing. What is said is tried before it is kept: the step that was stopped must then be
possible. The words of validation or delivery are kept beside the new revision of the department.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Final, Literal
from zoneinfo import ZoneInfo

from pydantic import AwareDatetime

from sinkside.department import Edit, ValidatedProgram, changed
from sinkside.desk import departments
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.fit_answers import Answer, answered, keep_answers, kept_answers, revision_of, still_stands
from sinkside.desk.fit_fields import as_said, refuse_no_edit
from sinkside.desk.fit_one import OpenFit, open_fit
from sinkside.desk.fit_page import CHANGES, number_of, shelf_rows
from sinkside.desk.keeping import keep_next, made, read_kept
from sinkside.desk.people import known_person
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.documents import Value
from sinkside.errors import BadDocument, BadInput, Fault
from sinkside.records import Revision
from sinkside.route import Change, Route, resolve

KIND: Final = "repair"

#: So many answers are worked out again while the person waits; the rest waits for the fit table's job.
_AT_ONCE: Final = 150


class MadeRepair(Value):
    """What made a department able to do an instruction: the change, and by whose word it is true.

    `revision` is the department's that came of it; `person` is a pseudonym, `firm` somebody from outside.
    """

    format: Literal["sinkside/repair-1"] = "sinkside/repair-1"
    revision: int
    digest: str
    instruction: str
    sentence: str
    edit: Edit
    on: date
    reference: str = ""
    person: str = ""
    firm: str = ""
    by: str
    at: AwareDatetime


@dataclass(frozen=True)
class Said:
    """What a person says of a repair.

    Attributes:
        base: the revision of the department that they had before them.
        in_place: whether it is there now; a plan is not.
        on: the day it was validated or came.
        reference: the number of the report, order or lot.
        person: the pseudonym of the colleague who validated it.
        firm: who did, if nobody from here.
        fields: what was typed of the thing, by field.
        cycles: the cycles that packaging is made for.
    """

    base: int
    in_place: bool
    on: date
    reference: str
    person: str = ""
    firm: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)
    cycles: Sequence[str] = ()


def make_repair(
    archive: Archive,
    who: Visitor,
    instruction: str,
    change: str,
    said: Said,
    *,
    now: datetime,
    shared_tablet: bool = False,
) -> int:
    """Keep a new revision of the department with what it now has, and say which.

    Args:
        archive: where everything is kept.
        who: the acting person, in the department that now has it.
        instruction: for whose sake.
        change: the id of the change that was suggested.
        said: what the person says of it.
        now: the moment.
        shared_tablet: whether several people share the device.

    Raises:
        NotAllowed: without the right.
        NotThere: if the instruction or the change is not there (any more).
        Conflict: if somebody changed the department meanwhile.
        BadInput: if it is only planned, the day is still to come, a field is missing or does not fit, or what
            came does not do what was asked.
    """
    require(who, CHANGES)
    shown = open_fit(archive, who, instruction, now=now, shared_tablet=shared_tablet)
    wanted = shown.change(change)
    edit = _tried(shown, wanted, said, today=now.astimezone(ZoneInfo(who.zone)).date())
    making = _Making(who, shown, wanted.sentence, edit, now)
    with archive.unit(writes=False) as unit:
        fresh = making.answers(unit)
    with archive.unit() as unit:
        departments.refuse_outdated(unit, who, said.base)
        making.keep(unit, said)
        for shelf, answers in fresh.items():
            keep_answers(unit, shelf, who.department, answers, now=now)
    return making.revision.number


def _tried(shown: OpenFit, wanted: Change, said: Said, *, today: date) -> Edit:
    """What the department now has, where it is really there and does what was asked.

    Raises:
        BadInput: as `make_repair`.
    """
    proposed = refuse_no_edit(wanted.edit)
    _refuse_unfounded(said, proposed, today=today)
    edit = as_said(proposed, said.fields, said.cycles, tested=said.on.isoformat())
    if not settles(wanted, shown.route, resolve(shown.instruction, changed(shown.department, edit))):
        raise BadInput(
            "with these figures the step still cannot be done as the text asks; expected what the change says"
        )
    return edit


def settles(change: Change, before: Route, after: Route) -> bool:
    """Whether nothing stops any more what a change was to resolve."""
    if after.resolved:
        return True
    stopped = {(one.rule, one.place.step) for one in before.conflicts if one.place.step in change.resolves}
    left = {(one.rule, one.place.step) for one in after.conflicts}
    return not stopped & left and len(after.conflicts) < len(before.conflicts)


def _refuse_unfounded(said: Said, edit: Edit, *, today: date) -> None:
    """Refuse a plan, a day that is still to come, and what nobody vouches for."""
    faults = []
    if not said.in_place:
        faults.append(Fault("in_place", "a plan changes nothing here; say this once it is there"))
    if said.on > today:
        faults.append(Fault("on", "expected a day that has come"))
    if isinstance(edit, ValidatedProgram):
        if not said.person and not said.firm.strip():
            faults.append(Fault("person", "expected who validated it: a colleague, or a firm"))
        if not said.reference.strip():
            faults.append(Fault("reference", "expected the number of the report of its validation"))
    if faults:
        raise BadDocument(faults)


@dataclass(frozen=True)
class _Making:
    """A repair on its way into the archive."""

    who: Visitor
    shown: OpenFit
    sentence: str
    edit: Edit
    now: datetime

    @functools.cached_property
    def revision(self) -> Revision:
        """The department as it now is."""
        return made(
            departments.KIND,
            self.who.department,
            self.shown.kept.number + 1,
            changed(self.shown.department, self.edit),
            by=self.who.person,
            now=self.now,
            note=self.sentence,
        )

    def keep(self, unit: Unit, said: Said) -> None:
        """Keep the revision, the words that stand behind it, and who said so."""
        if said.person:
            known_person(unit, said.person)
        unit.documents.keep(self.revision)
        words = MadeRepair(
            revision=self.revision.number,
            digest=self.revision.digest,
            instruction=self.shown.row.id,
            sentence=self.sentence,
            edit=self.edit,
            on=said.on,
            reference=said.reference.strip(),
            person=said.person,
            firm=said.firm.strip(),
            by=self.who.person,
            at=self.now,
        )
        kept = keep_next(unit, KIND, self.who.department, words, by=self.who.person, now=self.now)
        data = {
            "revision": self.revision.number,
            "digest": self.revision.digest,
            "repair": kept.digest,
            "what": self.sentence,
            "instruction": self.shown.row.id,
        }
        record(unit, self.who, "repair-made", f"department:{self.who.department}", now=self.now, data=data)

    def answers(self, unit: Unit) -> dict[str, dict[str, Answer]]:
        """What no longer stands, by shelf: on this one where that is little, and the instruction anywhere."""
        here = self.who.department
        kept = kept_answers(unit, here, here)
        changed_rows = [
            row
            for row in shelf_rows(unit, here)
            if row.id not in kept or not still_stands(kept[row.id], number_of(row), self.revision)
        ]
        texts = {self.shown.row.id: (self.shown.row.department, self.shown.text)}
        for row in changed_rows if len(changed_rows) <= _AT_ONCE else ():
            texts[row.id] = (here, revision_of(unit, INSTRUCTION, row.id, number_of(row)))
        fresh: dict[str, dict[str, Answer]] = {}
        for name, (shelf, text) in texts.items():
            fresh.setdefault(shelf, {})[name] = answered(text, self.revision, now=self.now)
        return fresh


def repairs_made(unit: Unit, department: str) -> dict[int, MadeRepair]:
    """The repairs of a department, by the revision that came of each."""
    latest = unit.documents.get(KIND, department)
    numbers = range(1, latest.number + 1) if latest else ()
    found = (read_kept(unit, KIND, department, MadeRepair, number) for number in numbers)
    return {one.revision: one for one in found if one is not None}
