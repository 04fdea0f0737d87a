"""The words of the findings on drift: what each says, how much it weighs, what would settle it."""

from __future__ import annotations

from typing import Final

from sinkside.findings import Level, Wording

_RULE: Final = "drift"
_MOVED: Final = "{title} has {direction} by {moved} since cycle {since}, from {centre} to {latest} ({chart})"
_REMEDY: Final = (
    "Have the machine looked at before a cycle fails, and start its charts anew after the repair."
)

DRIFTS: Final = Wording(rule=_RULE, level=Level.concern, message=f"{_MOVED}.", remedy=_REMEDY)
DRIFTS_TO_A_LIMIT: Final = Wording(
    rule=_RULE, level=Level.concern, message=f"{_MOVED}; the limit is {{limit}}.", remedy=_REMEDY
)
DRIFTS_AT_A_PACE: Final = Wording(
    rule=_RULE,
    level=Level.concern,
    message=(
        f"{_MOVED}; at this pace, {{pace}} a cycle, it reaches the limit of {{limit}} "
        "in {cycles_left} cycles."
    ),
    remedy=_REMEDY,
)
OUTLYING: Final = Wording(
    rule="outlying-cycle",
    level=Level.note,
    message="In cycle {since} {title} was {latest}; it lies about {centre}, from {low} to {high} ({chart}).",
    remedy="Look at this cycle's load and record; one such cycle is no drift.",
)
