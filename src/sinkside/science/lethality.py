"""How much moist heat did: time at one temperature worth as much as a whole record.

The model has one constant, z: so many kelvin hotter kill ten times as fast. It is a convention that makes
records comparable. It proves neither saturated steam nor the removal of air, and below 120 °C a constant z
underestimates the time that is needed (van Doornmalen and Kopinga 2009, doi
10.1111/j.1365-2672.2009.04290.x, abstract read): no cycle is another's equal because the numbers are.

The rule of integration moves the result by 5 % when samples are far apart, so the result names its rule:

* `trapezoid`: the rate is taken to be straight between samples. Never below `linear-temperature`.
* `linear-temperature`: the temperature is taken to be straight between samples, and integrated exactly.
* `steps`: each average temperature held for its interval, as printed time-temperature tables are summed.

Nothing here rounds.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from sinkside.errors import OutsideValidity
from sinkside.science.validity import FloatArray, Numbers, Outside, Validity, computed

#: F0: minutes at 121.1 °C with z 10 K. 121.0 and 121.11 °C circulate too and differ by up to 2.5 %
#: (common practice; the definition of 1976 says 121 °C or 250 °F, second-hand).
F0_REFERENCE_C: Final = 121.1
F0_Z_K: Final = 10.0

#: A0: seconds at 80 °C with z 10 K, counted from 65 °C (ISO 15883-1, Annex B, second-hand).
A0_REFERENCE_C: Final = 80.0
A0_Z_K: Final = 10.0
A0_FROM_C: Final = 65.0

#: From absolute zero to the critical point; beyond it there is neither water nor steam, only a broken probe.
_MOIST_HEAT: Final = Validity("moist heat temperature", -273.15, 373.946, "°C")

_FLOATING_POINT_SHARE: Final = 1e-9

Rule = Literal["trapezoid", "linear-temperature", "steps"]


@dataclass(frozen=True, slots=True)
class Lethality:
    """A time at the reference temperature, with the reference that it means nothing without.

    Attributes:
        value: The time, unrounded, in `unit`.
        unit: "min" or "s".
        reference_c: Reference temperature in °C.
        z_k: Temperature rise in K that makes the rate tenfold.
        rule: How the time between samples was counted.
        from_c: Lowest temperature in °C that counted, or None where all did.

    >>> f0([0.0, 240.0], [132.0, 132.0]).reaches(49.3)
    False
    """

    value: float
    unit: Literal["min", "s"]
    reference_c: float
    z_k: float
    rule: Rule
    from_c: float | None = None

    @property
    def seconds(self) -> float:
        """The same time in seconds."""
        return self.value * 60.0 if self.unit == "min" else self.value

    def bounds(self, tolerance_k: float) -> tuple[float, float]:
        """Lowest and highest value if every sensor reads up to `tolerance_k` kelvin wrong the same way.

        That is value × 10^(∓tolerance/z). A threshold is not moved with the tolerance.

        Raises:
            ValueError: if the tolerance is negative or no number.

        >>> [round(end, 1) for end in f0([0.0, 240.0], [132.0, 132.0]).bounds(0.5)]
        [43.9, 55.2]
        """
        if not tolerance_k >= 0.0:
            raise ValueError(f"a sensor tolerance is zero or more kelvin, not {tolerance_k:g}")
        factor = math.exp(tolerance_k * math.log(10.0) / self.z_k)
        return self.value / factor, self.value * factor

    def reaches(self, required: float) -> bool:
        """Whether the unrounded value is at least what is required, in the same unit.

        A billionth is forgiven, because 70 °C for 6,000 s must be an A0 of 600 although its floating-point
        sum ends a hair below; nothing that a sensor could tell is.

        >>> a0([0.0, 150.0], [93.0, 93.0]).reaches(3000.0)
        False
        """
        return self.value >= required * (1.0 - _FLOATING_POINT_SHARE)


def lethal_rate(
    temperatures_c: Numbers, *, reference_c: float, z_k: float, outside: Outside = "raise"
) -> Numbers:
    """Seconds at the reference temperature that one second at each temperature is worth.

    Args:
        temperatures_c: Temperatures in °C, one number or an array; up to the critical point of water,
            373.9 °C. NaN in an array is a missing sample and stays NaN.
        reference_c: Reference temperature in °C.
        z_k: Temperature rise in K that makes the rate tenfold; above zero.
        outside: "raise", or "nan" to get NaN for each temperature that no moist heat can have.

    Raises:
        OutsideValidity: if a temperature is outside and `outside` is "raise", or the rate is not finite.
        ValueError: if z is not above zero.

    Source: definition of F and A0, 10^((T - reference)/z); Bigelow's model (1921, from memory).

    >>> round(lethal_rate(131.1, reference_c=121.1, z_k=10.0), 12)
    10.0
    """
    if not z_k > 0.0:
        raise ValueError(f"z is a temperature rise above zero, not {z_k:g} K")
    per_kelvin = math.log(10.0) / z_k

    def model(values: FloatArray) -> FloatArray:
        # exp is ten times quicker than a power of ten with the same digits. An infinite rate would pass
        # every requirement, so it is refused.
        try:
            with np.errstate(over="raise"):
                return np.exp((values - reference_c) * per_kelvin)
        except FloatingPointError as error:
            raise OutsideValidity(
                f"reference {reference_c:g} °C with z {z_k:g} K gives no finite rate", resource="lethality"
            ) from error

    return computed(temperatures_c, model, _MOIST_HEAT, outside)


def equivalent_time(
    times_s: FloatArray | list[float],
    temperatures_c: FloatArray | list[float],
    *,
    reference_c: float,
    z_k: float,
    from_c: float | None = None,
    rule: Literal["trapezoid", "linear-temperature"] = "trapezoid",
) -> Lethality:
    """Time at the reference temperature worth as much as a whole record, in seconds.

    Args:
        times_s: Elapsed times in seconds, shape (n,), n at least 2, never running backwards.
        temperatures_c: Temperatures in °C at these times, shape (n,); for several probes the coldest at
            each moment.
        reference_c: Reference temperature in °C.
        z_k: Temperature rise in K that makes the rate tenfold; above zero.
        from_c: Lowest temperature in °C that counts, itself included. Of an interval that crosses it only
            the part on the hot side counts, cut where a straight line between the two temperatures crosses.
        rule: How the time between samples is counted; see the head of this module.

    Raises:
        OutsideValidity: if a time or temperature is missing, a time runs backwards, or a temperature is one
            that no moist heat can have: such a record has no lethality, and none is made up for it.
        ValueError: if the shapes differ, there are fewer than two samples, or z is not above zero.

    Source: definition of F and A0, the integral of 10^((T - reference)/z) over time.

    >>> result = equivalent_time([0.0, 60.0], [121.1, 121.1], reference_c=121.1, z_k=10.0)
    >>> result.value, result.unit
    (60.0, 's')
    """
    times = np.asarray(times_s, dtype=np.float64)
    temperatures = np.asarray(temperatures_c, dtype=np.float64)
    _refuse_unusable(times, temperatures)
    duration = np.diff(times)
    if from_c is None and rule == "trapezoid":
        rates = lethal_rate(temperatures, reference_c=reference_c, z_k=z_k)
        mean_rate = 0.5 * (rates[:-1] + rates[1:])
        return Lethality(float(np.dot(duration, mean_rate)), "s", reference_c, z_k, rule)
    start, end = temperatures[:-1], temperatures[1:]
    if from_c is not None:
        duration = duration * _share_from(start, end, from_c)
        start, end = np.maximum(start, from_c), np.maximum(end, from_c)
    mean_rate = _MEAN_RATES[rule](start, end, reference_c, z_k)
    return Lethality(float(np.dot(duration, mean_rate)), "s", reference_c, z_k, rule, from_c)


def equivalent_time_of_steps(
    durations_s: FloatArray | list[float],
    temperatures_c: FloatArray | list[float],
    *,
    reference_c: float,
    z_k: float,
) -> Lethality:
    """Time at the reference temperature worth as much as temperatures held one after another, in seconds.

    Args:
        durations_s: How long each temperature held, in seconds, shape (n,).
        temperatures_c: Average temperature in °C of each interval, shape (n,).
        reference_c: Reference temperature in °C.
        z_k: Temperature rise in K that makes the rate tenfold; above zero.

    Raises:
        OutsideValidity: if a duration is missing or negative, or a temperature is missing or one that no
            moist heat can have.
        ValueError: if the shapes differ, or z is not above zero.

    Source: sum of 10^((T - reference)/z) × duration, as printed time-temperature tables are summed.

    >>> result = equivalent_time_of_steps([60.0, 60.0], [121.1, 111.1], reference_c=121.1, z_k=10.0)
    >>> round(result.value, 6)
    66.0
    """
    durations = np.asarray(durations_s, dtype=np.float64)
    temperatures = np.asarray(temperatures_c, dtype=np.float64)
    if durations.shape != temperatures.shape or durations.ndim != 1:
        raise ValueError(f"{durations.shape} durations do not pair with {temperatures.shape} temperatures")
    _refuse_missing("duration", durations)
    _refuse_missing("temperature", temperatures)
    if (durations < 0.0).any():
        raise OutsideValidity("no temperature holds for less than no time", resource="duration")
    rates = lethal_rate(temperatures, reference_c=reference_c, z_k=z_k)
    return Lethality(float(np.dot(durations, rates)), "s", reference_c, z_k, "steps")


def f0(
    times_s: FloatArray | list[float],
    temperatures_c: FloatArray | list[float],
    *,
    reference_c: float = F0_REFERENCE_C,
    z_k: float = F0_Z_K,
    rule: Literal["trapezoid", "linear-temperature"] = "trapezoid",
) -> Lethality:
    """F0 of a whole record, in minutes; arguments and errors as in `equivalent_time`.

    >>> result = f0([0.0, 180.0], [134.0, 134.0])
    >>> round(result.value, 1), result.unit, result.reference_c
    (58.5, 'min', 121.1)
    """
    counted = equivalent_time(times_s, temperatures_c, reference_c=reference_c, z_k=z_k, rule=rule)
    return Lethality(counted.value / 60.0, "min", reference_c, z_k, rule)


def a0(
    times_s: FloatArray | list[float],
    temperatures_c: FloatArray | list[float],
    *,
    from_c: float = A0_FROM_C,
    rule: Literal["trapezoid", "linear-temperature"] = "trapezoid",
) -> Lethality:
    """A0 of a record that ends where drying begins, in seconds; arguments as in `equivalent_time`.

    Only time at 65 °C and above counts. An interval that crosses 65 °C counts with the part on the hot
    side of the crossing, the temperature taken to be straight between its two samples.

    Raises:
        OutsideValidity, ValueError: as in `equivalent_time`.

    >>> round(a0([0.0, 300.0], [90.0, 90.0]).value, 6)
    3000.0
    """
    return equivalent_time(
        times_s, temperatures_c, reference_c=A0_REFERENCE_C, z_k=A0_Z_K, from_c=from_c, rule=rule
    )


def integration_excess(
    times_s: FloatArray | list[float],
    temperatures_c: FloatArray | list[float],
    *,
    reference_c: float,
    z_k: float,
    from_c: float | None = None,
) -> float:
    """By what share the trapezoid exceeds the same record with straight temperatures; 0.05 is 5 %.

    Samples a second apart give next to nothing; a tape with minutes between its lines does not.
    Arguments and errors as in `equivalent_time`; zero where the record has no lethality at all.

    >>> coarse = integration_excess([0.0, 60.0], [111.1, 121.1], reference_c=121.1, z_k=10.0)
    >>> round(coarse, 2)
    0.41
    """
    trapezoid, straight = (
        equivalent_time(
            times_s, temperatures_c, reference_c=reference_c, z_k=z_k, from_c=from_c, rule=rule
        ).value
        for rule in _MEAN_RATES
    )
    return trapezoid / straight - 1.0 if straight > 0.0 else 0.0


def exposure_for(required_s: float, temperature_c: float, *, reference_c: float, z_k: float) -> float:
    """How long a steady temperature needs for a lethality, in seconds.

    It checks the arithmetic of a statement. It never stands for a cycle that nobody validated.

    Args:
        required_s: Required time at the reference temperature, in seconds (an F0 in minutes times 60).
        temperature_c: Steady temperature in °C.
        reference_c: Reference temperature in °C.
        z_k: Temperature rise in K that makes the rate tenfold; above zero.

    Raises:
        OutsideValidity: if the temperature is one that no moist heat can have.
        ValueError: if z is not above zero or the requirement is negative.

    Source: definition of F and A0, solved for the time.

    >>> round(exposure_for(600.0, 90.0, reference_c=80.0, z_k=10.0), 6)
    60.0
    """
    if not required_s >= 0.0:
        raise ValueError(f"a required time is zero or more seconds, not {required_s:g}")
    return required_s / lethal_rate(temperature_c, reference_c=reference_c, z_k=z_k)


def _refuse_unusable(times: FloatArray, temperatures: FloatArray) -> None:
    """Refuse a record that has no integral."""
    if times.shape != temperatures.shape or times.ndim != 1:
        raise ValueError(f"{times.shape} times do not pair with {temperatures.shape} temperatures")
    if times.size <= 1:
        raise ValueError(f"lethality needs at least two samples, not {times.size}")
    _refuse_missing("time", times)
    _refuse_missing("temperature", temperatures)
    steps = np.diff(times)
    if steps.min() < 0.0:
        backwards = np.flatnonzero(steps < 0.0)
        raise OutsideValidity(f"runs backwards after {times[backwards[0]]:g} s", resource="time")


def _refuse_missing(name: str, values: FloatArray) -> None:
    finite = np.isfinite(values)
    if not finite.all():
        missing = np.flatnonzero(~finite)
        raise OutsideValidity(
            f"{missing.size} of {values.size} samples are missing, the first of them sample {missing[0] + 1}",
            resource=name,
        )


def _share_from(start_c: FloatArray, end_c: FloatArray, from_c: float) -> FloatArray:
    """Share of each interval that lies at the threshold or above, the temperature being straight."""
    rise = np.abs(end_c - start_c)
    above = np.abs(np.maximum(end_c, from_c) - np.maximum(start_c, from_c))
    share = (np.minimum(start_c, end_c) >= from_c).astype(np.float64)
    np.divide(above, rise, out=share, where=rise > 0.0)
    return share


def _mean_rate_trapezoid(
    start_c: FloatArray, end_c: FloatArray, reference_c: float, z_k: float
) -> FloatArray:
    """Mean of the rates at both ends."""
    at_start = lethal_rate(start_c, reference_c=reference_c, z_k=z_k)
    return 0.5 * (at_start + lethal_rate(end_c, reference_c=reference_c, z_k=z_k))


def _mean_rate_straight(start_c: FloatArray, end_c: FloatArray, reference_c: float, z_k: float) -> FloatArray:
    """Exact mean of the rate over a straight temperature: the higher rate × (1 − e⁻ˣ)/x."""
    span = np.abs(end_c - start_c) * (math.log(10.0) / z_k)
    ratio = np.ones_like(span)
    np.divide(-np.expm1(-span), span, out=ratio, where=span > 0.0)
    return ratio * lethal_rate(np.maximum(start_c, end_c), reference_c=reference_c, z_k=z_k)


_MEAN_RATES: Final[
    dict[
        Literal["trapezoid", "linear-temperature"],
        Callable[[FloatArray, FloatArray, float, float], FloatArray],
    ]
] = {"trapezoid": _mean_rate_trapezoid, "linear-temperature": _mean_rate_straight}
