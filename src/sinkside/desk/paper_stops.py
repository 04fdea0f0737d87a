"""What keeps papers of a set off the floor: the open stops of the set, as its page has them, and its tray."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.desk.access import Visitor
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.set_answers import answer_of
from sinkside.desk.set_layout import KIND as LAYOUT
from sinkside.desk.set_texts import standing_findings, substitutes_of, texts_of
from sinkside.desk.sets import OpenSet
from sinkside.findings import Finding, Level
from sinkside.records import Revision
from sinkside.sets.layout import Layout


def stops_among(findings: Iterable[Finding], layout: Layout | None) -> tuple[Finding, ...]:
    """The stops among the findings of a set, then those of its layout."""
    found = (*findings, *(layout.findings if layout else ()))
    return tuple(one for one in found if one.level is Level.stop)


def stops_of_set(unit: Unit, who: Visitor, opened: OpenSet) -> tuple[Finding, ...]:
    """The open stops of a set of the house, and of the layout of its tray."""
    texts, substitutes = texts_of(unit, who, opened.document), substitutes_of(unit, who, opened.document)
    answer = answer_of(unit, who.department, opened.revision, texts, substitutes)
    # What is overdue is a concern, never a stop: the moment makes no difference here.
    standing = standing_findings(opened.document, texts, substitutes, now=opened.revision.at)
    laid = layout_of(unit, opened)
    layout = from_revision(laid, Layout) if laid else None
    return stops_among((*standing, *answer.of_the_route, *answer.findings), layout)


def layout_of(unit: Unit, opened: OpenSet) -> Revision | None:
    """The layout of a set's tray, where it was laid out for this revision."""
    kept = unit.documents.get(LAYOUT, opened.row.id)
    return kept if kept and from_revision(kept, Layout).revision == opened.revision.number else None
