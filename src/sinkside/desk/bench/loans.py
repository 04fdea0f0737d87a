"""Borrowed, lent and repaired things: agreed, received and counted, sent with a statement, closed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from pydantic import ValidationError

from sinkside.bench.loans import LONGEST_NAME, Loan, LoanPart, Receipt, Sending, TextHeld, Way, loan_findings
from sinkside.desk import sets, shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.bench.loaned_copies import came_in, went_out
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.concerning import note_concerning
from sinkside.desk.deviations.loaned import loan_came_wrong
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_texts import texts_of
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.quantities import Quantity
from sinkside.records import Row

LOAN: Final = "loan"
READ: Final = "bench-read"
WORK: Final = "loan-work"

_OPEN: Final = "open"
_CLOSED: Final = "closed"
_LIST: Final = KeptList(LOAN, Loan, "loan")
_LATEST: Final = 60


@dataclass(frozen=True)
class Agreed:
    """What was agreed before a thing moves; see `Loan` for each of them."""

    way: Way
    what: str
    other: str
    due: datetime
    needed: datetime | None = None
    of: str = ""
    copy_code: str = ""
    parts: tuple[LoanPart, ...] = ()
    mass: Quantity | None = None
    theirs: TextHeld = field(default_factory=TextHeld)
    fault: str = ""


@dataclass(frozen=True)
class KnownLoan:
    """A loan as it stands, with what speaks against it."""

    id: str
    loan: Loan
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class LoansFound:
    """What is open, what is due first at the head; and what was closed lately."""

    open: tuple[KnownLoan, ...]
    closed: tuple[KnownLoan, ...]


def find_loans(archive: Archive, who: Visitor, *, now: datetime) -> LoansFound:
    """The loans of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = {
            state: tuple(
                KnownLoan(key, loan, loan_findings(loan, now=now))
                for key, loan in _LIST.all(unit, who, [state], most=_LATEST)
            )
            for state in (_OPEN, _CLOSED)
        }
    return LoansFound(found[_OPEN], found[_CLOSED])


