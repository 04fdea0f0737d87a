"""A solution made up at the sink: how much of a chemical in how much water, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from sinkside.department.document import Chemical, LimitOverride
from sinkside.documents import Value
from sinkside.errors import BadInput, BadQuantity
from sinkside.findings import Finding, Level, Measure, Wording
from sinkside.limits import published
from sinkside.quantities import Quantity, Range

#: The hardness that a chemical's maker does not speak of is held against this figure.
_HARDNESS_LIMIT: Final = "water-tir34-utility-hardness"

#: Two doses that differ by less than a graduation of any measuring cup are one (common practice, no source).
_SAME_DOSE: Final = 0.005

_BY_MASS: Final = {"g/L", "mg/L"}

TOO_COLD_OR_HOT = Wording(
    rule="solution-temperature",
    level=Level.concern,
    message="The water is at {temperature}; {chemical} works at {window}.",
    remedy="Draw the water anew at {window}.",
)
TOO_HARD = Wording(
    rule="solution-water-too-hard",
    level=Level.concern,
    message="The water has a hardness of {hardness}; the limit is {limit}.",
    remedy="Use softer water, or ask the maker of {chemical} for its dose in hard water.",
)
HARDNESS_UNKNOWN = Wording(
    rule="solution-hardness-unknown",
    level=Level.note,
    message="The hardness of the water is not known, and was not held against a limit.",
    remedy="Have the hardness of the water point tested.",
)


class Solution(Value):
    """A solution as it is made up: so much of the chemical in so much water."""

    chemical: str
    water: Quantity
    dose: Quantity
    amount: Quantity
    findings: tuple[Finding, ...] = ()


def made_up(
    chemical: Chemical,
    *,
    water: Quantity,
    dose: Quantity,
    temperature: Quantity | None = None,
    hardness: Quantity | None = None,
    own_limits: Sequence[LimitOverride] = (),
    language: str = "en",
) -> Solution:
    """A solution of a chemical, with the amount to measure out.

    Args:
        chemical: As the department has it, with its dose and its temperatures.
        water: How much water is in the sink.
        dose: As somebody means to dose it; it must be the chemical's own, in units of the same kind.
        temperature: Of the water.
        hardness: Of the water, as calcium carbonate.
        own_limits: What the department puts in the place of published limits.
        language: Of the findings.

    Raises:
        BadInput: if the dose is not the chemical's own, or it has none; the sentence says what its own takes.
        BadQuantity: if a quantity measures something else than it should.
    """
    litres = water.to("L")
    if not litres > 0:
        raise BadInput(f"{water} of water is none; expected how much is in the sink", resource=chemical.name)
    _refuse_other_dose(chemical, water, dose)
    findings = tuple(_speaking_against(chemical, temperature, language))
    findings += tuple(_of_hardness(chemical, hardness, own_limits, language))
    return Solution(
        chemical=chemical.name, water=water, dose=dose, amount=_amount(dose, litres), findings=findings
    )


def _amount(dose: Quantity, litres: float) -> Quantity:
    """What a dose takes: by mass in g, by volume in mL."""
    if dose.unit in _BY_MASS:
        return Quantity(round(dose.to("g/L") * litres, 1), "g")
    return Quantity(round(dose.to("ratio") * litres * 1_000.0, 1), "mL")


def _refuse_other_dose(chemical: Chemical, water: Quantity, dose: Quantity) -> None:
    own = chemical.dose
    if own is None:
        raise BadInput("its dose is not known; expected the dose from its label", resource=chemical.name)
    by_mass = any(end is not None and end.unit in _BY_MASS for end in (own.min, own.max))
    if by_mass != (dose.unit in _BY_MASS):
        kind = "by mass, in g/L" if by_mass else "by volume, in mL/L"
        raise BadInput(
            f"{dose} does not fit: it is dosed {kind}; expected {_range_words(own)}", resource=chemical.name
        )
    unit = "g/L" if by_mass else "ratio"
    low, high = own.bounds(unit)
    meant = dose.to(unit)
    if not low * (1 - _SAME_DOSE) <= meant <= high * (1 + _SAME_DOSE):
        litres = water.to("L")
        least = own.min or own.max or dose
        raise BadInput(
            f"{dose} would take {_amount(dose, litres)} for {water}; its dose is {_range_words(own)}, "
            f"which takes {_amount(least, litres)}",
            resource=chemical.name,
        )


def _range_words(found: Range) -> str:
    if found.min and found.max:
        return str(found.min) if found.min == found.max else f"{found.min} to {found.max}"
    return f"at least {found.min}" if found.min else f"at most {found.max}"


def _speaking_against(chemical: Chemical, temperature: Quantity | None, language: str) -> Iterator[Finding]:
    if temperature is None or chemical.temperature is None:
        return
    low, high = chemical.temperature.bounds("°C")
    if not low <= temperature.to("°C") <= high:
        evidence: dict[str, Measure | int | str] = {
            "temperature": str(temperature),
            "chemical": chemical.name,
            "window": _range_words(chemical.temperature),
        }
        yield TOO_COLD_OR_HOT.finding(evidence=evidence, language=language)


def _of_hardness(
    chemical: Chemical, hardness: Quantity | None, own_limits: Sequence[LimitOverride], language: str
) -> Iterator[Finding]:
    """Whether the water is too hard, by the department's own limit where it has one."""
    if hardness is None:
        yield HARDNESS_UNKNOWN.finding(language=language)
        return
    limit = published(_HARDNESS_LIMIT)
    own = next((_mg_per_l(one.value) for one in own_limits if one.limit == limit.id), None)
    most = limit.value[1] if own is None else own
    if _mg_per_l(hardness) >= most:
        evidence: dict[str, Measure | int | str] = {
            "hardness": Measure(value=_mg_per_l(hardness), unit="mg/L"),
            "limit": Measure(value=most, unit="mg/L"),
            "chemical": chemical.name,
        }
        source = limit.source if own is None else None
        yield TOO_HARD.finding(evidence=evidence, source=source, language=language)


def _mg_per_l(hardness: Quantity) -> float:
    try:
        return hardness.to("mg/L")
    except BadQuantity as error:
        raise BadQuantity(
            f"'{hardness}' is no hardness; expected mg/L of calcium carbonate", resource="hardness"
        ) from error
