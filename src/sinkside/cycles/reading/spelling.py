"""How recorders spell units, and whether a spelling says absolute or gauge."""

from __future__ import annotations

import functools
import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

HeadKind = Literal[
    "temperature", "pressure", "volume", "time", "conductivity", "flow", "speed", "concentration",
    "humidity", "lethality", "count", "other",
]  # fmt: skip


PressureReference = Literal["absolute", "gauge"]

#: The units of a vacuum on a compound gauge, which shows overpressure in another.
VacuumUnit = Literal["inHg", "mmHg", "cmHg"]

#: The order in which a date's numbers stand.
DateOrder = Literal["day-month-year", "month-day-year", "year-month-day"]


@dataclass(frozen=True)
class UnitSaid:
    """A unit as a head or a cell says it; `vacuum_unit` is that of a compound gauge below zero."""

    kind: HeadKind
    unit: str
    reference: PressureReference | None = None
    vacuum_unit: VacuumUnit | None = None


_SPELLINGS: dict[tuple[HeadKind, str], tuple[str, ...]] = {
    ("temperature", "°C"): ("°c", "c", "degc", "deg.c", "celsius", "°celsius", "gradc", "c°", "oc", "°"),
    ("temperature", "°F"): ("°f", "f", "degf", "deg.f", "fahrenheit", "°fahrenheit", "f°"),
    ("temperature", "K"): ("k", "kelvin", "°k", "degk"),
    ("volume", "mL"): ("ml", "cc", "millilitre", "milliliter", "cm3"),
    ("volume", "L"): ("l", "litre", "liter", "ltr", "litres", "liters"),
    ("time", "ms"): ("ms", "msec"),
    ("time", "s"): ("s", "sec", "secs", "sek", "second", "seconds", "sekunden", "segundos", "secondes",
                    "secondi", "seconden", "sekunder", "sekundy"),
    ("time", "min"): ("min", "mins", "minute", "minutes", "minuten", "minutos", "minuti", "minuty",
                      "minuter"),
    ("time", "h"): ("h", "hr", "hrs", "hour", "hours", "std", "stunden", "heures", "horas", "ore", "uur"),
    ("time", "mm:ss"): ("mm:ss", "m:ss", "mmm:ss", "min:s", "min:sec"),
    ("time", "hh:mm"): ("hh:mm", "h:mm"),
    ("time", "hh:mm:ss"): ("hh:mm:ss", "h:mm:ss"),
    ("conductivity", "µS/cm"): ("µs/cm", "us/cm", "µs", "microsiemens/cm"),
    ("conductivity", "mS/cm"): ("ms/cm",),
    ("flow", "L/min"): ("l/min", "lpm", "l/m", "ltr/min"),
    ("flow", "L/h"): ("l/h",),
    ("flow", "gal/min"): ("gpm", "gal/min"),
    ("flow", "m3/h"): ("m3/h", "m³/h"),
    ("speed", "1/min"): ("rpm", "1/min", "u/min", "min-1", "/min", "tr/min", "giri/min", "obr/min",
                         "r/min", "v/min", "omw/min"),
    ("concentration", "mg/L"): ("mg/l", "ppm"),
    ("concentration", "g/m3"): ("g/m3", "g/m³"),
    ("humidity", "%"): ("%rh", "%r.h.", "%rf", "%hr", "%ur", "%rv", "%"),
}  # fmt: skip

_UNITS: dict[str, UnitSaid] = {
    spelling: UnitSaid(kind, unit) for (kind, unit), spellings in _SPELLINGS.items() for spelling in spellings
}