def open_loan(archive: Archive, who: Visitor, loan: str, *, now: datetime) -> KnownLoan:
    """One loan as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = _LIST.opened(unit, who, loan)
    return KnownLoan(loan, known, loan_findings(known, now=now))


def agree(archive: Archive, who: Visitor, agreed: Agreed, *, now: datetime) -> str:
    """Keep what was agreed, with our text beside the owner's, and say the loan's id.

    Raises:
        NotAllowed: without the right.
        NotThere: if it is said to be a set or instruction that is not here, or a copy that is not.
        BadInput: if something is missing or too long, or it is due before now.
    """
    require(who, WORK)
    if agreed.due <= now:
        raise BadInput("it is due before now; expected a moment to come", resource="due")
    with archive.unit() as unit:
        ours = _text_here(unit, who, agreed.of)
        try:
            loan = Loan.model_validate({**vars(agreed), "ours": ours})
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in first["loc"])
            raise BadInput(str(first["msg"]).removeprefix("Value error, "), resource=where) from error
        if loan.way is not Way.borrowed:
            _refuse_unknown_copy(unit, who, loan)
        key = new_id("b")
        _keep(unit, who, key, loan, event="loan-agreed", now=now)
    return key


@dataclass(frozen=True)
class CameIn:
    """What somebody saw when a thing came in; `code` is the code that it gets here, or has."""

    code: str
    counted: Sequence[int | None] = ()
    mass: Quantity | None = None
    marked_sterile: bool = False
    words: str = ""


def receive(archive: Archive, who: Visitor, loan: str, came: CameIn, *, now: datetime) -> KnownLoan:
    """Keep that a thing came in: it is soiled whatever stands on it, and held while a stop is open.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such loan here.
        Conflict: if it is here already or closed, or another thing has that code.
        BadInput: if no code was said, or not every line was counted.
    """
    require(who, WORK)
    with archive.unit() as unit:
        before = _LIST.opened(unit, who, loan)
        _refuse_closed(before)
        if before.is_here or (before.way is not Way.borrowed and not before.went):
            raise Conflict("it is here already", resource=loan)
        code = (came.code or before.copy_code).strip()
        if not code:
            raise BadInput("expected the code that it has here", resource="code")
        receipt = _receipt(before, came, who, now)
        done = before.way is not Way.borrowed
        change = {"came": (*before.came, receipt), "copy_code": code, "closed": now if done else None}
        after = before.model_copy(update=change)
        judged = after.model_copy(update={"closed": None})
        stops = [one.message for one in loan_findings(judged, now=now) if one.level is Level.stop]
        came_in(unit, who, after, loan, holds=stops, now=now)
        _keep(unit, who, loan, after, event="loan-received", now=now)
        _note(unit, who, after, loan, now=now)
        loan_came_wrong(unit, who, after, judged, now=now)
    return KnownLoan(loan, after, loan_findings(after, now=now))


def send(
    archive: Archive, who: Visitor, loan: str, *, statement: str, words: str = "", now: datetime
) -> Loan:
    """Keep that a thing went out; what was borrowed is closed by that.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such loan here.
        Conflict: if it is closed, or not here.
        BadInput: if nobody said what was done with it before.
    """
    require(who, WORK)
    if not statement.strip():
        raise BadInput(
            "expected what was done with it before it goes, as on the statement that travels with it",
            resource="statement",
        )
    with archive.unit() as unit:
        before = _LIST.opened(unit, who, loan)
        _refuse_closed(before)
        if before.way is Way.borrowed and not before.is_here:
            raise Conflict("it is not here", resource=loan)
        if before.way is not Way.borrowed and before.went:
            raise Conflict("it went out already", resource=loan)
        sending = Sending(at=now, by=who.person, statement=statement.strip(), words=words.strip())
        closed = now if before.way is Way.borrowed else None
        after = before.model_copy(update={"went": (*before.went, sending), "closed": closed})
        went_out(unit, who, after, now=now)
        _keep(unit, who, loan, after, event="loan-sent", now=now)
        _note(unit, who, after, loan, now=now)
    return after


def _note(unit: Unit, who: Visitor, loan: Loan, key: str, *, now: datetime) -> None:
    """Let the history of what came or went find its loan."""
    copy = copy_of_code(unit, who.department, loan.copy_code)
    note_concerning(unit, who.department, copy.id, f"{_LIST.kind}:{key}", now=now)


def loans_to_see_to(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[tuple[Level, str, Row]]:
    """What Today says of loans to whoever works on them: stops, and what is late."""
    if not who.may(WORK):
        return
    for row in unit.rows.all(LOAN, [who.department], states=[_OPEN]):
        loan = read_kept(unit, LOAN, row.id, Loan)
        found = loan_findings(loan, now=now) if loan else ()
        grave = [one for one in found if one.level is Level.stop or one.rule == "loan-late"]
        if grave:
            yield grave[0].level, f"{row.title}: {grave[0].message}", row


def _text_here(unit: Unit, who: Visitor, of: str) -> TextHeld:
    """What is approved here of what a thing is: of a set, the texts of all its devices.

    Without an approved text of every device there is none to go by.
    """
    if not of:
        return TextHeld()
    row = unit.rows.get(sets.KIND, of)
    if row is not None and row.department == who.department:
        found = texts_of(unit, who, sets.set_in(unit, who, of).document).values()
        rows = [one.row for one in found]
    else:
        rows = [shelf.row_of(unit, who, of)]
    held = [_approved(unit, one) for one in rows]
    known = list(dict.fromkeys((one.title, one.revision) for one in held if one is not None))
    if len(known) < 1 or None in held:
        return TextHeld()
    titles, revisions = (dict.fromkeys(texts) for texts in zip(*known, strict=True))
    return TextHeld(title="; ".join(titles)[:LONGEST_NAME], revision="; ".join(revisions)[:LONGEST_NAME])


def _approved(unit: Unit, row: Row | None) -> TextHeld | None:
    number = row.fields.get("approved") if row else None
    text = read_kept(unit, shelf.KIND, row.id, Instruction, int(number)) if row and number else None
    if text is None:
        return None
    document = text.device.document
    return TextHeld(title=document.title or "", revision=document.revision or f"our revision {number}")


def _refuse_unknown_copy(unit: Unit, who: Visitor, loan: Loan) -> None:
    if unit.bench.copies.by_code(who.department, loan.copy_code) is None:
        raise BadInput(
            f"nothing here has the code '{loan.copy_code}'; scan what goes out", resource="copy_code"
        )


def _refuse_closed(loan: Loan) -> None:
    if loan.closed is not None:
        raise Conflict("this is closed; agree on a new one", resource=loan.what)


def _receipt(loan: Loan, came: CameIn, who: Visitor, now: datetime) -> Receipt:
    if len(came.counted) != len(loan.parts):
        raise BadInput(
            f"{len(came.counted)} lines counted; expected all {len(loan.parts)} of the list",
            resource="counted",
        )
    pairs = zip(loan.parts, came.counted, strict=True)
    parts = tuple(part.model_copy(update={"counted": counted}) for part, counted in pairs)
    return Receipt(
        at=now,
        by=who.person,
        parts=parts,
        mass=came.mass,
        marked_sterile=came.marked_sterile,
        words=came.words.strip(),
    )


def _keep(unit: Unit, who: Visitor, key: str, loan: Loan, *, event: str, now: datetime) -> None:
    title = f"{loan.what}, {loan.other}"
    due = None if loan.closed else loan.due
    fields = {"way": loan.way.value, "code": loan.copy_code, "of": loan.of}
    line = Line(_CLOSED if loan.closed else _OPEN, title, due, fields)
    data = {"way": loan.way.value, "other": loan.other, "code": loan.copy_code}
    _LIST.keep(unit, who, key, loan, line, event=event, now=now, data=data)
