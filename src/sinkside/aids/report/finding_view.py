"""Findings as a report shows them."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.places import place_words
from sinkside.aids.report.views import FindingView
from sinkside.aids.report.wording import evidence_words, name_words
from sinkside.aids.route_line import MARKS
from sinkside.findings import Cited, Finding, worst_first
from sinkside.language import render
from sinkside.sources import WAYS_OF_READING


def finding_views(findings: Iterable[Finding], language: str = "en") -> tuple[FindingView, ...]:
    """Findings, the worst first, each with everything that it carries."""
    return tuple(_view(finding, language) for finding in worst_first(findings))


def _view(finding: Finding, language: str) -> FindingView:
    places = (finding.place, *finding.more_places)
    return FindingView(
        level=finding.level.value,
        word=render(MARKS[finding.level][1], {}, language),
        message=finding.message,
        evidence=tuple(
            (
                name_words(name, language),
                evidence_words(value, language),
                "words" if isinstance(value, str) else "number",
            )
            for name, value in finding.evidence.items()
            if not (isinstance(value, str) and _is_said(value, finding))
        ),
        quotes=tuple(
            (place.text, place_words(place, language)) for place in places if place.text or place.page
        ),
        source=source_words(finding.source, language) if finding.source else "",
        remedy=finding.remedy,
    )


def _is_said(words: str, finding: Finding) -> bool:
    """Whether a piece of evidence stands word for word in the finding's own sentences."""
    said = f"{finding.message} {finding.remedy}"
    return words.strip().rstrip(".") in said


def source_words(source: Cited, language: str = "en") -> str:
    """A source with its clause, and how it was read.

    >>> source_words(Cited(key="x", title="A standard", clause="Table 2", how_read="read"))
    'A standard, Table 2 (read in the source itself)'
    """
    named = ", ".join(part for part in (source.title, source.clause) if part)
    how = WAYS_OF_READING.get(source.how_read, "")
    return f"{named} ({render(how, {}, language)})" if how else named
