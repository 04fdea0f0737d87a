"""What is borrowed, lent or away for repair: whose it is, what came, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field, model_validator

from sinkside.documents import Value
from sinkside.findings import Finding, Level, Wording, worst_first
from sinkside.quantities import Quantity
from sinkside.sets.document import MOST_OF_ONE

#: Scales, packaging and moisture make so much difference (common practice, no source).
MASS_SLACK: Final = 0.05

LONGEST_NAME: Final = 200
LONGEST_WORDS: Final = 2000


class Way(StrEnum):
    """Which way a thing went: somebody's to us, ours to somebody, ours to a workshop."""

    borrowed = "borrowed"
    lent = "lent"
    repair = "repair"


class LoanPart(Value):
    """A device or part on the list of what goes or comes: how many by the list, and how many were counted."""

    name: str = Field(min_length=1, max_length=LONGEST_NAME)
    expected: int = Field(ge=0, le=MOST_OF_ONE)
    counted: int | None = Field(default=None, ge=0, le=MOST_OF_ONE)


class TextHeld(Value):
    """An instruction as one side holds it: its title and revision; empty where nobody has it."""

    title: str = Field(default="", max_length=LONGEST_NAME)
    revision: str = Field(default="", max_length=LONGEST_NAME)


class Receipt(Value):
    """That something came in: when, by whom it was taken, what it weighed, and whether it was marked sterile.

    What comes in is soiled, whatever stands on it.
    """

    at: AwareDatetime
    by: str
    parts: tuple[LoanPart, ...] = ()
    mass: Quantity | None = None
    marked_sterile: bool = False
    words: str = Field(default="", max_length=LONGEST_WORDS)


class Sending(Value):
    """That something went out: when, by whose hand, and whether a statement of what was done went with it."""

    at: AwareDatetime
    by: str
    statement: str = ""
    words: str = Field(default="", max_length=LONGEST_WORDS)


class Loan(Value):
    """A thing that is not where it belongs (`sinkside/loan-1`).

    Attributes:
        way: borrowed, lent, or away for repair.
        what: what it is called.
        of: the set or instruction that it is here; empty where nobody made one yet.
        copy_code: the code of the physical thing; of one that is borrowed, given on receipt.
        other: the house, firm or workshop on the other side; never a person.
        due: when it must be back where it belongs; of a borrowed one, at its owner.
        needed: when a borrowed one is needed here.
        parts: what belongs to it.
        mass: what it weighs by its owner's word.
        theirs: the instruction that the owner sent or named.
        ours: the instruction that is approved here.
        fault: what is to be repaired.
        came: each time it came to us.
        went: each time it left us.
        closed: when it was all over.
    """

    format: Literal["sinkside/loan-1"] = "sinkside/loan-1"
    way: Way
    what: str = Field(min_length=1, max_length=LONGEST_NAME)
    of: str = ""
    copy_code: str = ""
    other: str = Field(min_length=1, max_length=LONGEST_NAME)
    due: AwareDatetime
    needed: AwareDatetime | None = None
    parts: tuple[LoanPart, ...] = ()
    mass: Quantity | None = None
    theirs: TextHeld = TextHeld()
    ours: TextHeld = TextHeld()
    fault: str = Field(default="", max_length=LONGEST_WORDS)
    came: tuple[Receipt, ...] = ()
    went: tuple[Sending, ...] = ()
    closed: AwareDatetime | None = None

    @model_validator(mode="after")
    def _says_what_is_to_be_repaired(self) -> Loan:
        if self.way is Way.repair and not self.fault.strip():
            raise ValueError("expected what is to be repaired")
        return self

    @property
    def is_here(self) -> bool:
        """Whether it lies here now: it came, and has not left since."""
        moves = [(one.at, True) for one in self.came] + [(one.at, False) for one in self.went]
        if not moves:
            return False
        return max(moves)[1]

    @property
    def stands(self) -> str:
        """In words, where it is."""
        if self.closed is not None:
            return "closed"
        if self.is_here:
            return "here"
        if self.way is Way.borrowed:
            return "on its way here" if not self.went else "sent back"
        return "away" if self.went else "to be sent"


