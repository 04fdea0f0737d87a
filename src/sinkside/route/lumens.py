"""The lumens of a device held against what a cycle, or packaging, is claimed to reach.

A claim is taken by its words: so wide or wider, so long or shorter, of that material, and so many lumens in
the whole load. What the instruction does not tell of a lumen is asked for and never filled in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sinkside.department import LumenClaim
from sinkside.instruction import Feature, FeatureKind, Instruction, Part, PartUse
from sinkside.quantities import Quantity
from sinkside.route.phrases import Phrase, Together, Words
from sinkside.route.windows import amount, same

#: Parts that are in no load: gone before it, or sterile from their maker.
_NOT_IN_THE_LOAD = {PartUse.discard_after_use, PartUse.sterile_at_field}


@dataclass(frozen=True, slots=True)
class Lumen:
    """A lumen that lies in the load, as far as the text tells it; `materials` are those of its part."""

    name: str
    bore: Quantity | None
    length: Quantity | None
    materials: frozenset[str]
    has_rod: bool

    @property
    def words(self) -> Phrase:
        """The lumen with what is known of it: shaft lumen (1.2 mm × 350 mm, stainless steel)."""
        size = " × ".join(str(one) for one in (self.bore, self.length) if one)
        told = ", ".join(filter(None, (size, *sorted(self.materials))))
        if not told:
            return Phrase("{lumen}", {"lumen": self.name})
        return Phrase("{lumen} ({told})", {"lumen": self.name, "told": told})


def lumens_in_the_load(instruction: Instruction) -> tuple[Lumen, ...]:
    """The lumens of a device that are sterilized with it.

    Raises:
        BadQuantity: if a bore or length is none.
    """
    device = instruction.device
    parts = {part.id: part for part in device.parts}
    lumens = (feature for feature in device.features if feature.kind is FeatureKind.lumen)
    return tuple(
        _lumen(feature, part)
        for feature in lumens
        for part in (parts.get(feature.part or "") or _only(device.parts),)
        if part is None or part.use not in _NOT_IN_THE_LOAD
    )


def _only(parts: Sequence[Part]) -> Part | None:
    return parts[0] if len(parts) == 1 else None


def _lumen(feature: Feature, part: Part | None) -> Lumen:
    for size in (feature.bore, feature.length):
        if size:
            amount(size, "mm")
    materials = part.materials if part else ()
    return Lumen(
        feature.name or feature.id,
        feature.bore,
        feature.length,
        frozenset(material.casefold() for material in materials),
        has_rod=feature.rod is not None,
    )


def is_narrower(bore: Quantity, than: Quantity) -> bool:
    """Whether a bore is below the narrowest that is reached."""
    own, least = amount(bore, "mm"), amount(than, "mm")
    return own < least and not same(own, least)


def is_longer(length: Quantity, than: Quantity) -> bool:
    """Whether a lumen is longer than the longest that is reached."""
    own, most = amount(length, "mm"), amount(than, "mm")
    return own > most and not same(own, most)


@dataclass(frozen=True, slots=True)
class Outside:
    """A lumen that no claim of a program holds: the nearest claim, and what of the lumen lies outside it."""

    lumen: Lumen
    nearest: LumenClaim
    faults: tuple[Words, ...]
    count: int

    @property
    def words(self) -> Phrase:
        """One clause for the reason of a refusal."""
        return Phrase(
            "{lumen} lies outside its lumen claims; the nearest is {claim}, and {faults}",
            {"lumen": self.lumen.words, "claim": claim_words(self.nearest), "faults": Together(self.faults)},
        )

    @property
    def wanted(self) -> LumenClaim:
        """The nearest claim, widened by no more than the lumen asks for."""
        lumen, claim = self.lumen, self.nearest
        bore = lumen.bore if lumen.bore and is_narrower(lumen.bore, claim.bore) else claim.bore
        length = lumen.length if lumen.length and is_longer(lumen.length, claim.length) else claim.length
        known = not lumen.materials or any(is_of(claim.material, one) for one in lumen.materials)
        return LumenClaim(
            material=claim.material if known else ", ".join(sorted(lumen.materials)),
            bore=bore,
            length=length,
            lumens=max(claim.lumens, self.count),
        )


def outside(lumens: Sequence[Lumen], claims: Sequence[LumenClaim], *, count: int) -> Iterator[Outside]:
    """The lumens that no claim holds, each with the claim that comes nearest.

    Args:
        lumens: of the device.
        claims: of the program; at least one.
        count: how many lumens lie in the load.
    """
    for lumen in lumens:
        faults = [tuple(_faults(lumen, claim, count)) for claim in claims]
        if all(faults):
            at = min(range(len(claims)), key=lambda at: _distance(lumen, claims[at], faults[at]))
            yield Outside(lumen, claims[at], faults[at], count)


def unsaid(lumen: Lumen, claims: Sequence[LumenClaim], *, count: int) -> tuple[str, ...]:
    """What the text does not tell of a lumen, so that nobody can say that a claim holds it."""
    able = [claim for claim in claims if not any(_faults(lumen, claim, count))]
    some = (
        ("the bore", lumen.bore is None),
        ("the length", lumen.length is None),
        ("the material", not _is_one_material(lumen, able)),
        ("whether its rod is out", lumen.has_rod),
    )
    return tuple(words for words, is_open in some if is_open)


def _is_one_material(lumen: Lumen, claims: Sequence[LumenClaim]) -> bool:
    """Whether a claim holds whichever of its part's materials the lumen is made of."""
    return bool(lumen.materials) and all(
        any(is_of(claim.material, material) for claim in claims) for material in lumen.materials
    )


