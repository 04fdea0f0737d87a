"""What the head of a column says: quantity, unit, absolute or gauge, and where it is measured."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sinkside.cycles.reading.options import PressureReference
from sinkside.cycles.trace import ChannelKind, Role

HeadKind = Literal["temperature", "pressure", "volume", "time", "other"]

_UNITS: dict[str, tuple[HeadKind, str]] = {
    **dict.fromkeys(
        ("°c", "c", "degc", "deg.c", "celsius", "°celsius", "gradc", "c°"), ("temperature", "°C")
    ),
    **dict.fromkeys(("°f", "f", "degf", "deg.f", "fahrenheit", "°fahrenheit", "f°"), ("temperature", "°F")),
    **dict.fromkeys(("k", "kelvin"), ("temperature", "K")),
    **dict.fromkeys(("kpa", "kpaa", "kpag", "kilopascal"), ("pressure", "kPa")),
    **dict.fromkeys(("mbar", "mbara", "mbarg", "hpa", "hpaa", "millibar"), ("pressure", "mbar")),
    **dict.fromkeys(("bar", "bara", "barg", "bars"), ("pressure", "bar")),
    **dict.fromkeys(("psi", "psia", "psig"), ("pressure", "psi")),
    **dict.fromkeys(("mpa", "mpaa", "mpag"), ("pressure", "MPa")),
    "pa": ("pressure", "Pa"),
    **dict.fromkeys(("mmhg", "torr"), ("pressure", "mmHg")),
    "inhg": ("pressure", "inHg"),
    "atm": ("pressure", "atm"),
    **dict.fromkeys(("kg/cm2", "kgf/cm2", "at"), ("pressure", "kgf/cm**2")),
    **dict.fromkeys(("ml", "cc", "millilitre", "milliliter"), ("volume", "mL")),
    **dict.fromkeys(("l", "litre", "liter"), ("volume", "L")),
    **dict.fromkeys(("ms", "msec"), ("time", "ms")),
    **dict.fromkeys(("s", "sec", "secs", "sek", "second", "seconds", "sekunden", "segundos"), ("time", "s")),
    **dict.fromkeys(("min", "mins", "minute", "minutes", "minuten", "minutos"), ("time", "min")),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours", "std", "stunden"), ("time", "h")),
    **dict.fromkeys(("mm:ss", "m:ss", "mmm:ss"), ("time", "mm:ss")),
    **dict.fromkeys(("hh:mm", "h:mm"), ("time", "hh:mm")),
    **dict.fromkeys(("hh:mm:ss", "h:mm:ss"), ("time", "hh:mm:ss")),
}


def _words(*words: str, anywhere: tuple[str, ...] = ()) -> re.Pattern[str]:
    """A pattern of whole words, and of pieces that may stand anywhere in a word."""
    whole = rf"(?<![^\W_])(?:{'|'.join(words)})(?![^\W_])" if words else ""
    return re.compile("|".join(part for part in (whole, *anywhere) if part))


_ABSOLUTE = _words(
    r"abs(?:ol\w*)?",
    r"assol\w*",
    "psia",
    "bara",
    "mbara",
    "kpaa",
    "hpaa",
    "mpaa",
    "bar a",
    anywhere=(r"\(a\)",),
)
_GAUGE = _words(
    "gau?ge", r"rel(?:ati\w*)?", r"manom\w*", "überdruck", "ueberdruck", "psig", "barg", "mbarg",
    "kpag", "mpag", "bar g", anywhere=(r"\(g\)",),
)  # fmt: skip
_REFERENCE_TOKENS = re.compile(r"^(abs\w*|assol\w*|gau?ge|rel\w*|manom\w*|a|g)\.?$")

# A dot stands for letters that differ by keyboard.
_TEMPERATURE_WORDS = _words(
    r"tc?\d*",
    anywhere=(
        r"temp(?!s\b|o\b)",
        "thermo",
        "f(?:ü|ue)hler",
        "sond[ea]",
        "h.m",
        "s.cak",
        "teplot",
        "l.mp.",
        "pt ?100",
    ),
)
_PRESSURE_WORDS = _words(
    r"p\d*",
    anywhere=("press", "druck", "presi.n", "ci.n", "tlak", "try[ck]k", "paine", "nyom", "bas.n", "va[ck]uum"),
)
_TIME_WORDS = _words(
    "time", "zeit", "uhrzeit", "temps", "tiempo", "tempo", "hora", "heure", "ora", "elapsed", "czas", "tid",
    "tijd", "aika", "[cč]as", "id.", "zaman", "timestamp", "date", "datum", "fecha", "data", "stamp",
    "clock", "t", "время", "durée", "dauer", anywhere=("時間", "时间", "時刻", r"zeit$"),
)  # fmt: skip
_ELSEWHERE = _words(
    "set", "soll", "sp", "target", "door", "tür",
    anywhere=(
        "jacket", "mantel", "chemise", "camisa", "camicia", "enveloppe", "generator", "erzeuger", "ambient",
        "room", "raumtemp", "umgebung", "set.?point", "sollw", "consigne",
    ),
)  # fmt: skip
_CHAMBER = _words(
    anywhere=(
        "chamber", "kammer", "chambre", "c.mara", "camera", "komora", "drain", "ablauf", "abfluss", "load",
        "belad", "charge", "probe", "fühler", "water", "wasser",
    ),
)  # fmt: skip
_BESIDE = _words(
    "air", "luft", "aire", "aria",
    anywhere=("spray", "sprüh", "pump", "conden", "kondens", "boiler", "heat", "heiz", "tank"),
)  # fmt: skip
_WATER = _words("water", "wasser", "eau", "agua", "acqua")

_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_PARTS = re.compile(r"[\s_,;/\[\]()]+")


@dataclass(frozen=True)
class Head:
    """What the head of one column says; None for what it does not say."""

    name: str
    kind: HeadKind
    unit: str | None
    reference: PressureReference | None = None
    role: Role = Role.chamber

    @property
    def channel_kind(self) -> ChannelKind:
        """The kind of channel that the column is, once it is not the time."""
        return ChannelKind.other if self.kind == "time" else ChannelKind(self.kind)

    @property
    def names_time(self) -> bool:
        """Whether the head calls its column a time."""
        return self.kind == "time"


@functools.lru_cache(maxsize=512)
def read_head(name: str) -> Head:
    """What a head says.

    >>> head = read_head("T Kammer [°C]")
    >>> head.kind, head.unit, head.role.value
    ('temperature', '°C', 'chamber')
    >>> head = read_head("Pressure (psia)")
    >>> head.unit, head.reference
    ('psi', 'absolute')
    >>> read_head("second_probe_C").kind, read_head("Druck").unit is None
    ('temperature', True)
    """
    text = _normalised(name)
    kind, unit = _unit_in(text) or (None, None)
    if kind is None:
        kind = _kind_by_words(text)
    elif kind == "time" and not _TIME_WORDS.search(text) and _BRACKETS.sub("", text).strip():
        # "F0 (min)" has a unit of time and is no time.
        kind = "time" if unit == text.strip() else "other"
    return Head(name.strip(), kind, unit, _reference_in(text), _role_of(text, kind))


def is_unit_row(cells: Sequence[str]) -> bool:
    """Whether every filled cell is a unit, and some are of temperature or pressure.

    >>> is_unit_row(["s", "°C", "[mbar]"]), is_unit_row(["Time", "T1"])
    (True, False)
    """
    units = [_unit_in(f"[{_normalised(cell).strip(' []()')}]") for cell in cells if cell.strip(" -")]
    return all(units) and any(unit and unit[0] in {"temperature", "pressure"} for unit in units)


def _normalised(name: str) -> str:
    """Lower case, one sign for the degree, and no traces of a wrong decoding."""
    text = unicodedata.normalize("NFKC", name.replace("º", "°").replace("˚", "°").replace("Â", ""))
    text = re.sub(r"deg(rees?)?[ ._]+(?=[cf]\b)|grad +(?=[cf]\b)|°\s+(?=[cf]\b)", "°", text.lower())
    return text.replace("cm²", "cm2").replace("cm^2", "cm2")


def _unit_in(text: str) -> tuple[HeadKind, str] | None:
    """The unit in brackets, else the last word that can be one."""
    for inside in reversed(_BRACKETS.findall(text)):
        for token in (inside.strip(), *reversed(_PARTS.split(inside))):
            if token in _UNITS:
                return _UNITS[token]
    if "kg/cm2" in text or "kgf/cm2" in text:
        return _UNITS["kg/cm2"]
    tokens = [token.strip(".") for token in _PARTS.split(text) if token.strip(".")]
    while tokens and _REFERENCE_TOKENS.match(tokens[-1]):
        tokens.pop()
    if not tokens:
        return None
    glued = re.search(r"°[cf]$", tokens[-1])
    return _UNITS[glued[0]] if glued else _UNITS.get(tokens[-1])


def _kind_by_words(text: str) -> HeadKind:
    if _TIME_WORDS.search(text) and not re.search(r"temp(er|[. _]|$)", text):
        return "time"
    if _PRESSURE_WORDS.search(text):
        return "pressure"
    return "temperature" if _TEMPERATURE_WORDS.search(text) else "other"


def _reference_in(text: str) -> PressureReference | None:
    if _ABSOLUTE.search(text):
        return "absolute"
    return "gauge" if _GAUGE.search(text) else None


def _role_of(text: str, kind: HeadKind) -> Role:
    if kind == "volume":
        return Role.elsewhere if _WATER.search(text) else Role.dosing
    if _ELSEWHERE.search(text):
        return Role.elsewhere
    return Role.elsewhere if _BESIDE.search(text) and not _CHAMBER.search(text) else Role.chamber
