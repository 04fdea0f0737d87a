"""The instructions of a set's members: found by id or by what the device is called, and how each stands."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.set_documents import SetLook, TextSeen
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.plain.names import calm_name
from sinkside.records import Revision, Row
from sinkside.sets import Member, SetDocument, wordings

#: How an instruction stands that has a revision.
READ: Final = ("in-work", "ready", "approved")
_MOST_ROWS: Final = 5_000


@dataclass(frozen=True)
class TextFound:
    """The instruction of a device: its row, and the text in force, approved or else the latest.

    Where none is known, or several go by the name, there is neither; `number` says how many do.
    """

    row: Row | None
    revision: Revision | None
    number: int

    @property
    def instruction(self) -> Instruction | None:
        """The text as data."""
        return from_revision(self.revision, Instruction) if self.revision else None


def texts_of(unit: Unit, who: Visitor, document: SetDocument) -> dict[str, TextFound]:
    """The texts of a set's members, by what the set calls them."""
    found = Finder(unit, who).all(member.instruction for member in document.members)
    return {member.called: found[member.instruction] for member in document.members}


def substitutes_of(unit: Unit, who: Visitor, document: SetDocument) -> dict[str, TextFound]:
    """The texts of what may stand in for members, by what the set calls them."""
    named = (one.instruction for member in document.members for one in member.substitutes)
    return Finder(unit, who).all(named)


class Finder:
    """Looks for instructions; the list of all of them is read once, and only where a name asks for it."""

    def __init__(self, unit: Unit, who: Visitor) -> None:
        self.unit = unit
        self._department = who.department
        self._rows: dict[str, Row] = {}
        self._titles: dict[str, list[Row]] | None = None

    def all(self, named: Iterable[str]) -> dict[str, TextFound]:
        """The texts by the ids or names that were asked for."""
        return {name: self._found(name) for name in dict.fromkeys(named)}

    def row(self, named: str) -> tuple[Row | None, int]:
        """The row of an id or a name, and how many go by the name."""
        row = self._rows.get(named) or self.unit.rows.get(shelf.KIND, named)
        if row is not None and row.department == self._department and row.state in READ:
            return row, 1
        same = self._by_title().get(folded(named), [])
        return (same[0] if len(same) == 1 else None), len(same)

    def _found(self, named: str) -> TextFound:
        row, number = self.row(named)
        if row is None:
            return TextFound(None, None, number)
        return TextFound(row, self.unit.documents.get(shelf.KIND, row.id, in_force(row)), 1)

    def read_all(self) -> Finder:
        """The same, with every instruction read in one go: for whoever asks after very many."""
        self._by_title()
        return self

    def _by_title(self) -> Mapping[str, Sequence[Row]]:
        if self._titles is None:
            self._titles = {}
            for row in self.unit.rows.all(shelf.KIND, [self._department], states=READ, limit=_MOST_ROWS):
                self._rows[row.id] = row
                for title in titles_of(row):
                    self._titles.setdefault(title, []).append(row)
        return self._titles


def titles_of(row: Row) -> frozenset[str]:
    """What sets may call an instruction's device, in small letters."""
    return frozenset({folded(row.title), folded(calm_name(row.title))})


def in_force(row: Row) -> int:
    """The revision that counts: the approved one, else the latest."""
    return approved_of(row) or int(row.fields.get("revision") or 0)


def approved_of(row: Row) -> int:
    """The approved revision; 0 where there is none."""
    return int(row.fields.get("approved") or 0)


def device_name(row: Row) -> str:
    """What an instruction's device is called, in normal case."""
    return calm_name(row.title)


def look_of(unit: Unit, who: Visitor, document: SetDocument, revision: int) -> SetLook:
    """What somebody who looks at a set now has before them."""
    finder = Finder(unit, who)
    seen, unknown = [], []
    for named in dict.fromkeys(member.instruction for member in document.members):
        row, _ = finder.row(named)
        if row is None:
            unknown.append(named)
        else:
            seen.append(_seen(unit, row))
    return SetLook(revision=revision, texts=tuple(seen), unknown=tuple(unknown))


