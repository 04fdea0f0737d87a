"""`sinkside limits`: the published figures in force, and their sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sinkside.cli.options import Json, Profile
from sinkside.cli.output import show, show_document

if TYPE_CHECKING:
    from sinkside.limits import LimitsDocument

_RELATIONS = {"at-least": "≥ ", "at-most": "≤ ", "above": "> ", "below": "< "}
_FIGURE_WIDTH = 24


def limits(profile: Profile = "eu", json: Json = False) -> None:
    """List the published figures in force and where each was read."""
    from sinkside.desk.limits import limits_in_force

    document = limits_in_force(profile)
    if json:
        show_document(document)
    else:
        show(_in_words(document))


def _in_words(document: LimitsDocument) -> str:
    from sinkside.language import number

    binding = sum(entry.kind.value == "limit" for entry in document.figures)
    lines = [f"{binding} limits, {len(document.figures) - binding} other figures; profile {document.profile}"]
    topic = ""
    for entry in document.figures:
        if entry.topic != topic:
            topic = entry.topic
            lines.append(f"\n{topic}")
        if isinstance(entry.value, tuple):
            value = f"{number(entry.value[0])}–{number(entry.value[1])}"
        else:
            value = _RELATIONS.get(entry.relation.value, "") + number(entry.value)
        unit = "" if entry.unit == "1" else f" {entry.unit}"
        where = ", ".join(
            part for part in (entry.source.title, entry.source.edition, entry.source.clause) if part
        )
        kind = "" if entry.kind.value == "limit" else f"[{entry.kind.value}] "
        lines.append(f"  {value + unit:<{_FIGURE_WIDTH}} {kind}{entry.context}")
        lines.append(f"  {'':<{_FIGURE_WIDTH}} {entry.id}: {where} ({entry.source.how_read})")
    return "\n".join(lines)
