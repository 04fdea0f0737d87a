"""One published figure: what it says, what kind of figure it is, where it holds, and who says so."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from sinkside.errors import BadQuantity, SinksideError
from sinkside.language import bounds_text
from sinkside.limits.units import base_unit, pressure_reference
from sinkside.quantities import convert
from sinkside.sources import Source

#: Binary floats cannot hold most decimals; a reading this close to a bound is on it. No reading is finer.
_SAME = 1e-9


class LimitKind(StrEnum):
    """What a published figure is for."""

    limit = "limit"  # a bound that a record is tested against
    trigger = "trigger"  # reached means: alert, act, recall
    guidance = "guidance"  # a printed range or example; being outside it is no failure by itself
    warning_threshold = "warning-threshold"  # beyond it a model or a habit stops being safe
    superseded = "superseded"  # kept to explain old records
    definition = "definition"  # a reference value or a class boundary
    worked_value = "worked-value"  # what a formula gives at one point, to check arithmetic against
    conversion = "conversion"  # the same thing in another unit
    observation = "observation"  # what a study saw: evidence, never a bound
    contested = "contested"  # contradicts another quotation; shown, not applied


_TESTABLE = frozenset(
    {
        LimitKind.limit,
        LimitKind.trigger,
        LimitKind.guidance,
        LimitKind.warning_threshold,
        LimitKind.superseded,
    }
)


class Relation(StrEnum):
    """How a figure binds; `below` and `above` leave the figure itself out."""

    equals = "equals"
    at_least = "at-least"
    at_most = "at-most"
    between = "between"
    below = "below"
    above = "above"


@dataclass(frozen=True)
class Override:
    """A department's own figure in place of a published one, and why."""

    id: str
    published: tuple[float, float]
    value: tuple[float, float]
    reason: str


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One published figure with its unit, context, jurisdiction and source.

    `value` holds both ends of a range, and the same number twice where there is one. `override` says what was
    published where a department has put its own figure in its place.
    """

    id: str
    topic: str
    kind: LimitKind
    quantity: str
    relation: Relation
    value: tuple[float, float]
    unit: str
    context: str
    jurisdiction: str
    source: Source
    note: str = ""
    override: Override | None = None

    @property
    def trusted(self) -> bool:
        """Whether it may be shown without a warning: its source was read, or it was computed."""
        return self.source.trusted

    @property
    def strict(self) -> bool:
        """Whether the figure itself is already outside."""
        return self.relation in {Relation.below, Relation.above}

    @property
    def reference(self) -> str | None:
        """For a pressure: 'absolute' or 'gauge', where the unit says which."""
        return pressure_reference(self.unit)

    def ends(self, unit: str | None = None) -> tuple[float, float]:
        """Lowest and highest value that the figure allows; an open end is infinite.

        Args:
            unit: the unit to give them in; the figure's own unless told.

        Raises:
            BadQuantity: if the figure's unit cannot be converted, or measures something else.

        >>> from sinkside.limits import published
        >>> published("steam-prevacuum-132c-wrapped-instruments-exposure").ends("s")
        (240.0, inf)
        """
        low, high = self.value
        if self.relation in {Relation.at_most, Relation.below}:
            low = -math.inf
        if self.relation in {Relation.at_least, Relation.above}:
            high = math.inf
        return self._in(low, unit), self._in(high, unit)

    def met_by(self, value: float, unit: str | None = None) -> bool:
        """Whether a value lies where the figure says; for a trigger: whether it has been reached.

        Args:
            value: the value to test, exactly as measured: it is never rounded.
            unit: its unit; the figure's own unless told.

        Raises:
            BadQuantity: if the unit does not fit.
            SinksideError: if the figure is an observation or the like, which nothing may be tested against.

        >>> from sinkside.limits import published
        >>> published("washer-prerinse-temperature").met_by(45.0, "°C")
        False
        """
        if self.kind not in _TESTABLE:
            raise SinksideError(
                f"this is a figure of kind '{self.kind}'; nothing is tested against it", resource=self.id
            )
        own = value if unit in {None, self.unit} else _converted(value, str(unit), base_unit(self.unit))
        low, high = self.ends()
        on_an_end = any(math.isclose(own, end, rel_tol=_SAME, abs_tol=_SAME * _SAME) for end in (low, high))
        return not self.strict if on_an_end else low <= own <= high

    def text(self, language: str = "en") -> str:
        r"""The figure as people read it.

        >>> from sinkside.limits import published
        >>> published("water-tir34-critical-conductivity").text()
        '<\xa010\xa0µS/cm'
        """
        low, high = self.ends()
        unit = base_unit(self.unit) if self.reference else self.unit
        return bounds_text(low, high, unit, language, strict=self.strict, reference=self.reference)

    def _in(self, end: float, unit: str | None) -> float:
        if unit in {None, self.unit} or math.isinf(end):
            return end
        return _converted(end, base_unit(self.unit), str(unit))


def _converted(value: float, unit: str, to: str) -> float:
    """A value in another unit; a difference in K is no reading, and 3 K is never 37.4 °F."""
    if unit != to and "K" in {unit, to}:
        raise BadQuantity(
            f"a difference of {value:g} {unit} cannot be given in {to}", resource=f"{value:g} {unit}"
        )
    return convert(value, unit, to)
