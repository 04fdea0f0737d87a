"""Packaging held against the device that it carries, and against the cycle that it goes through."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from sinkside.department import BARRIERS, Department, Matter, Packaging, SterilizingMethod
from sinkside.findings import Level
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Remark, Repair, bound
from sinkside.route.document import ResourceKind
from sinkside.route.lumens import Lumen, is_longer, is_narrower
from sinkside.route.needs import GasNeed, Need, PackagingNeed, SteamNeed
from sinkside.route.other_machines import range_words
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import (
    PACKAGING_INSTRUCTION_MISSING,
    PACKAGING_LUMEN_UNSAID,
    PACKAGING_TELLS_NO_LUMENS,
    PACKAGING_UNSAID,
)
from sinkside.route.windows import Window, amount, span
from sinkside.route.words import sterilizing_method

#: More than a rounded °F label is off by (common practice, no source).
_SAME_LABEL_K: Final = 0.6


@dataclass(frozen=True, slots=True)
class NamedCycle:
    """What packaging must bear of a cycle as named: method, way of air removal, temperatures in °C.

    `method` is the maker's own word where it is none of the standards'.
    """

    method: str
    air_removal: str = ""
    temperatures_c: tuple[float, ...] = ()


def named_cycle(need: Need) -> NamedCycle | None:
    """What packaging must bear of a need; None of one that sterilizes nothing."""
    if isinstance(need, SteamNeed):
        way = need.air_removal.value if need.air_removal else ""
        return NamedCycle(SterilizingMethod.steam.value, way, _ends(need.temperature))
    if isinstance(need, GasNeed):
        method = sterilizing_method(need.agent)
        return NamedCycle(method.value if method else need.agent, "", _ends(need.temperature))
    return None


def _ends(window: Window | None) -> tuple[float, ...]:
    ends = (window.low, window.high) if window else ()
    return tuple(dict.fromkeys(end for end in ends if math.isfinite(end)))


def why_not(item: Packaging, cycle: NamedCycle) -> Words | None:
    """Why packaging does not bear a cycle; None if it does."""
    if cycle.method not in item.methods:
        return Phrase("it is not made for {method}", {"method": Phrase(cycle.method.replace("-", " "))})
    if cycle.air_removal and cycle.air_removal not in item.air_removal:
        return Phrase("it is not made for air removal by {way}", {"way": Phrase(cycle.air_removal)})
    if item.temperature and not all(_bears(item, at) for at in cycle.temperatures_c):
        return Phrase("it may be sterilized at {range}", {"range": range_words(item.temperature)})
    return None


def _bears(item: Packaging, temperature_c: float) -> bool:
    low, high = span(item.temperature, "°C") if item.temperature else (-math.inf, math.inf)
    return low - _SAME_LABEL_K <= temperature_c <= high + _SAME_LABEL_K


def bears_all(candidate: Candidate, cycles: Iterable[NamedCycle]) -> bool:
    """Whether the packaging of a candidate bears every one of some cycles."""
    return candidate.packs is None or all(why_not(candidate.packs, cycle) is None for cycle in cycles)


def appraise_packaging(need: PackagingNeed, department: Department) -> Appraisal:
    """The packaging of a named kind that carries the device; its cycle is decided with the choice."""
    thing = functools.partial(proposals.thing_for, need)
    found = Appraisal(purchase=Repair(Phrase("{wanted}.", {"wanted": need.wanted}), sizes.SUPPLY, thing))
    level = department.level_of(Matter.packaging_instruction)
    for item in department.packaging:
        if (item.kind in BARRIERS) == need.lies_inside:
            continue
        faults = tuple(_faults(need, item))
        if faults:
            found.refusals.append(Refusal(item.id, item.name, faults))
        else:
            found.candidates.append(_candidate(need, item, level))
    return found


def _faults(need: PackagingNeed, item: Packaging) -> Iterator[Words]:
    if item.kind not in need.kinds:
        yield Phrase("it is a {kind}", {"kind": Phrase(item.kind.replace("-", " "))})
    if need.mass_kg and item.mass and amount(item.mass, "kg") < need.mass_kg:
        yield Phrase("it carries {mass}", {"mass": str(item.mass)})
    for lumen in need.lumens:
        if item.narrowest_lumen and lumen.bore and is_narrower(lumen.bore, item.narrowest_lumen):
            told = {"bore": str(item.narrowest_lumen), "lumen": lumen.words}
            yield Phrase("it is made for lumens of {bore} or wider, and not for {lumen}", told)
        if item.longest_lumen and lumen.length and is_longer(lumen.length, item.longest_lumen):
            told = {"length": str(item.longest_lumen), "lumen": lumen.words}
            yield Phrase("it is made for lumens of {length} or shorter, and not for {lumen}", told)


def _candidate(need: PackagingNeed, item: Packaging, level: str | None) -> Candidate:
    edition = ", ".join(filter(None, (item.revision, str(item.dated) if item.dated else "")))
    known = " ".join(filter(None, (item.instruction, f"({edition})" if edition else "")))
    return Candidate(
        bindings=(bound(ResourceKind.packaging, item.id, item.name),),
        why=Phrase("{packaging} carries it by {text}", {"packaging": item.name, "text": known})
        if known
        else Phrase("{packaging} carries it", {"packaging": item.name}),
        remarks=tuple(_remarks(need, item, level)),
        packs=item,
    )


def _remarks(need: PackagingNeed, item: Packaging, level: str | None) -> Iterator[Remark]:
    if not need.names_kind:
        yield Remark(PACKAGING_UNSAID, {"packaging": item.name})
    if level and not (item.instruction and item.revision):
        yield Remark(replace(PACKAGING_INSTRUCTION_MISSING, level=Level(level)), {"packaging": item.name})
    tells = item.narrowest_lumen or item.longest_lumen
    if need.lumens and item.kind == "container" and not tells:
        yield Remark(PACKAGING_TELLS_NO_LUMENS, {"packaging": item.name})
    for lumen in need.lumens:
        if open_ends := _unsaid(lumen, item):
            evidence = {"packaging": item.name, "lumen": lumen.name, "unsaid": " and ".join(open_ends)}
            yield Remark(PACKAGING_LUMEN_UNSAID, evidence)


def _unsaid(lumen: Lumen, item: Packaging) -> list[str]:
    """What the text does not tell of a lumen that packaging is made for up to a figure."""
    some = (("the bore", item.narrowest_lumen, lumen.bore), ("the length", item.longest_lumen, lumen.length))
    return [words for words, most, own in some if most and own is None]
