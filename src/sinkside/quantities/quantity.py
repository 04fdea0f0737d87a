"""One quantity as a document states it: '132 °C', '4 min', '0.5 %'."""

from __future__ import annotations

import functools
import math
import re
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from sinkside.errors import BadQuantity
from sinkside.quantities.units import FACTORS, canonical_unit, pint_unit

_SHAPE = re.compile(r"^\s*([+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")
_ICE_F = 32.0
_NO_UNIT = ("", 0.0)
_KINDS = {unit: kind for unit, (kind, _) in FACTORS.items()} | dict.fromkeys(("°C", "°F"), "temperature")


def convert(value: float, unit: str, to: str) -> float:
    """A value in another unit; temperatures as readings.

    Raises:
        BadQuantity: if the units measure different things or are unknown.

    >>> round(convert(270, "°F", "°C"), 2)
    132.22
    >>> convert(4, "min", "s")
    240.0
    """
    if unit == to:
        return float(value)
    (kind, factor), (kind_wanted, wanted) = FACTORS.get(unit, _NO_UNIT), FACTORS.get(to, _NO_UNIT)
    if kind and kind == kind_wanted:
        return float(value) * factor / wanted
    if (unit, to) == ("°F", "°C"):
        return (float(value) - _ICE_F) * 5.0 / 9.0
    if (unit, to) == ("°C", "°F"):
        return float(value) * 9.0 / 5.0 + _ICE_F
    return _by_pint(float(value), unit, to)


@functools.lru_cache(maxsize=65536)
def _by_pint(value: float, unit: str, to: str) -> float:
    """Conversions are remembered: texts and departments state the same few figures again and again."""
    source, target = pint_unit(unit), pint_unit(to)
    if source.dimensionality != target.dimensionality:
        raise BadQuantity(f"{value:g} {unit} cannot be given in {to}", resource=f"{value:g} {unit}")
    return float(source._REGISTRY.Quantity(value, source).to(target).magnitude)  # noqa: SLF001 # pint's own way


def dimension_of(unit: str) -> str:
    """What a unit measures, as pint names the dimension.

    >>> dimension_of("mbar") == dimension_of("psi")
    True
    """
    return str(pint_unit(unit).dimensionality)


def measures_the_same(unit: str, other: str) -> bool:
    """Whether two units measure the same thing, so that one converts into the other.

    Raises:
        BadQuantity: if one is none of ours.

    >>> measures_the_same("°F", "°C"), measures_the_same("min", "mL")
    (True, False)
    """
    kinds = [_KINDS.get(one) for one in (unit, other)]
    return kinds[0] == kinds[1] if all(kinds) else dimension_of(unit) == dimension_of(other)


@dataclass(frozen=True)
class Quantity:
    """A number with its unit, which remembers how it was written and reads back exactly.

    >>> stated = Quantity.parse("270 °F")
    >>> round(stated.to("°C"), 2), str(stated)
    (132.22, '270 °F')
    """

    value: float
    unit: str
    as_written: str = field(default="", compare=False)

    def __str__(self) -> str:
        return self.as_written or (f"{self.value:g}" if self.unit == "1" else f"{self.value:g} {self.unit}")

    @classmethod
    def parse(cls, text: str | float) -> Quantity:
        """Read one quantity; a comma is a decimal comma.

        Raises:
            BadQuantity: with what was expected.
        """
        written = f"{text:g}" if isinstance(text, (int, float)) else text
        match = _SHAPE.match(written)
        if not match:
            raise BadQuantity(f"'{written}' is no quantity; expected a number and a unit, such as '4 min'")
        value = float(match[1].replace(",", "."))
        if not math.isfinite(value):
            raise BadQuantity(f"'{written}' is too large for a quantity")
        return cls(value, canonical_unit(match[2]), written)

    def to(self, unit: str) -> float:
        """The value in another unit.

        Raises:
            BadQuantity: if the units do not fit.
        """
        return convert(self.value, self.unit, unit)

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            cls._validate,
            serialization=core_schema.plain_serializer_function_ser_schema(
                str, return_schema=core_schema.str_schema()
            ),
        )

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "examples": ["132 °C", "4 min"], "description": "A number and its unit."}

    @classmethod
    def _validate(cls, value: Any) -> Quantity:
        if isinstance(value, Quantity):
            return value
        if isinstance(value, str) or (isinstance(value, (int, float)) and not isinstance(value, bool)):
            try:
                return cls.parse(value)
            except BadQuantity as error:
                raise ValueError(error.message) from error
        raise ValueError("expected a number and a unit, such as '4 min'")


class Range(BaseModel):
    """From, to, or both: `{min: 20 °C, max: 45 °C}`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    min: Quantity | None = None
    max: Quantity | None = None

    @model_validator(mode="after")
    def _ends_in_order(self) -> Range:
        if self.min is None and self.max is None:
            raise ValueError("a range needs a min, a max or both")
        if self.min and self.max and self.max.to(self.min.unit) < self.min.value:
            raise ValueError(f"the range runs backwards, from {self.min} to {self.max}")
        return self

    def bounds(self, unit: str) -> tuple[float, float]:
        """Both ends in a unit; an open end is infinite.

        >>> Range(max=Quantity.parse("45 °C")).bounds("°C")
        (-inf, 45.0)
        """
        low = self.min.to(unit) if self.min else float("-inf")
        high = self.max.to(unit) if self.max else float("inf")
        return low, high
