"""What is borrowed, lent or away for repair: the list, what was agreed, what came, what goes out with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal

from fastapi import Query
from pydantic import Field, create_model

from sinkside.aids.count_sheet import SheetSize
from sinkside.bench.loans import LONGEST_NAME, LONGEST_WORDS, LoanPart, TextHeld, Way
from sinkside.desk import sets, shelf
from sinkside.desk.bench import loans as desk
from sinkside.desk.bench.loans import Agreed, CameIn, KnownLoan
from sinkside.desk.bench.statements import shown_of, statement
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option, Sending
from sinkside.web.screens.bench.loan_fields import (
    counted,
    mass,
    parts_of,
)
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.typed_moments import read_moment

LIST: Final = f"{PLACE}/loans"
ONE: Final = f"{LIST}/{{loan}}"

#: As many lines as one list may have; a set of more is sent in parts (common practice, no source).
MOST_PARTS: Final = 60
_MOST_OFFERED: Final = 200

WAY_WORDS: Final = {
    Way.borrowed: "Borrowed from",
    Way.lent: "Lent to",
    Way.repair: "For repair at",
}


@dataclass(frozen=True)
class FindingShown:
    """What speaks against it: level, sentence, and what would put it right."""

    level: str
    sentence: str
    remedy: str


@dataclass(frozen=True)
class LoanLine:
    """One loan of the list: its page, what it is, whose, where it is, until when, the worst finding."""

    address: str
    what: str
    way: str
    other: str
    stands: str
    due: str
    is_late: bool
    worst: FindingShown | None


@dataclass(frozen=True)
class LoansPage:
    """What is open, what is due first at the head; what was closed lately; where new ones are agreed."""

    title: str
    new: tuple[Option, ...]
    open: tuple[LoanLine, ...]
    closed: tuple[LoanLine, ...]


@dataclass(frozen=True)
class NewLoanPage:
    """A loan to be agreed on: which way, and what here it may be."""

    title: str
    address: str
    way: str
    other_words: str
    things: tuple[Option, ...]


@dataclass(frozen=True)
class PartShown:
    """A line of its list: what, how many by the list, how many came last; the field that counts it."""

    name: str
    expected: int
    counted: str
    field: str


@dataclass(frozen=True)
class MoveShown:
    """That it came or went: which, when, by whom, and what was said."""

    words: str
    at: str
    by: str
    said: str


@dataclass(frozen=True)
class LoanPage:
    """One loan.

    Attributes:
        title: what it is.
        address: of the page.
        loans: where the list is.
        line: whose it is, where it is, until when.
        findings: what speaks against it, the worst first.
        facts: what was agreed, as words and what they say.
        parts: its list, and what came.
        moves: when it came and went, the latest first.
        code: its code here, or none yet.
        can_come: whether it can be received now.
        can_go: whether it can be sent now.
        shown: what is shown here of what was done with it, for the statement.
        statement: where the statement is; empty before it has a code.
    """

    title: str
    address: str
    loans: str
    line: LoanLine
    findings: tuple[FindingShown, ...]
    facts: tuple[Option, ...]
    parts: tuple[PartShown, ...]
    moves: tuple[MoveShown, ...]
    code: str
    can_come: bool
    can_go: bool
    shown: tuple[str, ...]
    statement: str


class NewLoan(Form):
    """What was agreed; `parts` has a line for each, such as `2 Guide`."""

    way: Way
    what: str = Field("", max_length=LONGEST_NAME)
    other: str = Field("", max_length=LONGEST_NAME)
    due: str = Field("", max_length=16)
    needed: str = Field("", max_length=16)
    of: str = Field("", max_length=100)
    copy_code: str = Field("", max_length=120)
    parts: str = Field("", max_length=20_000)
    mass: str = Field("", max_length=40)
    text: str = Field("", max_length=LONGEST_NAME)
    revision: str = Field("", max_length=LONGEST_NAME)
    fault: str = Field("", max_length=LONGEST_WORDS)


class Receipt(Form):
    """What somebody saw when it came in: its code here, its mass, whether it was marked sterile."""

    code: str = Field("", max_length=120)
    mass: str = Field("", max_length=40)
    marked_sterile: bool = False
    words: str = Field("", max_length=LONGEST_WORDS)


_COUNTS: Final[Mapping[str, Any]] = {
    f"counted_{number}": (str, Field("", max_length=4)) for number in range(1, MOST_PARTS + 1)
}

#: The same with how many of each line of the list came.
CountedReceipt: type[Receipt] = create_model("CountedReceipt", __base__=Receipt, **_COUNTS)


class Sent(Form):
    """What was done before it goes, as on the statement that travels with it."""

    statement: str = Field("", max_length=LONGEST_WORDS)
    words: str = Field("", max_length=LONGEST_WORDS)


@screen.page(LIST, right=desk.READ, template="bench_loans.html")
def loans_page(asked: Asked) -> LoansPage:
    """What is borrowed, lent or away for repair."""
    found = desk.find_loans(asked.archive, asked.visitor, now=asked.now)
    ways = (("borrowed", "Something is borrowed"), ("lent", "Lend something"), ("repair", "Send for repair"))
    return LoansPage(
        title="Borrowed, lent, repaired",
        new=tuple(Option(asked.at(f"/bench/loans/new?way={way}"), words) for way, words in ways),
        open=tuple(_line(asked, one) for one in found.open),
        closed=tuple(_line(asked, one) for one in found.closed),
    )


@screen.page(f"{LIST}/new", right=desk.WORK, template="bench_loan_new.html")
def new_page(
    asked: Asked, *, way: Annotated[Literal["borrowed", "lent", "repair"], Query()] = "borrowed"
) -> NewLoanPage:
    """What is agreed before anything moves."""
    said = asked.problem.typed.get("way", (way,))[0]
    known = Way(said) if said in set(Way) else Way.borrowed
    titles = {
        Way.borrowed: "Something is borrowed",
        Way.lent: "Lend something",
        Way.repair: "Send something for repair",
    }
    return NewLoanPage(
        title=titles[known],
        address=asked.at("/bench/loans/new"),
        way=known.value,
        other_words={Way.borrowed: "Whose it is", Way.lent: "To whom it goes", Way.repair: "Which workshop"}[
            known
        ],
        things=(Option("", "None of these"), *_things(asked)),
    )


@screen.act(f"{LIST}/new", right=desk.WORK, form=NewLoan, page=new_page)
def agree_loan(asked: Asked, form: NewLoan) -> Done:
    """Keep what was agreed."""
    key = desk.agree(
        asked.archive,
        asked.visitor,
        Agreed(
            way=form.way,
            what=" ".join(form.what.split()),
            other=" ".join(form.other.split()),
            due=read_moment(asked, form.due, field="due"),
            needed=read_moment(asked, form.needed, field="needed") if form.needed else None,
            of=form.of,
            copy_code=form.copy_code.strip(),
            parts=parts_of(form.parts, most=MOST_PARTS),
            mass=mass(form.mass),
            theirs=TextHeld(title=form.text.strip(), revision=form.revision.strip()),
            fault=form.fault.strip(),
        ),
        now=asked.now,
    )
    return Done(go=asked.at(f"/bench/loans/{key}"), said="Kept.")


@screen.page(ONE, right=desk.READ, template="bench_loan.html")
def loan_page(asked: Asked, loan: str) -> LoanPage:
    """One loan: what was agreed, what came, what speaks against it."""
    known = desk.open_loan(asked.archive, asked.visitor, loan, now=asked.now)
    kept = known.loan
    line = _line(asked, known)
    may = kept.closed is None and asked.visitor.may(desk.WORK)
    is_borrowed = kept.way is Way.borrowed
    came = {one.name: one.counted for one in kept.came[-1].parts} if kept.came else {}
    goes = kept.is_here if is_borrowed else not kept.went
    return LoanPage(
        title=kept.what,
        address=line.address,
        loans=asked.at("/bench/loans"),
        line=line,
        findings=tuple(FindingShown(one.level.value, one.message, one.remedy) for one in known.findings),
        facts=_facts(asked, known),
        parts=tuple(_part(number, part, came) for number, part in enumerate(kept.parts, start=1)),
        moves=_moves(asked, known),
        code=kept.copy_code,
        can_come=may and not kept.is_here and (is_borrowed or bool(kept.went)),
        can_go=may and goes,
        shown=shown_of(asked.archive, asked.visitor, kept.copy_code).said if goes and may else (),
        statement=f"{line.address}/statement" if kept.copy_code else "",
    )


@screen.act(f"{ONE}/receive", right=desk.WORK, form=CountedReceipt, page=loan_page)
def receive_loan(asked: Asked, form: Receipt, loan: str) -> Done:
    """Keep that it came in; it is soiled, whatever stands on it."""
    known = desk.open_loan(asked.archive, asked.visitor, loan, now=asked.now).loan
    came = CameIn(
        code=form.code.strip(),
        counted=counted(form.model_dump(), len(known.parts)),
        mass=mass(form.mass),
        marked_sterile=form.marked_sterile,
        words=form.words,
    )
    desk.receive(asked.archive, asked.visitor, loan, came, now=asked.now)
    return Done(go=asked.at(f"/bench/loans/{loan}"), said="Received: it is soiled and goes to the sink.")


@screen.act(f"{ONE}/send", right=desk.WORK, form=Sent, page=loan_page)
def send_loan(asked: Asked, form: Sent, loan: str) -> Done:
    """Keep that it went out, with what was done before."""
    desk.send(asked.archive, asked.visitor, loan, statement=form.statement, words=form.words, now=asked.now)
    return Done(go=asked.at(f"/bench/loans/{loan}"), said="Kept: it went out.")


@screen.file(f"{ONE}/statement", right=desk.READ)
def statement_file(asked: Asked, loan: str, *, size: Literal["a4", "letter"] = "a4") -> Sending:
    """The statement of what was done with it, which travels with it."""
    data = statement(asked.archive, asked.visitor, loan, size=SheetSize(size), now=asked.now)
    return Sending(data, "application/pdf", saved_as="statement.pdf")


def _things(asked: Asked) -> tuple[Option, ...]:
    """The sets of the department, then its instructions, that a loan may be of."""
    of_sets = [
        Option(one.id, one.title) for one in sets.list_sets(asked.archive, asked.visitor, limit=_MOST_OFFERED)
    ]
    of_texts = [
        Option(one.id, f"{one.title} (one instrument)") for one in shelf.shelf(asked.archive, asked.visitor)
    ]
    return (*of_sets, *of_texts)


def _line(asked: Asked, known: KnownLoan) -> LoanLine:
    loan, zone = known.loan, asked.visitor.zone
    worst = known.findings[0] if known.findings else None
    return LoanLine(
        address=asked.at(f"/bench/loans/{known.id}"),
        what=loan.what,
        way=WAY_WORDS[loan.way],
        other=loan.other,
        stands=loan.stands,
        due=shown_moment(loan.closed or loan.due, zone),
        is_late=any(one.rule == "loan-late" for one in known.findings),
        worst=FindingShown(worst.level.value, worst.message, worst.remedy) if worst else None,
    )


def _facts(asked: Asked, known: KnownLoan) -> tuple[Option, ...]:
    loan, zone = known.loan, asked.visitor.zone
    theirs = " ".join(filter(None, (loan.theirs.title, loan.theirs.revision)))
    ours = " ".join(filter(None, (loan.ours.title, loan.ours.revision)))
    told = {
        "Code here": loan.copy_code,
        "Needed here by": shown_moment(loan.needed, zone) if loan.needed else "",
        "Weighs, by its owner": str(loan.mass) if loan.mass else "",
        "Text its owner goes by": theirs,
        "Text approved here": ours,
        "To be repaired": loan.fault,
    }
    return tuple(Option(words, said) for words, said in told.items() if said)


def _part(number: int, part: LoanPart, came: Mapping[str, int | None]) -> PartShown:
    found = came.get(part.name)
    return PartShown(part.name, part.expected, "" if found is None else str(found), f"counted_{number}")


def _moves(asked: Asked, known: KnownLoan) -> tuple[MoveShown, ...]:
    loan, zone = known.loan, asked.visitor.zone
    by = {*(one.by for one in loan.came), *(one.by for one in loan.went)}
    names = names_of(asked.archive, by)
    moves = [(one.at, "Came in", one.by, one.words) for one in loan.came]
    moves += [(one.at, "Went out", one.by, one.statement) for one in loan.went]
    return tuple(
        MoveShown(words, shown_moment(at, zone), names.get(person, person), said)
        for at, words, person, said in sorted(moves, reverse=True)
    )
