"""What is kept of machines' days: each check with its answers, and how a thing stands and why."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime

from sinkside.documents import Value

#: Why a thing is out of use.
Why = Literal["failed-check", "positive-biological", "installation", "move", "major-repair", "other"]

WHY_WORDS: dict[Why, str] = {
    "failed-check": "a check failed",
    "positive-biological": "a biological indicator was positive",
    "installation": "newly installed",
    "move": "moved",
    "major-repair": "major repair",
    "other": "other",
}


class Answered(Value):
    """One question of a check as it was answered: the words, the answer, what was expected, by whose word."""

    question: str
    words: str
    answer: str
    value: float | None = None
    unit: str = ""
    expected: str = ""
    source: str = ""
    met: bool | None = None


class MachineCheck(Value):
    """One check of one thing (`sinkside/machine-check-1`).

    `cycle` is the judged record behind it, where there is one.
    """

    format: Literal["sinkside/machine-check-1"] = "sinkside/machine-check-1"
    thing: str
    thing_name: str
    check: str
    check_name: str
    answers: tuple[Answered, ...] = ()
    passed: bool
    cycle: str = ""
    note: str = ""
    by: str
    at: AwareDatetime


class Cause(Value):
    """One reason why a thing is out of use.

    Attributes:
        why: which kind of reason.
        words: the reason in words.
        check: the check that failed, where one did.
        evidence: the id of that check, or of the indicator.
        since: the last good one of its kind; none if there never was one.
        loads: the cycles since then, as far as they were known at that moment.
        by: who took it out of use.
        at: when.
    """

    why: Why
    words: str
    check: str = ""
    evidence: str = ""
    since: AwareDatetime | None = None
    loads: tuple[str, ...] = ()
    by: str
    at: AwareDatetime


class Standing(Value):
    """Whether a thing is in use, and why not (`sinkside/standing-1`); `reason` is that of the last change."""

    format: Literal["sinkside/standing-1"] = "sinkside/standing-1"
    in_use: bool = True
    causes: tuple[Cause, ...] = ()
    reason: str = ""
    by: str = ""
    at: AwareDatetime | None = None
