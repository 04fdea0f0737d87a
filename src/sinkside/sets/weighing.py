"""The mass of a set as findings: unknown, contradictory, or above the limit in force."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sinkside.findings import Finding, Measure
from sinkside.sets import wordings
from sinkside.sets.document import SetDocument
from sinkside.sets.mass import SetMass

#: Sets are weighed to a tenth of a kilogram; half of that is rounding.
_ROUNDING_KG: Final = 0.05

#: Binary floats cannot hold most decimals; a sum this close to the limit is on it.
_SAME_KG: Final = 1e-9

_UNKNOWN_TOLD: Final = 4


def mass_findings(document: SetDocument, weighed: SetMass, *, language: str = "en") -> Iterator[Finding]:
    """What is wrong with the mass of a set."""
    if weighed.kg is None:
        rest = len(weighed.unknown) - _UNKNOWN_TOLD
        more = f" and {rest} more" if rest > 0 else ""
        things = ", ".join(weighed.unknown[:_UNKNOWN_TOLD]) + more
        evidence: dict[str, Measure | int | str] = {"things": things, "known": _kg(weighed.summed_kg)}
        yield wordings.MASS_UNKNOWN.finding(evidence=evidence, language=language)
    if weighed.weighed_kg is not None and weighed.weighed_kg < weighed.summed_kg - _ROUNDING_KG:
        evidence = {"weighed": str(document.mass), "summed": _kg(weighed.summed_kg)}
        yield wordings.MASS_CONTRADICTS.finding(evidence=evidence, language=language)
    limit = weighed.limit
    if limit is not None and weighed.at_least_kg > limit.ends("kg")[1] + _SAME_KG:
        wording = wordings.TOO_HEAVY if limit.override is None else wordings.TOO_HEAVY_FOR_US
        evidence = {
            "mass": _kg(weighed.at_least_kg),
            "limit": _kg(limit.ends("kg")[1]),
            "published": limit.context,
        }
        if limit.override is not None:
            evidence["reason"] = limit.override.reason.rstrip(".")
        yield wording.finding(
            evidence=evidence, source=None if limit.override else limit.source, language=language
        )


def _kg(value: float) -> Measure:
    return Measure(value=round(value, 3), unit="kg")