PARTS_MISSING: Final = Wording(
    rule="loan-parts-missing",
    level=Level.stop,
    message="{counted} of {expected} of {part} came.",
    remedy="Tell the owner now; do not process it as complete.",
)
PARTS_OVER: Final = Wording(
    rule="loan-parts-over",
    level=Level.concern,
    message="{counted} of {part} came, the list has {expected}.",
    remedy="Ask the owner whose the rest is.",
)
NOT_COUNTED: Final = Wording(
    rule="loan-not-counted",
    level=Level.stop,
    message="Nobody counted {part}.",
    remedy="Count it against the owner's list.",
)
MASS_DIFFERS: Final = Wording(
    rule="loan-mass",
    level=Level.concern,
    message="It weighs {mass}; its owner says {said}.",
    remedy="Count again, and look for what lies there that is not on the list.",
)
NO_TEXT: Final = Wording(
    rule="loan-no-text",
    level=Level.stop,
    message="No approved instruction for {what} is here.",
    remedy="Ask the owner for the maker's instruction and have it approved before anything is cleaned.",
)
TEXT_DIFFERS: Final = Wording(
    rule="loan-text-differs",
    level=Level.concern,
    message="The owner goes by revision {theirs} of the instruction; approved here is {ours}.",
    remedy="Ask the maker which one is in force, and go by that.",
)
TEXT_UNSAID: Final = Wording(
    rule="loan-text-unsaid",
    level=Level.concern,
    message="Nobody said which revision its owner goes by; approved here is {ours}.",
    remedy="Ask the owner, and hold it against the one here.",
)
MARKED_STERILE: Final = Wording(
    rule="loan-marked-sterile",
    level=Level.concern,
    message="It came marked as sterile; here it is soiled until it went along its whole route.",
    remedy="Take it to the sink, and nowhere else.",
)
LATE: Final = Wording(
    rule="loan-late",
    level=Level.concern,
    message="It was to be back at {other} by {due}.",
    remedy="Tell {other} when it comes, or agree on another day.",
)


def loan_findings(loan: Loan, *, now: datetime) -> tuple[Finding, ...]:
    """What speaks against a thing that was borrowed, lent or sent for repair; the worst first.

    Example:
        >>> due = datetime.fromisoformat("2026-03-05T12:00+01:00")
        >>> kit = Loan(way="borrowed", what="Guide kit", other="Hillside", due=due)
        >>> [one.rule for one in loan_findings(kit, now=due)]
        ['loan-no-text']
    """
    if loan.closed is not None:
        return ()
    found = [*_of_the_text(loan), *_of_what_came(loan)]
    if loan.due < now and _is_owed(loan):
        due = loan.due.strftime("%Y-%m-%d %H:%M")
        whose = loan.other if loan.way is Way.borrowed else "us"
        found.append(LATE.finding(evidence={"other": whose, "due": due}))
    return tuple(worst_first(found))


#: What is not as it was agreed with the other house; the rest is ours to see to.
_AGREED: Final = frozenset(
    one.rule for one in (PARTS_MISSING, PARTS_OVER, MASS_DIFFERS, NO_TEXT, TEXT_DIFFERS)
)


def not_as_agreed(loan: Loan, *, now: datetime) -> tuple[str, ...]:
    """What speaks against a thing that came, of all that was agreed with the other house; in sentences."""
    return tuple(one.message for one in loan_findings(loan, now=now) if one.rule in _AGREED)


def _is_owed(loan: Loan) -> bool:
    return loan.is_here if loan.way is Way.borrowed else not loan.is_here


def _of_the_text(loan: Loan) -> Iterator[Finding]:
    if loan.way is not Way.borrowed:
        return
    if not loan.ours.revision:
        yield NO_TEXT.finding(evidence={"what": loan.what})
    elif not loan.theirs.revision:
        yield TEXT_UNSAID.finding(evidence={"ours": loan.ours.revision})
    elif _plain(loan.theirs.revision) != _plain(loan.ours.revision):
        yield TEXT_DIFFERS.finding(
            evidence={"theirs": loan.theirs.revision, "ours": loan.ours.revision},
        )


def _of_what_came(loan: Loan) -> Iterator[Finding]:
    if not loan.came:
        return
    last = loan.came[-1]
    if last.marked_sterile:
        yield MARKED_STERILE.finding()
    counted = {one.name: one.counted for one in last.parts}
    for part in loan.parts:
        came = counted.get(part.name)
        if came is None:
            yield NOT_COUNTED.finding(evidence={"part": part.name})
        elif came != part.expected:
            evidence: dict[str, str | int] = {"part": part.name, "counted": came, "expected": part.expected}
            yield (PARTS_MISSING if came < part.expected else PARTS_OVER).finding(evidence=evidence)
    if loan.mass is not None and last.mass is not None:
        said = loan.mass.to("kg")
        if abs(last.mass.to("kg") - said) > said * MASS_SLACK:
            yield MASS_DIFFERS.finding(evidence={"mass": str(last.mass), "said": str(loan.mass)})


def _plain(revision: str) -> str:
    """A revision without the case and the blanks that people write differently."""
    return "".join(revision.casefold().split())
