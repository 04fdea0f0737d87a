"""What the head of a column says: quantity, unit, absolute or gauge, and where it is measured."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from sinkside.cycles.reading import vocabulary
from sinkside.cycles.reading.spelling import (
    HeadKind,
    PressureReference,
    UnitSaid,
    VacuumUnit,
    compound_in,
    normalised,
    unit_of,
)
from sinkside.cycles.trace import ChannelKind, Place, Role

_BRACKETS = re.compile(r"[\[({<]([^\[\](){}<>]*(?:\([^()]*\)[^\[\](){}<>]*)?)[\])}>]")
_PARTS = re.compile(r"[\s_,;/\[\]()]+")
_REFERENCE_TOKENS = re.compile(
    r"^(abs\w*|assol\w*|bezwzgl\w*|gau?ge|rel\w*|wzgl\w*|manom\w*|.berdruck|overdruk|a|g|ü)$"
)
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")
_UNIT_WITH_A_HUMP = re.compile(r"[kK]Pa|hPa|MPa|mL|mS(?=/)|inHg|mmHg|[µμ]S")
_GLUED = re.compile(r"^[^\W\d_]{2,}?(kpa|hpa|mpa|mbar|psi|bar|mmhg|inhg|torr|degc|degf)(a|g|abs)?$")
_DEGREE = re.compile(r"°[cfk](?![^\W_])")

#: One of these as the last word is a unit only if the words before do not speak of something else.
_WORDS: tuple[tuple[HeadKind, re.Pattern[str]], ...] = (
    ("lethality", vocabulary.LETHALITY),
    ("conductivity", vocabulary.CONDUCTIVITY),
    ("concentration", vocabulary.CONCENTRATION),
    ("humidity", vocabulary.HUMIDITY),
    ("pressure", vocabulary.PRESSURE),
    ("temperature", vocabulary.TEMPERATURE),
    ("flow", vocabulary.FLOW),
    ("speed", vocabulary.SPEED),
    ("count", vocabulary.COUNTED),
)
_CHANNEL_KINDS: dict[HeadKind, ChannelKind] = {"time": ChannelKind.other, "count": ChannelKind.counted}


@dataclass(frozen=True)
class Head:
    """What the head of one column says; None for what it does not say."""

    name: str
    kind: HeadKind
    unit: str | None
    reference: PressureReference | None = None
    role: Role = Role.chamber
    place: Place = Place.unsaid
    vacuum_unit: VacuumUnit | None = None

    @property
    def channel_kind(self) -> ChannelKind:
        """The kind of channel that the column is, once it is not the time."""
        return _CHANNEL_KINDS.get(self.kind) or ChannelKind(self.kind)

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
    >>> read_head("chamberPressureKPaAbs").unit, read_head("F0 (min)").kind, read_head("T min").unit is None
    ('kPa', 'lethality', True)
    """
    text = normalised(_HUMP.sub(" ", _UNIT_WITH_A_HUMP.sub(lambda unit: f" {unit[0].lower()}", name)))
    worded = _kind_by_words(text)
    if name.strip() == "T":
        worded = "temperature"
    said = _unit_in(text, worded)
    kind: HeadKind = worded
    if said is not None:
        kind = _settled(said, worded, text)
    counted = kind == "lethality" and said is not None and said.kind == "time"
    unit = said.unit if said is not None and (said.kind == kind or counted) else None
    place = vocabulary.place_in(text)
    reference = (said.reference if said else None) or _reference_in(text)
    vacuum = said.vacuum_unit if said is not None and unit is not None else None
    return Head(name.strip(), kind, unit, reference, _role_of(text, kind, place), place, vacuum)


def is_unit_row(cells: Sequence[str]) -> bool:
    """Whether every filled cell is a unit, and some are of temperature or pressure.

    >>> is_unit_row(["s", "°C", "[mbar]"]), is_unit_row(["Time", "T1"])
    (True, False)
    """
    filled = [normalised(cell).strip(" []()") for cell in cells if cell.strip(" -")]
    units = [unit_of(cell) or (unit_of(f"{cell})") if "(" in cell else None) for cell in filled]
    return all(units) and any(unit and unit.kind in {"temperature", "pressure"} for unit in units)


def _settled(said: UnitSaid, worded: HeadKind, text: str) -> HeadKind:
    """What a unit and the words beside it come to."""
    if said.kind == "time" and worded != "time":
        # "F0 (min)" has a unit of time and is no time; "[s]" alone is one.
        return worded if worded != "other" or unit_of(text.strip()) is None else "time"
    if worded == "lethality" or (worded == "concentration" and said.kind == "humidity"):
        return worded
    return said.kind


def _unit_in(text: str, worded: HeadKind) -> UnitSaid | None:
    """Both units of a compound gauge; else that in brackets, after a slash, or the last word that is one."""
    compound = compound_in(text)
    if compound is not None:
        return compound
    for inside in reversed(_BRACKETS.findall(text)):
        for token in (inside.strip(), *reversed(_PARTS.split(inside))):
            said = unit_of(token) if token else None
            if said is not None:
                return said
    bare = _BRACKETS.sub(" ", text)
    for after in (bare.rpartition("/")[2], bare.partition("/")[2], bare.rpartition(" in ")[2]):
        said = unit_of(after.strip()) if after != bare else None
        if said is not None:
            return said
    return _last_word(bare, worded)


def _last_word(text: str, worded: HeadKind) -> UnitSaid | None:
    whole = unit_of(text.rsplit(maxsplit=1)[-1]) if text.split() else None
    if whole is not None and "/" in whole.unit:
        return whole
    tokens = [token.strip(".:-") for token in _PARTS.split(text) if token.strip(".:-")]
    while tokens and _REFERENCE_TOKENS.match(tokens[-1]):
        tokens.pop()
    if not tokens:
        return None
    last = tokens[-1]
    degree, glued = _DEGREE.search(text), _GLUED.match(last)
    if degree:
        return unit_of(degree[0])
    said = unit_of(last) or (unit_of(glued[1] + (glued[2] or "")) if glued else None)
    if said is None or (said.kind != worded and worded not in {"other", "time"} and len(tokens) > 1):
        return None
    return said


def _kind_by_words(text: str) -> HeadKind:
    if _BRACKETS.sub("", text).partition("/")[0].strip(" _s") == "t":
        return "time"
    if vocabulary.TIME.search(text) and not vocabulary.NOT_TIME.search(text):
        return "time"
    return next((kind for kind, pattern in _WORDS if pattern.search(text)), "other")


def _reference_in(text: str) -> PressureReference | None:
    if vocabulary.ABSOLUTE.search(text):
        return "absolute"
    return "gauge" if vocabulary.GAUGE.search(text) else None


def _role_of(text: str, kind: HeadKind, place: Place) -> Role:
    if kind == "volume":
        return Role.elsewhere if vocabulary.WATER.search(text) else Role.dosing
    if place not in vocabulary.IN_THE_CHAMBER or vocabulary.COMPUTED.search(text):
        return Role.elsewhere
    beside = vocabulary.BESIDE.search(text) and not vocabulary.CHAMBER_WORDS.search(text)
    return Role.elsewhere if beside else Role.chamber
