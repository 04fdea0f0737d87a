"""What is kept of a cycle: the record with the program it had to follow, its verdicts, and the decisions."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime

from sinkside.cycles import Reading, Unread, Verdict
from sinkside.cycles.verdict import Answer
from sinkside.department import Program
from sinkside.documents import Value

Decided = Literal["released", "held"]
Outcome = Literal["meets", "unclear", "fails", "unread"]


class CycleRecord(Value):
    """A recorder's file, the machine it came from, and the program as it stood then.

    `chosen` says whether a person chose the program or it was taken as last time (`unsaid` in older records),
    and `again` why the file is judged by it although another program was said before.
    `out_of_use` says why the machine was out of use when the file was handed in; empty where it was in use.
    `in_file` is which cycle of a file that holds several; 0 where nobody said.
    """

    format: Literal["sinkside/cycle-1"] = "sinkside/cycle-1"
    machine: str
    machine_name: str
    program: Program
    profile: str
    file: str
    file_name: str
    chosen: Literal["by-person", "as-last-time", "unsaid"] = "unsaid"
    again: str = ""
    out_of_use: str = ""
    in_file: int = 0


class Judged(Value):
    """What the record proves, or why it could not be read; and what a person said of the file."""

    format: Literal["sinkside/judged-1"] = "sinkside/judged-1"
    reading: Reading = Reading()
    verdict: Verdict | None = None
    unread: Unread | None = None

    @property
    def outcome(self) -> Outcome:
        """The verdict in one word; `unread` where there is none."""
        return self.verdict.verdict if self.verdict else "unread"

    @property
    def summary(self) -> str:
        """One sentence that says what was and was not seen, or why nothing was."""
        if self.verdict:
            return self.verdict.summary
        return self.unread.error if self.unread else ""

    @classmethod
    def of(cls, answer: Verdict | Unread, reading: Reading) -> Judged:
        """What the judge answered."""
        if isinstance(answer, Verdict):
            return cls(reading=reading, verdict=answer)
        return cls(reading=reading, unread=answer)


class Decision(Value):
    """What a named person decided, on which verdict, and why where it goes against that.

    `without` are the things that had to be present before a release and were not.
    """

    format: Literal["sinkside/decision-1"] = "sinkside/decision-1"
    decided: Decided
    reason: str = ""
    outcome: Outcome
    verdict_revision: int
    without: tuple[str, ...] = ()
    by: str
    at: AwareDatetime

    @property
    def against_the_verdict(self) -> bool:
        """Whether the evidence said otherwise."""
        return goes_against(self.decided, self.outcome)


def goes_against(decided: Decided, outcome: Outcome | Answer) -> bool:
    """Whether a decision goes against the evidence: only a cycle that meets its program speaks for release.

    >>> goes_against("released", "unclear"), goes_against("held", "fails")
    (True, False)
    """
    return (decided == "released") != (outcome == "meets")
