"""What keeps papers of a set off the floor: the open stops of the set, as its page has them, and its tray."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.set_layout import KIND as LAYOUT
from sinkside.findings import Finding, Level
from sinkside.records import Revision
from sinkside.sets.layout import Layout


def stops_among(findings: Iterable[Finding], layout: Layout | None = None) -> tuple[Finding, ...]:
    """The stops among the findings of a set, then those of its layout."""
    found = (*findings, *(layout.findings if layout else ()))
    return tuple(one for one in found if one.level is Level.stop)


def layout_of(unit: Unit, key: str, revision: int) -> Revision | None:
    """The layout of a set's tray, where it was laid out for this revision of the set."""
    kept = unit.documents.get(LAYOUT, key)
    return kept if kept and from_revision(kept, Layout).revision == revision else None