_PRESSURES = {
    "pa": "Pa", "pascal": "Pa", "hpa": "mbar", "kpa": "kPa", "kilopascal": "kPa", "mpa": "MPa",
    "megapascal": "MPa", "mbar": "mbar", "millibar": "mbar", "mb": "mbar", "bar": "bar", "bars": "bar",
    "psi": "psi", "lb/in2": "psi", "lbf/in2": "psi", "mmhg": "mmHg", "torr": "mmHg", "inhg": "inHg",
    "cmhg": "cmHg",
    "кпа": "kPa", "мпа": "MPa", "\u0431\u0430\u0440": "bar", "мбар": "mbar", "па": "Pa",
    "atm": "atm", "at": "kgf/cm**2", "kg/cm2": "kgf/cm**2", "kgf/cm2": "kgf/cm**2", "kp/cm2": "kgf/cm**2",
}  # fmt: skip
_SUFFIXES: dict[str, PressureReference] = {
    **dict.fromkeys(("a", "abs", "absolute", "absolut", "absolu", "absoluta", "assoluta"), "absolute"),
    **dict.fromkeys(
        ("g", "gauge", "gage", "rel", "relativ", "relative", "relativa", "r", "ü", "ue", "ö", "e"), "gauge"
    ),
}
_PRESSURE = re.compile(
    rf"^({'|'.join(sorted(map(re.escape, _PRESSURES), key=len, reverse=True))})"
    rf"({'|'.join(sorted(_SUFFIXES, key=len, reverse=True))})?$"
)
_VACUUM_UNITS: dict[str, VacuumUnit] = {
    "inhg": "inHg", "mmhg": "mmHg", "torr": "mmHg", "cmhg": "cmHg",
}  # fmt: skip
_SOME_PRESSURE = re.compile(
    rf"(?<![^\W\d_])({'|'.join(sorted(map(re.escape, _PRESSURES), key=len, reverse=True))})(?![^\W\d_]{{2}})"
)
_SAYS_ABSOLUTE = re.compile(r"(?<![^\W_])(?:abs\w*|\w*(?:psi|bar|kpa)a)(?![^\W_])|\(a\)")
_MARKS_BETWEEN = re.compile(r"[ ,._\-()\[\]]")

#: A degree sign after a wrong decoding: any mark that is neither a letter of a word nor punctuation.
_SOME_DEGREE = re.compile(r"[ø¡�*ºş˚°]\s?(?=[cfk](?![^\W\d_]))")
_DEGREE_WORD = re.compile(r"deg(?:rees?)?[ ._]*(?=[cf]\b)|grad[ ._]+(?=[cf]\b)")


def normalised(name: str) -> str:
    """Lower case, one sign for the degree, and no traces of a wrong decoding.

    >>> normalised("Temp (Deg C)"), normalised("Druck [kg/cm²]"), normalised("T1 øC")
    ('temp (°c)', 'druck [kg/cm2]', 't1 °c')
    """
    text = unicodedata.normalize("NFKC", name.replace("º", "°").replace("˚", "°").replace("Â", ""))
    text = _SOME_DEGREE.sub("°", text.lower().replace("μ", "µ"))
    text = _DEGREE_WORD.sub("°", text)
    text = re.sub(r"(?:in(?:ch)?(?:es)?\.?[ ]?|\")hg", "inhg", text)
    text = text.replace("mm hg", "mmhg").replace("cm hg", "cmhg")
    return text.replace("^2", "2").replace("^3", "3").replace("r. h.", "rh").replace("% r", "%r")


def unit_of(text: str) -> UnitSaid | None:
    """The unit that a text is, normalised and nothing else; None if it is none.

    >>> unit_of("bar(g)").reference, unit_of("°c").unit, unit_of("mbar abs").reference, unit_of("chamber")
    ('gauge', '°C', 'absolute', None)
    """
    known = _UNITS.get(text) or _UNITS.get(text.strip(" .[](){}")) or compound_in(text)
    if known:
        return known
    pressure = _PRESSURE.match(_MARKS_BETWEEN.sub("", text))
    if pressure is None:
        return None
    reference = _SUFFIXES[pressure[2]] if pressure[2] else None
    return UnitSaid("pressure", _PRESSURES[pressure[1]], reference)


def compound_in(text: str) -> UnitSaid | None:
    """The units of a compound gauge, overpressure in one and vacuum in another, out of a normalised text.

    >>> compound_in("chamber inhg vac / psig").unit, compound_in("pressure [psig/inhg]").vacuum_unit
    ('psi', 'inHg')
    >>> compound_in("pressure psig") is None, compound_in("p abs psi (inhg)") is None
    (True, True)
    """
    if "hg" not in text and "torr" not in text:
        return None
    found = dict.fromkeys(_SOME_PRESSURE.findall(text))
    below = [_VACUUM_UNITS[unit] for unit in found if unit in _VACUUM_UNITS]
    above = [unit for unit in found if unit not in _VACUUM_UNITS]
    if len(below) != 1 or len(above) != 1 or _SAYS_ABSOLUTE.search(text):
        return None
    return UnitSaid("pressure", _PRESSURES[above[0]], "gauge", below[0])


@functools.lru_cache(maxsize=512)
def unit_written(text: str) -> UnitSaid | None:
    """The unit that a text is, as it was written; None if it is none.

    >>> unit_written(" °C ").unit, unit_written("chamber") is None
    ('°C', True)
    """
    return unit_of(normalised(text).strip())
