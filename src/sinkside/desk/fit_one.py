"""One cell of the fit table, opened: the route, or what stops it and what would do; what changed since."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.desk import departments
from sinkside.desk.access import Visitor, require
from sinkside.desk.department_route import DepartmentStop, StationHere, route_of, stations_shown, stop_shown
from sinkside.desk.fit_answers import EarlierAnswer, answered, kept_answers, revision_of, still_stands
from sinkside.desk.fit_page import READS, SEES, number_of, visitors_of
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.desk.shelf import opened
from sinkside.errors import Conflict, NotThere
from sinkside.findings import Level
from sinkside.instruction import Instruction
from sinkside.records import Making, Revision, Row, Site
from sinkside.route import Change, FitWord, Route
from sinkside.route.repairing import key_of

_ID_LETTERS: Final = 16


@dataclass(frozen=True)
class OpenFit:
    """An instruction held against a department.

    Attributes:
        row: the instruction as its shelf lists it.
        site: the department.
        text: the latest revision of the instruction.
        kept: the latest revision of what the department has.
        route: the route, or why there is none.
        word: how it stands, in a word.
        questioned: the steps on which the text has an open stop; the maker is asked before all else.
        earlier: what was said before it said something else; none if it never did.
        texts_since: the revisions of the instruction since then.
        departments_since: the revisions of the department since then.
    """

    row: Row
    site: Site
    text: Revision
    kept: Revision
    route: Route
    word: FitWord
    questioned: frozenset[str]
    earlier: EarlierAnswer | None
    texts_since: tuple[Making, ...] = ()
    departments_since: tuple[Making, ...] = ()

    @property
    def instruction(self) -> Instruction:
        """The text as data."""
        return from_revision(self.text, Instruction)

    @property
    def department(self) -> Department:
        """What the department has."""
        return from_revision(self.kept, Department)

    @property
    def concerns(self) -> tuple[str, ...]:
        """What somebody must look at on the route, one sentence each."""
        return tuple(one.message for one in self.route.findings if one.level is Level.concern)

    @property
    def notes(self) -> tuple[str, ...]:
        """What else there is to know."""
        return tuple(one.message for one in self.route.findings if one.level is Level.note)

    @property
    def stops(self) -> tuple[DepartmentStop, ...]:
        """What stops it, in the order of the work."""
        return tuple(stop_shown(one, self.instruction) for one in self.route.stops)

    @property
    def stations(self) -> tuple[StationHere, ...]:
        """The route, station by station, where there is one."""
        return stations_shown(self.route, self.instruction) if self.route.resolved else ()

    @property
    def others(self) -> tuple[Change, ...]:
        """What else would help, smallest first."""
        least = {change.sentence for change in self.route.smallest_repair}
        return tuple(change for change in self.route.changes if change.sentence not in least)

    def asks_first(self, change: Change) -> bool:
        """Whether a change would fulfil what the text most likely does not mean."""
        return bool(self.questioned & set(change.resolves))

    def change(self, wanted: str) -> Change:
        """The change with an id.

        Raises:
            NotThere: if nothing that would help has it, as when it was made meanwhile.
            Conflict: if the text itself is questioned where the change would help.
        """
        for change in (*self.route.smallest_repair, *self.route.changes):
            if change_id(change) == wanted:
                if self.asks_first(change):
                    raise Conflict("the text is questioned here; ask the maker first", resource=wanted)
                return change
        raise NotThere("this change is no longer asked for here", resource=wanted)


def _questioned(unit: Unit, row: Row) -> frozenset[str]:
    stops = opened(unit, row).open_stops
    return frozenset(one.finding.place.step for one in stops if one.finding.place.step)


def change_id(change: Change) -> str:
    """What a change is known by in addresses: the same change has the same id, wherever it is asked for."""
    key = key_of(change.sentence, change.edit)
    return hashlib.sha256(key.encode()).hexdigest()[:_ID_LETTERS]


def open_fit(
    archive: Archive, who: Visitor, instruction: str, *, now: datetime, shared_tablet: bool = False
) -> OpenFit:
    """An instruction held against the department where somebody is.

    Args:
        archive: where everything is kept.
        who: the acting person, in the department that is held against it.
        instruction: which; it may lie on the shelf of another department where they may read.
        now: the moment.
        shared_tablet: whether several people share the device.

    Raises:
        NotAllowed: without the right to read what the department has, or instructions.
        NotThere: if there is no such instruction that they may read, or nobody said what the department has.
    """
    require(who, SEES)
    with archive.unit(writes=False) as unit:
        row = readable_row(unit, who, instruction, now, shared_tablet=shared_tablet)
        kept = unit.documents.get(departments.KIND, who.department)
        site = unit.sites.get(who.department)
        if kept is None or site is None:
            raise NotThere("nobody said yet what this department has", resource=who.department)
        text = revision_of(unit, INSTRUCTION, row.id, number_of(row))
        word = answered(text, kept, now=now).fit.word
        earlier = _earlier(unit, row, kept, word)
        return OpenFit(
            row=row,
            site=site,
            text=text,
            kept=kept,
            route=route_of(text, kept),
            word=word,
            questioned=_questioned(unit, row),
            earlier=earlier,
            texts_since=_since(unit, INSTRUCTION, row.id, earlier.instruction if earlier else None),
            departments_since=_since(
                unit, departments.KIND, site.id, earlier.department if earlier else None
            ),
        )


def readable_row(unit: Unit, who: Visitor, instruction: str, now: datetime, *, shared_tablet: bool) -> Row:
    """The row of an instruction that was read, on whichever shelf this person may read.

    Raises:
        NotAllowed: if it lies here, and they may not read instructions.
        NotThere: if there is none, or none that they may know of.
    """
    row = unit.rows.get(INSTRUCTION, instruction)
    if row is not None and row.department == who.department:
        require(who, READS)
    there = visitors_of(unit, who.person, now, shared_tablet=shared_tablet)
    reader = there.get(row.department) if row else None
    if row is None or reader is None or not reader[1].may(READS) or not number_of(row):
        raise NotThere("there is no such instruction here", resource=instruction)
    return row


def _earlier(unit: Unit, row: Row, kept: Revision, word: FitWord) -> EarlierAnswer | None:
    """What was said last that is not what is said now."""
    answer = kept_answers(unit, row.department, kept.subject).get(row.id)
    if answer is None:
        return None
    if still_stands(answer, number_of(row), kept) or answer.fit.word is word:
        return answer.before
    return answer.as_earlier


def _since(unit: Unit, kind: str, subject: str, number: int | None) -> tuple[Making, ...]:
    """The revisions after one, oldest first."""
    if number is None:
        return ()
    history: Sequence[Making] = unit.documents.history(kind, subject)
    return tuple(one for one in history if one.number > number)
