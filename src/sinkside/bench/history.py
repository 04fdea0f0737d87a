"""History: what happened to one thing, in time, each line with its evidence; and what is not recorded."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from sinkside.department import Station

#: Like acts that follow each other within this are one line: somebody went on with the same work.
_ONE_GO: Final = timedelta(hours=1)


class LineKind(StrEnum):
    """What a line is about; it says which part of the evidence it belongs to."""

    work = "work"
    load = "load"
    record = "record"
    decision = "decision"
    check = "check"
    store = "store"
    case = "case"
    trouble = "trouble"
    text = "text"
    person = "person"
    supply = "supply"


class Mark(StrEnum):
    """What is out of the ordinary about a line."""

    entered = "entered"
    refused = "refused"
    exception = "exception"


#: The marks in words, as they stand beside a line.
MARK_WORDS: Final = {
    Mark.entered: "entered from paper",
    Mark.refused: "refused",
    Mark.exception: "under exception",
}


@dataclass(frozen=True)
class Evidence:
    """Where the evidence of a line is opened: a noun, such as `load`, and its id."""

    noun: str
    id: str


@dataclass(frozen=True)
class Gap:
    """Something that is not recorded: what was expected, since when, and who asks for it."""

    expected: str
    since: datetime
    policy: str


@dataclass(frozen=True)
class Line:
    """One line of a history.

    Attributes:
        at: when it happened, or began.
        words: what happened, in one plain sentence.
        kind: what it is about.
        by: who did it, by pseudonym; empty where nobody in person did.
        until: when it ended, for a stretch of time; none for a moment.
        shows: what it is evidence of; empty where the sentence says it.
        evidence: where it is opened, the nearest first.
        marks: what is out of the ordinary.
        gap: what is missing, where the line is a gap.
        station: where on the way, as far as a gap belongs to one place.
        entries: the numbers of the entries of the record book that say so.
        like: lines of one go that say the same of themselves are folded; empty where none is.
        many: what a folded line says, with `{count}` for how many it stands for.
        count: how many acts it stands for.
    """

    at: datetime
    words: str
    kind: LineKind
    by: str = ""
    until: datetime | None = None
    shows: str = ""
    evidence: tuple[Evidence, ...] = ()
    marks: frozenset[Mark] = frozenset()
    gap: Gap | None = None
    station: Station | None = None
    entries: tuple[int, ...] = ()
    like: str = ""
    many: str = ""
    count: int = 1

    @property
    def is_gap(self) -> bool:
        """Whether it says that something is not recorded."""
        return self.gap is not None

    @property
    def ended(self) -> datetime:
        """When it was over."""
        return self.until or self.at


def gap(
    expected: str,
    *,
    since: datetime,
    policy: str,
    kind: LineKind = LineKind.work,
    evidence: tuple[Evidence, ...] = (),
    station: Station | None = None,
) -> Line:
    """A line that says what is not recorded.

    Args:
        expected: what there should be evidence of, as it stands in a sentence.
        since: from when on it should be there.
        policy: who asks for it.
        kind: what it is about.
        evidence: where one would look for it.
        station: where on the way of a set it should have been recorded.

    >>> from datetime import UTC
    >>> gap("its record", since=datetime(2026, 3, 2, tzinfo=UTC), policy="this department").words
    'Not recorded: its record.'
    """
    return Line(
        at=since,
        words=f"Not recorded: {expected}.",
        kind=kind,
        evidence=evidence,
        gap=Gap(expected, since, policy),
        station=station,
    )


def in_order(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Lines by when they were over, newest first; what the record book has later stands above."""
    return tuple(sorted(lines, key=lambda one: (one.ended, max(one.entries, default=0)), reverse=True))


def folded(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Lines in order, with those of one go by the same person as one, which says how many they were.

    Args:
        lines: newest first.
    """
    kept: list[Line] = []
    for one in lines:
        if kept and _goes_on(kept[-1], one):
            kept[-1] = _together(kept[-1], one)
        else:
            kept.append(one)
    return tuple(kept)


def _goes_on(later: Line, earlier: Line) -> bool:
    return (
        bool(later.like and later.many)
        and (later.like, later.by, later.marks) == (earlier.like, earlier.by, earlier.marks)
        and later.at - earlier.ended <= _ONE_GO
    )


def _together(later: Line, earlier: Line) -> Line:
    count = later.count + earlier.count
    return replace(
        later,
        at=min(later.at, earlier.at),
        until=later.ended,
        words=later.many.replace("{count}", str(count)),
        entries=(*later.entries, *earlier.entries),
        evidence=tuple(dict.fromkeys((*later.evidence, *earlier.evidence))),
        count=count,
    )
