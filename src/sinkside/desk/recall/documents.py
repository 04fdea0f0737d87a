"""What is kept of a recall: why, how far, what it reached, and what was done about each."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.loans import Way
from sinkside.bench.recall import CauseKind, Fate, Found, Where
from sinkside.documents import Value


class Cause(Value):
    """What a recall began with: its kind, the thing, and one sentence.

    Attributes:
        kind: what kind of cause.
        of: the machine, water point, instruction, person or chemical; of sets the first one.
        words: why, in one sentence.
        load: the one load that it began with, if any.
        revision: of an instruction; 0: every revision.
        lot: of a chemical, as on its container.
        where: where a person worked; none: everywhere.
        sets: the ids of sets, where some are named.
    """

    kind: CauseKind
    of: str
    words: str = Field(min_length=1, max_length=500)
    load: str = ""
    revision: int = 0
    lot: str = ""
    where: Where | None = None
    sets: tuple[str, ...] = ()


class Recalled(Value):
    """One run that it reached, and how its set was found when it was opened.

    `earlier` are cases that the set was used in before any run of it was kept.
    """

    run: str
    copy_id: str
    code: str
    name: str
    load: str
    at: AwareDatetime
    fate: Fate
    place: str
    used_in: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()

    @property
    def told_cases(self) -> tuple[str, ...]:
        """Every case of it that somebody is told of."""
        return (*self.earlier, *self.used_in)


class Concerned(Value):
    """Another house that has, or owns, something of it: the loan, which way that went, and the codes."""

    loan: str
    way: Way
    other: str
    what: str
    code: str
    run: str
    sent: AwareDatetime | None = None


class Dealt(Value):
    """That something was dealt with: in what words, by whom, when; of a set, how it was found."""

    words: str
    by: str
    at: AwareDatetime
    found: Found | None = None


class Call(Value):
    """One call about a case or another house: when, who answered by function; empty where nobody did."""

    of: str
    at: AwareDatetime
    answered: str = ""
    words: str = ""
    by: str


class Closed(Dealt):
    """How a recall ended: what was found, what lay at the root, what was put right."""

    root: str = ""
    correction: str = ""


class Recall(Value):
    """A recall (`sinkside/recall-1`).

    `sets` is what was done about each run, `cases` and `others` who was told of each case and each loan;
    `calls` are those that were made, answered or not. Later revisions have more.
    """

    format: Literal["sinkside/recall-1"] = "sinkside/recall-1"
    cause: Cause
    reach: str
    reason: str = ""
    since: AwareDatetime | None = None
    until: AwareDatetime
    loads: tuple[str, ...]
    reached: tuple[Recalled, ...]
    concerned: tuple[Concerned, ...] = ()
    sets: dict[str, Dealt] = Field(default={})
    cases: dict[str, Dealt] = Field(default={})
    others: dict[str, Dealt] = Field(default={})
    calls: tuple[Call, ...] = ()
    closed: Closed | None = None
    by: str
    at: AwareDatetime

    @property
    def numbers(self) -> tuple[str, ...]:
        """The cases that something was used in, each once."""
        return tuple(dict.fromkeys(number for one in self.reached for number in one.told_cases))

    @property
    def open_sets(self) -> tuple[Recalled, ...]:
        """What nobody has dealt with yet; a set that was processed again asks for nothing itself.

        One that was looked for and not found stays open.
        """
        return tuple(
            one for one in self.reached if one.fate is not Fate.came_back and not self._is_dealt(one.run)
        )

    @property
    def open_cases(self) -> tuple[str, ...]:
        """The cases of which nobody was told yet."""
        return tuple(number for number in self.numbers if number not in self.cases)

    @property
    def open_others(self) -> tuple[Concerned, ...]:
        """The other houses that nobody wrote to yet."""
        return tuple(one for one in self.concerned if one.loan not in self.others)

    def calls_about(self, of: str) -> tuple[Call, ...]:
        """The calls about a case or a loan, in their order."""
        return tuple(one for one in self.calls if one.of == of)

    def _is_dealt(self, run: str) -> bool:
        dealt = self.sets.get(run)
        return dealt is not None and dealt.found is not Found.not_found
