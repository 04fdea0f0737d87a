"""What a figure of an instruction allows: two ends in one unit, and whether a value or range fits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sinkside.quantities import Figure, Quantity, Range, convert

#: Far below what any clock, gauge or scale shows; only floating-point dust is forgiven.
_DUST = 1e-9

#: What two printed temperatures of one pair may differ by, both rounded to whole degrees of °C and °F
#: (computed: half a degree each, 0.5 K and 0.28 K, taken up to the next whole kelvin).
_ROUNDED_LABEL_K = 1.0


def _converted(value: float, unit: str, to: str) -> float:
    # A figure may be printed in millilitres to the millilitre, which is a plain ratio.
    return convert(value, "ratio" if unit == "mL/mL" else unit, to)


def amount(quantity: Quantity, unit: str) -> float:
    """A quantity in a unit.

    Raises:
        BadQuantity: if the units measure different things.

    >>> amount(Quantity(4.0, "min"), "s")
    240.0
    """
    return _converted(quantity.value, quantity.unit, unit)


def span(found: Range, unit: str) -> tuple[float, float]:
    """Both ends of a range in a unit; an open end is infinite.

    Raises:
        BadQuantity: if the units measure different things.
    """
    low = amount(found.min, unit) if found.min else -math.inf
    high = amount(found.max, unit) if found.max else math.inf
    return low, high


def _apart(first: float, second: float) -> bool:
    """Whether two ends are further apart than rounding to whole degrees puts them; an open end is not."""
    return math.isfinite(first) and math.isfinite(second) and abs(first - second) > _ROUNDED_LABEL_K


def same(first: float, second: float) -> bool:
    """Whether two numbers are one, floating-point dust aside."""
    return math.isclose(first, second, rel_tol=_DUST, abs_tol=_DUST)


@dataclass(frozen=True, slots=True)
class Window:
    """What a figure allows: both ends in one unit, and the figure itself for the words.

    >>> window = Window.of(Figure(quantity="time", min=4, unit="min"), "s")
    >>> window.admits(240.0), window.admits(239.0), window.exact
    (True, False, False)
    """

    figure: Figure
    unit: str
    low: float
    high: float

    @classmethod
    def of(cls, figure: Figure, unit: str) -> Window:
        """The window of a figure.

        Raises:
            BadQuantity: if the figure measures something else than the unit.
        """
        low = figure.min if figure.min is not None else figure.value
        high = figure.max if figure.max is not None else figure.value
        return cls(
            figure,
            unit,
            -math.inf if low is None else _converted(low, figure.unit, unit),
            math.inf if high is None else _converted(high, figure.unit, unit),
        )

    @property
    def exact(self) -> bool:
        """Whether the text states one value and no bound."""
        return self.figure.value is not None

    @property
    def has_floor(self) -> bool:
        """Whether the text says how much it must be at the least: a bare "at most" does not."""
        return self.low > -math.inf

    @property
    def number(self) -> float:
        """The one number that stands for the window: its lower end, else its upper."""
        return self.low if self.has_floor else self.high

    @property
    def disagrees(self) -> bool:
        """Whether the figure is given in two units that are two different temperatures: 270 °F (134 °C)."""
        if self.unit != "°C":
            return False
        others = (Window.of(Figure.model_validate(other.model_dump()), "°C") for other in self.figure.also)
        return any(_apart(self.low, other.low) or _apart(self.high, other.high) for other in others)

    def admits(self, value: float) -> bool:
        """Whether one value lies in the window."""
        if self.figure.strict and math.isfinite(value) and (same(value, self.low) or same(value, self.high)):
            return False
        return (self.low <= value or same(value, self.low)) and (value <= self.high or same(value, self.high))

    def admits_at_least(self, value: float) -> bool:
        """Whether a value reaches the window's lower end, however far it goes beyond."""
        return value > self.low or (same(value, self.low) and not self.figure.strict)

    def covers(self, low: float, high: float) -> bool:
        """Whether a whole range lies in the window."""
        return self.admits(low) and self.admits(high)

    def is_within(self, low: float, high: float) -> bool:
        """Whether the one number of the window lies in a range."""
        return same(self.number, low) or same(self.number, high) or low < self.number < high

    def meets(self, low: float, high: float) -> bool:
        """Whether a range and the window have a value in common."""
        if same(low, self.high) or same(high, self.low):
            return not self.figure.strict
        return low <= self.high and high >= self.low

    def with_lowest(self) -> Quantity:
        """The lowest value that the text allows, else the highest, as the text writes it."""
        figure = self.figure
        value = next(end for end in (figure.value, figure.min, figure.max) if end is not None)
        return Quantity(value, figure.unit)


def window_of(figure: Figure | None, unit: str) -> Window | None:
    """The window of a figure that may be absent.

    Raises:
        BadQuantity: if the figure measures something else than the unit.
    """
    return None if figure is None else Window.of(figure, unit)