def _seen(unit: Unit, row: Row) -> TextSeen:
    approved = approved_of(row)
    kept = unit.documents.get(shelf.KIND, row.id, approved) if approved else None
    return TextSeen(instruction=row.id, revision=approved, digest=kept.digest if kept else "")


@dataclass(frozen=True)
class TextChanged:
    """A device whose text changed since somebody looked: its row, and the approved revisions then and now.

    `before` is 0 where none was approved then.
    """

    row: Row
    before: int
    after: int


def look_in(row: Row) -> SetLook:
    """What was seen when somebody looked at a set last, as its row has it."""
    return _read_look(str(row.fields["look"]))


@functools.lru_cache(maxsize=1000)
def _read_look(text: str) -> SetLook:
    return SetLook.model_validate_json(text)


def changed_since(look: SetLook, finder: Finder) -> Iterator[TextChanged]:
    """The devices whose approved text is another one than when somebody looked."""
    for seen in look.texts:
        row, _ = finder.row(seen.instruction)
        approved = approved_of(row) if row is not None else 0
        if row is None or approved in {0, seen.revision}:
            continue
        kept = finder.unit.documents.get(shelf.KIND, row.id, approved)
        if kept is not None and kept.digest != seen.digest:
            yield TextChanged(row, seen.revision, approved)
    for named in look.unknown:
        row, _ = finder.row(named)
        if row is not None and approved_of(row):
            yield TextChanged(row, 0, approved_of(row))


def standing_findings(
    document: SetDocument,
    texts: Mapping[str, TextFound],
    substitutes: Mapping[str, TextFound],
    *,
    now: datetime,
) -> Iterator[Finding]:
    """Devices without a text, and texts that are not approved, not the latest, or overdue."""
    missing, unapproved = [], []
    for member in document.members:
        found = texts[member.called]
        if found.row is None and found.number:
            evidence: dict[str, str | int] = {"device": member.called, "number": found.number}
            yield wordings.TEXT_AMBIGUOUS.finding(evidence=evidence)
        elif found.row is None:
            missing.append(member)
        elif not approved_of(found.row):
            unapproved.append(member.called)
        else:
            yield from _of_row(member.called, found.row, now)
    if missing:
        yield no_text_for(missing)
    if unapproved:
        yield wordings.TEXT_NOT_APPROVED.finding(evidence={"devices": ", ".join(unapproved)})
    yield from _of_substitutes(document, substitutes)


def no_text_for(members: Sequence[Member]) -> Finding:
    """That devices have no instruction, with what was looked for where the set calls them otherwise."""
    devices = ", ".join(member.called for member in members)
    evidence = {"devices": devices}
    if renamed := [member.instruction for member in members if member.instruction != member.called]:
        evidence["looked_for"] = ", ".join(renamed)
    return wordings.TEXT_MISSING.finding(evidence=evidence)


def _of_substitutes(document: SetDocument, substitutes: Mapping[str, TextFound]) -> Iterator[Finding]:
    for member in document.members:
        for one in member.substitutes:
            row = substitutes[one.instruction].row
            if row is None or not approved_of(row):
                called = device_name(row) if row else one.instruction
                evidence = {"device": member.called, "substitute": called}
                yield wordings.SUBSTITUTE_NOT_APPROVED.finding(evidence=evidence)


def _of_row(called: str, row: Row, now: datetime) -> Iterator[Finding]:
    """What is to be said of an approved text."""
    approved, latest = approved_of(row), int(row.fields.get("revision") or 0)
    if row.due is not None and row.due <= now:
        day = str(row.fields.get("confirm_by"))
        yield wordings.TEXT_OUTDATED.finding(evidence={"device": called, "day": day})
    if latest > approved:
        evidence: dict[str, str | int] = {"device": called, "latest": latest, "approved": approved}
        yield wordings.TEXT_IN_WORK.finding(evidence=evidence)


def folded(name: str) -> str:
    """A name in small letters and with single spaces, as names are compared."""
    return " ".join(name.split()).casefold()
