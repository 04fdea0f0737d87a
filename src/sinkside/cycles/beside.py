"""Channels beside temperature and pressure: what they measure, and their values in one unit."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Final

from sinkside.cycles.trace import Channel, Role, Trace
from sinkside.errors import BadQuantity
from sinkside.quantities.quantity import convert
from sinkside.quantities.units import canonical_unit
from sinkside.science.validity import FloatArray


class Beside(StrEnum):
    """What else a recorder may have written, by the unit that it is looked at in."""

    humidity = "humidity"
    concentration = "concentration"
    power = "power"
    frequency = "frequency"
    level = "level"
    spray_arm = "speed"
    pump_pressure = "pump-pressure"
    ports = "ports"
    conductivity = "conductivity"


_UNITS: Final = {
    Beside.humidity: "%",
    Beside.concentration: "mg/L",
    Beside.power: "W",
    Beside.frequency: "kHz",
    Beside.spray_arm: "1/min",
    Beside.pump_pressure: "kPa",
    Beside.conductivity: "µS/cm",
}
_WORDS: Final = {
    Beside.humidity: r"humid|feuchte|humedad|umidit|\brh\b|\brf\b|\bhr\b",
    Beside.concentration: r"conc|konz|\beo\b|h2o2|peroxid|formald|ozon",
    Beside.power: r"power|leistung|puissance|potencia|potenza|\bw(att)?\b",
    Beside.frequency: r"freq|fréq|\bk?hz\b",
    Beside.level: r"level|\bfill|füll|niveau|nivel|livello",
    Beside.spray_arm: r"(spray|sprüh|arm|bra[sz]|bracci).*(/min|speed|dreh|rota|giri)|\brpm\b",
    Beside.pump_pressure: r"pump|umwälz|spray.?pressure|sprühdruck|circulation pressure",
    Beside.ports: r"\bports?\b|connect|anschl|raccord|conexi",
    Beside.conductivity: r"conduct|leitf|leitw|[µμu]s/cm",
}
_PATTERNS: Final = {what: re.compile(words, re.IGNORECASE) for what, words in _WORDS.items()}
_IN_BRACKETS: Final = re.compile(r"[\[(]([^\])]+)[\])]")
_PA_PER_KPA: Final = 1000.0


def beside(trace: Trace, what: Beside) -> tuple[Channel, ...]:
    """The channels that measure something else, in the order of the file; none that is a chamber's probe.

    >>> import numpy as np
    >>> from sinkside.cycles.trace import ChannelKind
    >>> power = Channel("Power (W)", ChannelKind.other, Role.chamber, "", np.array([0.0, 300.0]))
    >>> [one.name for one in beside(Trace("a", np.array([0.0, 1.0]), (power,)), Beside.power)]
    ['Power (W)']
    """
    return tuple(channel for channel in trace.channels if _measures(channel, what))


def unit_of(what: Beside) -> str | None:
    """The unit that the quantity is looked at in; None where it is looked at as recorded."""
    return _UNITS.get(what)


def values_of(channel: Channel, what: Beside) -> FloatArray | None:
    """Its values in the unit that the quantity is looked at in; None if the record's unit is another.

    Shape (n,): %, mg/L, W, kHz, per minute, kPa above the atmosphere, µS/cm; levels and ports as recorded.
    """
    if what is Beside.pump_pressure and channel.kind.value == "pressure":
        return channel.values / _PA_PER_KPA
    wanted = _UNITS.get(what)
    if wanted is None or channel.kind.value == what.value:
        return channel.values
    factor = _factor(_unit_text(channel), wanted)
    return None if factor is None else channel.values * factor


def _measures(channel: Channel, what: Beside) -> bool:
    if channel.kind.value == what.value:
        return True
    is_pump = what is Beside.pump_pressure and channel.kind.value == "pressure"
    apart = is_pump and channel.role is Role.elsewhere
    if not apart and channel.kind.value not in {"other", "volume"}:
        return False
    return bool(_PATTERNS[what].search(channel.name.replace("_", " ")))


def _unit_text(channel: Channel) -> str:
    """The unit as the head has it: in brackets, else its last word."""
    inside = _IN_BRACKETS.findall(channel.name)
    return inside[-1] if inside else channel.name.replace("_", " ").split()[-1]


def _factor(written: str, wanted: str) -> float | None:
    """From a recorded unit to the wanted one; a head without any unit is taken at its word."""
    text = written.strip().replace("RH", "").replace("r.F.", "").replace("U/min", "1/min").strip() or wanted
    if text == "kW":
        return 1000.0
    try:
        return convert(1.0, canonical_unit(text), wanted)
    except BadQuantity:
        return None
