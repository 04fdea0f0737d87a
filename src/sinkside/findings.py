"""A finding: any judgement that the tool makes, with its arithmetic, its source and what would put it right.

A rule states its words once, as templates (`Wording`); a finding is rendered from rule and evidence, so that
every language carries the same evidence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, Self

from pydantic import Field, field_validator

from sinkside.documents import Value
from sinkside.language import render
from sinkside.sources import Source

_WORDS_IN_A_PLACE = 60


class Level(StrEnum):
    """How much a finding weighs; `stop` keeps papers off the floor."""

    stop = "stop"
    concern = "concern"
    note = "note"


#: Worst first.
LEVELS = (Level.stop, Level.concern, Level.note)


class Measure(Value):
    """A computed value with its unit."""

    value: float
    unit: str = "1"


Evidence = dict[str, Measure | int | str]


class Place(Value):
    """Where a finding bites: a step, a page and line, and the words it concerns (at most 60)."""

    step: str | None = None
    page: int | None = None
    line: int | None = None
    text: str = ""

    @field_validator("text")
    @classmethod
    def _not_too_long(cls, text: str) -> str:
        return " ".join(text.split()[:_WORDS_IN_A_PLACE])


class Cited(Value):
    """The published source that a finding leans on, and how it was read."""

    key: str
    title: str
    clause: str = ""
    how_read: str = ""

    @classmethod
    def of(cls, source: Source) -> Self:
        """A source of the bibliography as findings carry it."""
        return cls(key=source.key, title=source.title, clause=source.clause, how_read=source.how_read)


class Finding(Value):
    """One judgement: one sentence, its evidence with units, the place, the source, the remedy."""

    rule: str
    level: Level
    message: str
    place: Place = Place()
    more_places: tuple[Place, ...] = ()
    evidence: Evidence = Field(default={})
    source: Cited | None = None
    remedy: str = ""


class FindingsDocument(Value):
    """Findings as they are handed on (`sinkside/findings-1`)."""

    format: Literal["sinkside/findings-1"] = "sinkside/findings-1"
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Wording:
    """The words of a rule: what it says when it trips, and what would put it right.

    >>> closed = Wording(
    ...     rule="jaw-closed-in-steam", level=Level.stop,
    ...     message="The jaw is {position} when steam must reach it.", remedy="Open the jaw before packing.")
    >>> closed.finding(evidence={"position": "closed"}).message
    'The jaw is closed when steam must reach it.'
    """

    rule: str
    level: Level
    message: str
    remedy: str = ""
    source: Source | None = None

    def finding(
        self,
        *,
        place: Place | None = None,
        more_places: Iterable[Place] = (),
        evidence: Mapping[str, Measure | int | str] | None = None,
        source: Source | None = None,
        language: str = "en",
    ) -> Finding:
        """The finding that this wording makes of some evidence.

        A source that was not read by us is confessed in the sentence itself.
        """
        leaned_on = source or self.source
        known = dict(evidence or {})
        message = render(self.message, known, language)
        if leaned_on is not None and not leaned_on.trusted:
            message = _confess(message, leaned_on, language)
        return Finding(
            rule=self.rule,
            level=self.level,
            message=message,
            place=place or Place(),
            more_places=tuple(more_places),
            evidence=known,
            source=Cited.of(leaned_on) if leaned_on else None,
            remedy=render(self.remedy, known, language),
        )


def _confess(message: str, source: Source, language: str) -> str:
    """The message with a clause that says how its figure was come by."""
    clause = render("source {how}", {"how": render(source.how_read_phrase, {}, language)}, language)
    end = message[-1:] if message[-1:] in ".?!" else ""
    return f"{message.removesuffix(end)} ({clause}){end}"


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Findings sorted by level, in their own order within a level."""
    return sorted(findings, key=lambda finding: LEVELS.index(finding.level))


def count_by_level(findings: Iterable[Finding]) -> dict[Level, int]:
    """How many findings there are of each level; every level is named."""
    counts = dict.fromkeys(LEVELS, 0)
    for finding in findings:
        counts[finding.level] += 1
    return counts
