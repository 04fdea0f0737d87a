"""Biological and integrating indicators: how long they survive, when they are dead.

The D-value is the time at one temperature in which nine of ten spores die; the model is that the logarithm of
the survivors falls in a straight line over time.
"""

from __future__ import annotations

import math

from sinkside.science.validity import refuse_unless_positive

#: Decades by which survival and kill times are off the population's own (ISO 11138-3, second-hand).
_SURVIVAL_DECADES = 2.0
_KILL_DECADES = 4.0

#: A sterile device has a probability of one in a million to bear a living germ (EN 556-1, from memory).
_ASSURANCE_DECADES = 6.0


def survival_time(population: float, d_value: float) -> float:
    """The longest time at which all indicators of a population must still grow, in the unit of D.

    Args:
        population: Spores on each indicator, more than 100.
        d_value: Time for one decade, in any unit.

    Raises:
        ValueError: if the population is 100 or less, or D is not above zero.

    Source: (lg N0 - 2)·D, as ISO 11138-3 is quoted; printed in places as lg(N0 - 2), a misplaced bracket.

    >>> survival_time(1e6, 1.5)
    6.0
    """
    decades = _decades(population, d_value) - _SURVIVAL_DECADES
    if decades <= 0.0:
        raise ValueError(f"a population of {population:g} has no survival time; expected more than 100")
    return decades * d_value


def kill_time(population: float, d_value: float) -> float:
    """The shortest time at which no indicator of a population may grow any more, in the unit of D.

    Raises:
        ValueError: if the population is not above one, or D is not above zero.

    Source: (lg N0 + 4)·D, as ISO 11138-3 is quoted.

    >>> kill_time(1e6, 1.5)
    15.0
    """
    return (_decades(population, d_value) + _KILL_DECADES) * d_value


def integrating_time(population: float, d_value: float) -> float:
    """The stated value that an integrating indicator must have at least: down to one in a million.

    Raises:
        ValueError: if the population is not above one, or D is not above zero.

    Source: (lg P + 6)·D, ISO 11140-1 (second-hand).

    >>> round(integrating_time(1e5, 1.5), 6)
    16.5
    """
    return (_decades(population, d_value) + _ASSURANCE_DECADES) * d_value


def log_reduction(equivalent: float, d_value: float) -> float:
    """By how many decades a time at the reference temperature reduces spores; both in one unit.

    Raises:
        ValueError: if the time is negative, or D is not above zero.

    Source: definition of the D-value.

    >>> log_reduction(18.0, 1.5)
    12.0
    """
    refuse_unless_positive(d_value=d_value)
    if not equivalent >= 0.0:
        raise ValueError(f"a time at the reference is zero or more, not {equivalent:g}")
    return equivalent / d_value


def _decades(population: float, d_value: float) -> float:
    refuse_unless_positive(d_value=d_value)
    if not population > 1.0:
        raise ValueError(f"a population is more than one, not {population:g}")
    return math.log10(population)
