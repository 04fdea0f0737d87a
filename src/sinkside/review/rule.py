"""What a rule is: its words, its theme, its source, and the check that finds where it trips."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from sinkside.findings import Evidence, Finding, Level, Measure, Place, Wording
from sinkside.limits import published
from sinkside.review.case import Case
from sinkside.sources import Source, source

#: What is said where a rule leans on the trade's habit and on no text that we know of.
NO_SOURCE = "common practice, no source"

_NOT_JUDGED = "For want of {wanted} this could not be judged: {title}"
_ASK = "Find {wanted} in the text or ask the maker for it, then review again."


class Theme(StrEnum):
    """What rules are about; the rules of a theme stand in one file or a few."""

    completeness = "completeness"
    order = "order"
    positions = "positions"
    reach = "reach"
    parts = "parts"
    physics = "physics"
    chemistry_and_materials = "chemistry-and-materials"
    units_and_arithmetic = "units-and-arithmetic"
    contradictions = "contradictions"
    references = "references"
    vagueness = "vagueness"
    life_and_maintenance = "life-and-maintenance"
    point_of_use_and_transport = "point-of-use-and-transport"
    packaging_and_sterilization = "packaging-and-sterilization"
    storage = "storage"


@dataclass(frozen=True)
class Trip:
    """One place where a rule trips, with what was computed; `source` where the evidence names its own.

    `doubtful` says that other words may answer it: it is then told as a note, whatever the rule's level.
    `unsure` says that the words may be read in another way: no stop is made of it.
    """

    place: Place
    evidence: Mapping[str, Measure | int | str] = field(default_factory=dict)
    more_places: tuple[Place, ...] = ()
    source: Source | None = None
    doubtful: bool = False
    unsure: bool = False


@dataclass(frozen=True)
class Unjudged:
    """A rule that cannot be judged for want of something."""

    place: Place
    wanted: str


Check = Callable[[Case], Iterable[Trip | Unjudged]]


@dataclass(frozen=True)
class Rule:
    """One rule: id, one-sentence title, theme, level, words, source, check.

    `source` is a call, because the bibliography is a file and nothing is read at import.
    """

    id: str
    title: str
    theme: Theme
    level: Level
    message: str
    remedy: str
    source: Callable[[], Source] | None
    check: Check

    @property
    def basis(self) -> str:
        """The source in words, or that there is none."""
        if self.source is None:
            return NO_SOURCE
        leaned_on = self.source()
        return f"{leaned_on} ({leaned_on.how_read_phrase})"

    def findings(self, case: Case, *, language: str = "en") -> Iterator[Finding]:
        """What the rule finds; that it could not be judged is said once."""
        said = False
        for result in self.check(case):
            if isinstance(result, Trip):
                yield self._worded(result).finding(
                    place=case.as_printed(result.place),
                    more_places=[case.as_printed(place) for place in result.more_places],
                    evidence={name: _printed(case, value) for name, value in result.evidence.items()},
                    source=result.source,
                    language=language,
                )
            elif not said:
                said = True
                evidence: Evidence = {"wanted": result.wanted, "title": self.title}
                unjudged = Wording(self.id, Level.note, _NOT_JUDGED, _ASK)
                yield unjudged.finding(
                    place=case.as_printed(result.place), evidence=evidence, language=language
                )

    def _worded(self, trip: Trip) -> Wording:
        """The rule's words at the level that a trip deserves; the source is read where it is told."""
        likely = Level.concern if trip.unsure and self.level is Level.stop else self.level
        level = Level.note if trip.doubtful else likely
        return Wording(self.id, level, self.message, self.remedy, self.source and self.source())


def _printed(case: Case, value: Measure | int | str) -> Measure | int | str:
    """Evidence in the words of the document, where it is some of them."""
    return case.printed.get(value, value) if isinstance(value, str) else value


def rule(
    theme: Theme,
    level: Level,
    *,
    title: str,
    message: str,
    remedy: str,
    source: Callable[[], Source] | None = None,
) -> Callable[[Check], Rule]:
    """Make a rule of a check; the check's name, with hyphens, is the rule's id.

    Args:
        theme: what it is about.
        level: how much it weighs.
        title: one sentence that says what is wrong when it trips.
        message: template of the finding, filled from the evidence.
        remedy: template of what would put it right.
        source: what it leans on (see `figure` and `book`); None for common practice without a source.
    """

    def made_of(check: Check) -> Rule:
        return Rule(
            id=getattr(check, "__name__", "").replace("_", "-"),
            title=title,
            theme=theme,
            level=level,
            message=message,
            remedy=remedy,
            source=source,
            check=check,
        )

    return made_of


def figure(limit_id: str) -> Callable[[], Source]:
    """The source of a published figure, looked up when it is needed."""
    return lambda: published(limit_id).source


def book(key: str, clause: str = "") -> Callable[[], Source]:
    """A source of the bibliography, looked up when it is needed."""
    return lambda: source(key, clause)
