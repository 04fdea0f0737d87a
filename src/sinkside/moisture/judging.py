"""How a wet pack stands, in a word, a sentence on what drives it, and findings."""

from __future__ import annotations

from typing import Final

from sinkside.findings import Evidence, Finding, Level, Measure, Place, Wording
from sinkside.limits import published
from sinkside.moisture.bounds import PackBounds
from sinkside.moisture.document import Risk
from sinkside.moisture.tables import Assumption

#: No visible moisture in or on a pack after cooling: the published figure behind the findings.
_DRY: Final = "wet-pack-visible-moisture"

_LIKELY = "A wet pack is likely: {low:.1} to {high:.1} of water may be left after drying; a drop is too much."
_POSSIBLE = (
    "A wet pack is possible: {low:.1} to {high:.1} of water may be left after drying; a drop is too much."
)
_LOOK = (
    "Look at what would help, and at the pack: visible moisture means that it is processed again. Never "
    "shorten a drying time."
)


def risk_of(now: PackBounds, visible: Assumption) -> Risk:
    """Likely where some place is visibly wet at its drier end; unlikely where none is at its wetter end."""
    drop_kg = visible.low / 1000.0
    places = (*now.items, now.floor)
    if any(place.left.low > drop_kg for place in places):
        return Risk.likely
    return Risk.possible if any(place.left.high > drop_kg for place in places) else Risk.unlikely


def driver_of(now: PackBounds) -> str:
    """Where the most may be left, and what sends it there, in a sentence; nothing where nothing is left."""
    wettest = max((*now.items, now.floor), key=lambda place: place.left.high)
    if wettest.left.high <= 0.0:
        return ""
    if wettest is not now.floor:
        return f"The most may stay on {wettest.name}."
    own = now.floor.condensed.high
    sender = max(now.items, key=lambda place: place.passed.high, default=None)
    there = f"The most may stay on the floor of the packaging ({now.floor.name}); "
    if sender is None or sender.passed.high < own:
        return f"{there}the packaging itself condenses the most."
    return f"{there}{sender.name} sends the most there."


def findings_of(now: PackBounds, risk: Risk, driver: str) -> tuple[Finding, ...]:
    """The finding on a pack that may be wet; none where that is unlikely."""
    if risk is Risk.unlikely:
        return ()
    wording = Wording(
        rule=f"moisture-wet-pack-{risk.value}",
        level=Level.concern if risk is Risk.likely else Level.note,
        message=_LIKELY if risk is Risk.likely else _POSSIBLE,
        remedy=_LOOK,
        source=published(_DRY).source,
    )
    grams: Evidence = {
        "low": Measure(value=1000.0 * now.pack.left.low, unit="g"),
        "high": Measure(value=1000.0 * now.pack.left.high, unit="g"),
    }
    return (wording.finding(place=Place(text=driver), evidence=grams),)
