"""What every quantity of a program is held against where it is written, not where it is first used."""

from __future__ import annotations

from sinkside.errors import BadQuantity
from sinkside.quantities import Quantity, Range

#: Beyond one z of the lethal rate a reading bears no dose at all.
WIDEST_TOLERANCE_K = 10.0

#: ISO 2533 standard atmosphere at sea level.
STANDARD_ATMOSPHERE_KPA = 101.325

#: No validated band comes near this; a wider one is a slip of the pen. Our own, no standard's.
WIDEST_BAND_K = 10.0


def check(quantity: Quantity | None, unit: str, name: str, *, any_sign: bool = False) -> None:
    """Refuse a quantity of the wrong kind or sign.

    Raises:
        ValueError: with what was expected.
    """
    if quantity is not None:
        try:
            value = quantity.to(unit)
        except BadQuantity as error:
            raise ValueError(f"{name} is '{quantity}'; expected a quantity such as '1 {unit}'") from error
        if value <= 0 and not any_sign:
            # A time of nothing is met by every cycle.
            raise ValueError(f"{name} is '{quantity}'; expected more than nothing")


def check_vacuum(quantity: Quantity | None, name: str) -> None:
    """Refuse a vacuum that is none: every cycle, and every open door, would reach it.

    Raises:
        ValueError: with what was expected.
    """
    check(quantity, "kPa", name)
    if quantity is not None and quantity.to("kPa") >= STANDARD_ATMOSPHERE_KPA:
        raise ValueError(f"{name} is '{quantity}'; expected an absolute pressure below the atmosphere")


def check_range(span: Range | None, unit: str, name: str) -> None:
    """Refuse a range of the wrong kind.

    Raises:
        ValueError: with what was expected.
    """
    if span is not None:
        check(span.min, unit, f"{name}.min", any_sign=True)
        check(span.max, unit, f"{name}.max", any_sign=True)
