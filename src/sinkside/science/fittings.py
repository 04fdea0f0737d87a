"""What an entrance, an exit or a change of bore takes, in velocity heads: Δp = K ρ v²/2.

All are for turbulent flow; in laminar flow they are rough, and beside friction in a long lumen small.
"""

from __future__ import annotations

from typing import Final

from sinkside.science.validity import Validity, refuse_unless_positive

_RATIO: Final = Validity("change of bore, narrow/wide", 0.0, 1.0, "")

#: From a wide vessel into a bore with a sharp edge. Source: Crane TP-410, page A-30 (from memory).
SHARP_ENTRANCE: Final = 0.5
#: From a bore into the open: all of the velocity is lost. Source: Crane TP-410, page A-30 (from memory).
EXIT: Final = 1.0


def sudden_expansion_borda_carnot(*, narrow_m: float, wide_m: float) -> float:
    """Loss where a narrow bore opens into a wide one, in velocity heads of the narrow one; exact by momentum.

    Raises:
        OutsideValidity: if the narrow bore is the wider.
        ValueError: if a bore is not above zero.

    Source: Borda-Carnot, K = (1 − (d/D)²)²; Crane TP-410, page A-26.

    >>> round(sudden_expansion_borda_carnot(narrow_m=2e-3, wide_m=4e-3), 4)
    0.5625
    """
    ratio = _ratio(narrow_m, wide_m)
    return (1.0 - ratio**2) ** 2


def sudden_contraction_crane(*, narrow_m: float, wide_m: float) -> float:
    """Loss where a wide bore narrows at a sharp edge, in velocity heads of the narrow one.

    Raises:
        OutsideValidity: if the narrow bore is the wider.
        ValueError: if a bore is not above zero.

    Source: Crane TP-410, page A-26, K = 0.5 (1 − (d/D)²).

    >>> round(sudden_contraction_crane(narrow_m=2e-3, wide_m=4e-3), 4)
    0.375
    """
    ratio = _ratio(narrow_m, wide_m)
    return 0.5 * (1.0 - ratio**2)


def _ratio(narrow_m: float, wide_m: float) -> float:
    refuse_unless_positive(narrow_bore=narrow_m, wide_bore=wide_m)
    ratio = narrow_m / wide_m
    _RATIO.refuse_unless_covered(ratio)
    return ratio
