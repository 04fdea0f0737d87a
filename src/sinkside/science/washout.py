"""How much of what was in a lumen is still there after so much has been pushed through it."""

from __future__ import annotations

from sinkside.science.validity import refuse_negative

#: In laminar flow nothing fresh has come out before half of the volume has gone through.
_FIRST_FRESH = 0.5


def old_share_leaving_laminar(exchanges: float) -> float:
    """Share of what leaves a round bore in laminar flow that was in it before; nothing diffuses.

    Args:
        exchanges: How often its volume has been pushed through; zero or more.

    Raises:
        ValueError: if it is below zero.

    Valid for developed laminar flow in a round bore without diffusion, which would only help.
    Source: residence times of laminar flow, 1 − F(θ) = 1/(4 θ²) from θ = 1/2; P. V. Danckwerts, Chem. Eng.
    Sci. 2 (1953) 1; O. Levenspiel, Chemical Reaction Engineering, ch. 15 (from memory).

    >>> [round(old_share_leaving_laminar(n), 4) for n in (0.4, 1.0, 5.0)]
    [1.0, 0.25, 0.01]
    """
    refuse_negative(exchanges=exchanges)
    return 1.0 if exchanges <= _FIRST_FRESH else 1.0 / (4.0 * exchanges**2)


def old_share_left_laminar(exchanges: float) -> float:
    """Share of a round bore's volume that still holds what was in it before, in laminar flow.

    It is what has not left yet: the whole less the integral of what left.

    Raises:
        ValueError: if the exchanges are below zero.

    Source: as `old_share_leaving_laminar`, integrated.

    >>> [round(old_share_left_laminar(n), 4) for n in (0.0, 0.5, 1.0, 5.0)]
    [1.0, 0.5, 0.25, 0.05]
    """
    refuse_negative(exchanges=exchanges)
    return 1.0 - exchanges if exchanges <= _FIRST_FRESH else 1.0 / (4.0 * exchanges)


def exchanges_wanted_laminar(old_share: float) -> float:
    """How often a bore's volume must go through until only so much of it holds what was there before.

    Raises:
        ValueError: if the share is not between 0 and 1.

    Source: as `old_share_left_laminar`, solved.

    >>> exchanges_wanted_laminar(0.01)
    25.0
    """
    if not 0.0 < old_share <= 1.0:
        raise ValueError(f"the share that is left must lie between 0 and 1, not {old_share:g}")
    return 1.0 - old_share if old_share >= _FIRST_FRESH else 1.0 / (4.0 * old_share)
