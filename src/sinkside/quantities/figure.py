"""One figure as a maker's text states it: its bound as worded, its unit as printed, its words."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from sinkside.quantities.quantity import convert
from sinkside.quantities.units import canonical_unit


class FigureQuantity(StrEnum):
    """What a figure measures."""

    temperature = "temperature"
    temperature_difference = "temperature-difference"
    time = "time"
    pressure = "pressure"
    pressure_rate = "pressure-rate"
    volume = "volume"
    flow = "flow"
    concentration = "concentration"
    ph = "ph"
    hardness = "hardness"
    conductivity = "conductivity"
    frequency = "frequency"
    length = "length"
    mass = "mass"
    angle = "angle"
    torque = "torque"
    voltage = "voltage"
    counted = "count"
    speed = "speed"
    lethality = "lethality"
    percent = "percent"
    ratio = "ratio"


class Bound(StrEnum):
    """How a figure binds, as worded."""

    value = "value"
    at_least = "min"
    at_most = "max"
    between = "between"


class FigureValue(BaseModel):
    """A value, or one or two ends of a range, with a unit; never converted."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    quantity: FigureQuantity
    value: float | None = None
    min: float | None = None
    max: float | None = None
    unit: str
    as_written: str = ""
    strict: bool | None = None
    reference: Literal["absolute", "gauge", "unsaid"] | None = None

    @field_validator("unit")
    @classmethod
    def _known_unit(cls, unit: str) -> str:
        # Ratios of other kinds of volume ("mL/mL") are figures too: findings are made of them.
        return unit if unit == "mL/mL" else canonical_unit(unit)

    @model_validator(mode="after")
    def _value_or_ends(self) -> FigureValue:
        ends = self.min is not None or self.max is not None
        if (self.value is not None) == ends:
            raise ValueError("a figure has either a value or a min, a max or both")
        return self

    @property
    def bound(self) -> Bound:
        """How the figure binds."""
        if self.value is not None:
            return Bound.value
        if self.min is not None and self.max is not None:
            return Bound.between
        return Bound.at_least if self.min is not None else Bound.at_most

    def ends(self, unit: str | None = None) -> tuple[float, float]:
        """Lowest and highest, in a unit (its own unless told); an open end is infinite.

        Raises:
            BadQuantity: if the units measure different things.

        >>> FigureValue(quantity="time", min=4, unit="min").ends("s")
        (240.0, inf)
        """
        low = self.min if self.min is not None else self.value
        high = self.max if self.max is not None else self.value
        to = unit or self.unit
        return (
            convert(low, self.unit, to) if low is not None else float("-inf"),
            convert(high, self.unit, to) if high is not None else float("inf"),
        )

    def number(self, unit: str | None = None) -> float:
        """The one number that stands for the figure: its value, else its lower end, else its upper.

        Raises:
            BadQuantity: if the units measure different things.
        """
        low, high = self.ends(unit)
        return low if low != float("-inf") else high


class Figure(FigureValue):
    """A figure of an instruction, with the same value in other units (`also`) and its part in a sum (`role`).

    >>> Figure(quantity="time", min=4, unit="min", as_written="at least 4 min").bound.value
    'min'
    """

    also: tuple[FigureValue, ...] = Field(default=())
    role: str | None = None
