"""What a set weighs with its packaging, beside the published limits that disagree."""

from __future__ import annotations

from typing import Final

from sinkside.limits import Limit, Profile, published
from sinkside.moisture.bounds import Span
from sinkside.moisture.document import DrynessSeen, LimitSeen, MassSeen, SourceShown
from sinkside.moisture.gathering import Gathered
from sinkside.sets import SetDocument

#: The published limits of a packed set. They disagree, so both are shown; the profile says which is in force.
_OF_PACKED_SETS: Final = ("mass-set-limit-us", "mass-container-europe")

#: The most that a metal load may gain in a cycle, in the standard of the process.
_DRYNESS: Final = "criteria-load-dryness-metal"


def mass_seen(document: SetDocument, gathered: Gathered, limits: Profile) -> MassSeen:
    """The mass of a set as weighed, else as the sum of all its things, against both published limits.

    A sum with something missing is no mass of a set.
    """
    weighed = document.mass.to("kg") if document.mass else None
    container = gathered.container
    whole = container is not None and not gathered.missing
    summed = sum(item.kg for item in gathered.items) + container.kg if container and whole else None
    kg = weighed if weighed is not None else summed
    here = {figure.id: figure for figure in limits.limits(topic="mass", quantity="mass")}
    return MassSeen(
        kg=kg,
        weighed=weighed is not None,
        limits=tuple(
            _seen(here.get(name, published(name)), kg, in_force=name in here) for name in _OF_PACKED_SETS
        ),
    )


def dryness_seen(kg: float, left_kg: Span, limits: Profile) -> DrynessSeen:
    """What may be left, against the published gain of mass of a metal load.

    Args:
        kg: what all things weigh with the packaging.
        left_kg: what may be left in the pack.
        limits: the profile that the department works to.
    """
    figure = limits.limit(_DRYNESS)
    low_met, high_met = (figure.met_by(100.0 * end / kg, "%") for end in (left_kg.low, left_kg.high))
    return DrynessSeen(
        id=figure.id,
        text=figure.text(),
        context=figure.context,
        source=SourceShown.of(figure.source),
        grams=round(1000.0 * kg * figure.ends("%")[1] / 100.0, 1),
        stands="kept" if high_met else "open" if low_met else "passed",
    )


def _seen(figure: Limit, kg: float | None, *, in_force: bool) -> LimitSeen:
    return LimitSeen(
        id=figure.id,
        text=figure.text(),
        context=figure.context,
        source=SourceShown.of(figure.source),
        in_force=in_force,
        met=None if kg is None else figure.met_by(kg, "kg"),
        reason=figure.override.reason if figure.override else "",
    )
