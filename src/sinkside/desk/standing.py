"""How each finding of a revision stands: open, asked of the maker, accepted, or answered by the maker."""

from __future__ import annotations

import functools
import hashlib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import resources
from typing import Any, Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.desk.instructions import review
from sinkside.documents import Value
from sinkside.findings import Finding, Level, worst_first
from sinkside.instruction import Instruction, Step
from sinkside.journal import canonical_bytes
from sinkside.quantities import Figure

How = Literal["accepted", "asked", "answered"]
_IDENTITY_DIGITS: Final = 20
_NUMBER_THEN_UNIT: Final = re.compile(r"(\d)([a-zµ°%])")
_SHORT_TIMES: Final = (
    (re.compile(r"\b(?:minutes?|mins)\b"), "min"),
    (re.compile(r"\b(?:seconds?|secs?)\b"), "s"),
    (re.compile(r"\b(?:hours?|hrs?)\b"), "h"),
)


class Reviewed(Value):
    """What the review said of one revision, and what people confirmed in it.

    Attributes:
        profile: The limits in force when it was reviewed,
        altitude_m: how high the department lies, in metres, and
        version: the program that reviewed it.
        drafted_by: Whose upload the text was drafted from.
        findings: What was found in this revision.
        carried: Stops that an edit took away although the maker's words, as they stand, still raise them.
        accepted: Steps that somebody confirmed, each with the digest of what was confirmed.
    """

    format: Literal["sinkside/reviewed-1"] = "sinkside/reviewed-1"
    profile: str
    altitude_m: float = 0.0
    version: str = ""
    drafted_by: str
    findings: tuple[Finding, ...] = ()
    carried: tuple[Finding, ...] = ()
    accepted: dict[str, str] = Field(default={})


@dataclass(frozen=True)
class Yardstick:
    """By what a text is reviewed: limits profile, altitude in metres, version of the program."""

    profile: str
    altitude_m: float
    version: str

    def measured(self, reviewed: Reviewed) -> bool:
        """Whether a review was made by this and no other."""
        known = (reviewed.profile, reviewed.altitude_m, reviewed.version)
        return known == (self.profile, self.altitude_m, self.version)

    def review(self, instruction: Instruction, *, drafted_by: str) -> Reviewed:
        """What the review says of a text."""
        found = review(instruction, profile=self.profile, altitude_m=self.altitude_m)
        return Reviewed(**vars(self), drafted_by=drafted_by, findings=found)


class Answer(Value):
    """What was said to a finding: accepted with a reason, asked of the maker, or what the maker wrote."""

    finding: str
    how: How
    words: str = ""
    file: str = ""
    file_name: str = ""
    by: str
    at: AwareDatetime
    revision: int


class Answers(Value):
    """Every answer to the findings of an instruction, oldest first."""

    format: Literal["sinkside/answers-1"] = "sinkside/answers-1"
    answers: tuple[Answer, ...] = ()


@dataclass(frozen=True)
class Standing:
    """A finding with its identity, the last answer to it, and what may still be done."""

    id: str
    finding: Finding
    answer: Answer | None = None
    carried: bool = False

    @property
    def is_open(self) -> bool:
        """Whether nothing settles it yet; a question to the maker does not."""
        return self.answer is None or self.answer.how == "asked"

    @property
    def is_open_stop(self) -> bool:
        """Whether it keeps the revision from being approved."""
        return self.is_open and self.finding.level is Level.stop

    @property
    def maker_only(self) -> bool:
        """Whether only the maker's written answer, attached, settles it."""
        return closes_on_the_makers_answer_only(self.finding)


def identity(finding: Finding) -> str:
    """What a finding is known by from revision to revision, as long as its step is unchanged.

    It is made of the rule, the places and the evidence: a reason that was given for 5 min says nothing about
    4 min in the same sentence.
    """
    known: dict[str, Any] = {
        "rule": finding.rule,
        "places": [place.model_dump(mode="json") for place in (finding.place, *finding.more_places)],
        "evidence": finding.model_dump(mode="json")["evidence"],
    }
    return hashlib.sha256(canonical_bytes(known)).hexdigest()[:_IDENTITY_DIGITS]


