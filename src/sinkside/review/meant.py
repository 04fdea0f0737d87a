"""What was probably meant, where one slip explains a figure."""

from __future__ import annotations

from sinkside.limits import recognised_steam_temperature
from sinkside.quantities import Figure, convert


def recognised_instead(stated: Figure) -> str:
    """Recognised temperatures that a swap of two digits or of the unit would make of a stated one."""
    digits = f"{stated.number():g}"
    other = {"°C": "°F", "°F": "°C"}.get(stated.unit, stated.unit)
    swapped = [digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)]
    candidates = [(digits, other)] + [(text, stated.unit) for text in swapped if "." not in text]
    return " or ".join(
        dict.fromkeys(
            f"{text} {unit}"
            for text, unit in candidates
            if recognised_steam_temperature(convert(float(text), unit, "°C"))
        )
    )
