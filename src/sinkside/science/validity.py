"""What a published model covers, and what happens to a number that it does not cover."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeVar, cast

import numpy as np
import numpy.typing as npt

from sinkside.errors import OutsideValidity

FloatArray = npt.NDArray[np.float64]

#: One number gives one number, an array gives an array of the same shape.
Numbers = TypeVar("Numbers", float, FloatArray)

#: What to do with a number outside the published range: refuse all, or answer NaN for that number.
Outside = Literal["raise", "nan"]


@dataclass(frozen=True)
class Validity:
    """The closed range in which a model was published; a number without unit has the unit "".

    >>> Validity("pressure", 611.0, 22.064e6, "Pa").refuse_unless_covered(300.0)
    Traceback (most recent call last):
    ...
    sinkside.errors.OutsideValidity: pressure: 300 Pa is outside the published range 611 to 2.2064e+07 Pa
    """

    name: str
    low: float
    high: float
    unit: str

    def refuse_unless_covered(self, value: float) -> None:
        """Refuse one number that is outside, or no number at all.

        Raises:
            OutsideValidity: if the model does not cover the value.
        """
        if not self.low <= value <= self.high:
            unit = f" {self.unit}" if self.unit else ""
            raise OutsideValidity(
                f"{value:g}{unit} is outside the published range {self.low:g} to {self.high:g}{unit}",
                resource=self.name,
            )

    def covered(self, values: FloatArray, outside: Outside) -> FloatArray:
        """The values, each inside the range or NaN.

        A NaN in an array is a missing sample and stays one; a single NaN is no number and is refused.

        Raises:
            OutsideValidity: if a value is outside and `outside` is "raise".
        """
        beyond = (values < self.low) | (values > self.high)
        if outside == "nan":
            return cast("FloatArray", np.where(beyond, np.nan, values))
        if values.ndim == 0:
            self.refuse_unless_covered(float(values))
        elif beyond.any():
            self.refuse_unless_covered(float(values[beyond][0]))
        return values


def computed(
    values: Numbers, model: Callable[[FloatArray], FloatArray], validity: Validity, outside: Outside = "raise"
) -> Numbers:
    """A model applied to one number or to an array, where it is valid."""
    result = model(validity.covered(np.asarray(values, dtype=np.float64), outside))
    return cast("Numbers", result if np.ndim(values) else float(result))


def refuse_unless_positive(**values: float) -> None:
    """Refuse what is zero, negative or no finite number, by name.

    Raises:
        ValueError: with the first such name.

    >>> refuse_unless_positive(bore=0.0)
    Traceback (most recent call last):
    ...
    ValueError: the bore must be a number above zero, not 0
    """
    for name, value in values.items():
        if not 0.0 < value < math.inf:
            raise ValueError(f"the {name.replace('_', ' ')} must be a number above zero, not {value:g}")


def refuse_negative(**values: float) -> None:
    """Refuse what is negative or no finite number, by name.

    Raises:
        ValueError: with the first such name.

    >>> refuse_negative(heat_loss=-1.0)
    Traceback (most recent call last):
    ...
    ValueError: the heat loss must be a number not below zero, not -1
    """
    for name, value in values.items():
        if not 0.0 <= value < math.inf:
            raise ValueError(f"the {name.replace('_', ' ')} must be a number not below zero, not {value:g}")