def standings(reviewed: Reviewed, answers: Answers) -> tuple[Standing, ...]:
    """Every finding of a revision with its last answer, worst first."""
    last = {answer.finding: answer for answer in answers.answers}
    found = worst_first((*reviewed.findings, *reviewed.carried))
    carried = {identity(finding) for finding in reviewed.carried}
    return tuple(
        Standing(known, finding, last.get(known), known in carried)
        for known, finding in _once((identity(finding), finding) for finding in found)
    )


def _once(found: Iterable[tuple[str, Finding]]) -> Iterable[tuple[str, Finding]]:
    kept: dict[str, Finding] = {}
    for known, finding in found:
        kept.setdefault(known, finding)
    return kept.items()


def step_digest(step: Step) -> str:
    """What a step is known by when somebody confirms it; a change makes it unconfirmed."""
    return hashlib.sha256(step.model_dump_json().encode()).hexdigest()[:_IDENTITY_DIGITS]


def closes_on_the_makers_answer_only(finding: Finding) -> bool:
    """Whether no reason of a department's own settles a finding."""
    from sinkside.review import rule_of

    if finding.level is not Level.stop:
        return False
    themes, rules = _maker_only()
    try:
        theme = rule_of(finding.rule).theme.value
    except KeyError:
        return True  # a rule of another version: nobody knows what it weighed
    return theme in themes or finding.rule in rules


@functools.cache
def _maker_only() -> tuple[frozenset[str], frozenset[str]]:
    file = resources.files("sinkside.desk").joinpath("policies", "answers.toml")
    table = tomllib.loads(file.read_text(encoding="utf-8"))["maker_only"]
    return frozenset(table["themes"]), frozenset(table["rules"])


def carried_on(
    before: Reviewed, was: Instruction, after: Instruction, found: Iterable[Finding]
) -> list[Finding]:
    """Stops for the maker alone that an edit took away, although the maker's words still raise them.

    What was probably meant is no edit. A stop goes only where the draft had misread the words: the figures
    that went do not stand in the words that the step was read from, and those that came do. A step that was
    read as the wrong kind of step, with its figures left as they are, is such a correction too; striking a
    step of the maker's is none.
    """
    known = {identity(finding) for finding in found}
    earlier = {identity(finding) for finding in before.carried}
    return [
        finding
        for finding in (*before.findings, *before.carried)
        if identity(finding) not in known
        and closes_on_the_makers_answer_only(finding)
        and (identity(finding) in earlier or not _was_misread(finding, was, after))
    ]


def _was_misread(finding: Finding, was: Instruction, after: Instruction) -> bool:
    """Whether every change to the steps that a finding concerns brings the draft nearer to the words."""
    concerned = {place.step for place in (finding.place, *finding.more_places) if place.step is not None}
    before = {step.id: step for step in was.steps}
    now = {step.id: step for step in after.steps}
    ids = concerned or {*before, *now}
    return all(_nearer(before.get(step_id), now.get(step_id)) for step_id in ids)


def _nearer(before: Step | None, now: Step | None) -> bool:
    step = now or before
    if step is None or before == now:
        return True
    words = _folded(step.origin.text)
    if now is None:
        return not words
    kept = before.figures if before else ()
    went = [figure for figure in kept if figure not in now.figures]
    came = [figure for figure in now.figures if figure not in kept]
    return not any(_stands_in(figure, words) for figure in went) and all(
        _stands_in(figure, words) for figure in came
    )


def _stands_in(figure: Figure, words: str) -> bool:
    """Whether a figure stands in some words as a whole: 1 min is not in 11 min, nor 5 min in 0.5 min."""
    written = _folded(figure.as_written)
    if not written:
        return False
    begins = r"(?<![\w\-\N{EN DASH}\N{MINUS SIGN}])(?<!\d[.,])" if written[0].isdigit() else r"(?<!\w)"
    return re.search(f"{begins}{re.escape(written)}(?!\\w)(?![.,]\\d)", words) is not None


def _folded(text: str) -> str:
    """Words as they compare: in small letters, a unit apart from its number, times by their short names."""
    spaced = _NUMBER_THEN_UNIT.sub(r"\1 \2", " ".join(text.casefold().split()))
    for pattern, short in _SHORT_TIMES:
        spaced = pattern.sub(short, spaced)
    return spaced