def is_of(claimed: str, material: str) -> bool:
    """Whether a material is the claimed one, as words of its name: stainless steel, stainless steel 316L.

    >>> is_of("stainless steel", "stainless steel 316l"), is_of("PTFE", "silicone")
    (True, False)
    """
    return set(claimed.casefold().split()) <= set(material.casefold().split())


def _faults(lumen: Lumen, claim: LumenClaim, count: int) -> Iterator[Words]:
    """What of a lumen surely lies outside a claim."""
    if lumen.materials and not any(is_of(claim.material, material) for material in lumen.materials):
        yield Phrase("its material is {materials}", {"materials": sorted(lumen.materials)})
    if lumen.bore and is_narrower(lumen.bore, claim.bore):
        yield Phrase("its bore is {bore}", {"bore": str(lumen.bore)})
    if lumen.length and is_longer(lumen.length, claim.length):
        yield Phrase("its length is {length}", {"length": str(lumen.length)})
    if count > claim.lumens:
        yield Phrase("{count} lumens lie in the load", {"count": count})


def _distance(lumen: Lumen, claim: LumenClaim, faults: Sequence[Words]) -> tuple[bool, int, float]:
    """How far a claim is from a lumen: of another material, by how many figures, by how much of them."""
    is_other = bool(lumen.materials) and not any(is_of(claim.material, one) for one in lumen.materials)
    shares = []
    if lumen.bore:
        shares.append(amount(claim.bore, "mm") / amount(lumen.bore, "mm") - 1.0)
    if lumen.length:
        shares.append(amount(lumen.length, "mm") / amount(claim.length, "mm") - 1.0)
    return is_other, len(faults), sum(max(0.0, share) for share in shares)


def claim_words(claim: LumenClaim) -> Phrase:
    """A claim in signs: stainless steel, ≥ 1 mm × ≤ 400 mm, up to 10 in a load."""
    return Phrase(
        "{material}, ≥ {bore} × ≤ {length}, up to {lumens} in a load",
        {
            "material": claim.material,
            "bore": str(claim.bore),
            "length": str(claim.length),
            "lumens": claim.lumens,
        },
    )


def claims_wanted(found: Iterable[Outside]) -> Together:
    """The claims that would hold lumens, each once, in words."""
    return Together(tuple(map(claim_words, dict.fromkeys(one.wanted for one in found))), "; ")
