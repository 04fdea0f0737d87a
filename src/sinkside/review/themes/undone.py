"""What one sentence asks for and another undoes: moist and dry, sterile and opened, once and again, heat."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, PartUse, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import found, negated, says, sentences
from sinkside.review.practice import OF_PACKS, ON_THE_WAY, Practice, practised
from sinkside.review.rule import Theme, Trip, book, rule

_BEHIND_USE: Final = frozenset({Stage.inspection, Stage.maintenance, Stage.packaging, Stage.storage})
_HEATED: Final = frozenset({FigureQuantity.temperature, FigureQuantity.lethality})
_HEAD: Final = re.compile(
    r"\b(?:the|its|a|an|used|old|cleaned|disposable)\s+(?P<words>[a-z][a-z-]+(?:\s[a-z][a-z-]+)?)"
)


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="Soil must stay moist by the text itself, and the device travels dry.",
    message="“{words}”: the text itself keeps soil moist until cleaning.",
    remedy="Ask the maker whether the used device is kept moist or carried dry.",
    source=book("iso-17664-1"),
)
def carried_dry_against_own_words(case: Case) -> Iterator[Trip]:
    """Words that keep soil from drying against words that carry the used device dry."""
    moist = [p for p in case.sentences if says(p.text, "stays-moist-words") and not says(p.text, "packs-it")]
    for passage in case.sentences if moist else ():
        if case.stage_of(passage) not in ON_THE_WAY or negated(passage.text, "travels-dry"):
            continue
        said = found(passage.text, "travels-dry")
        others = tuple(p.place for p in moist if p.text != passage.text)
        if said and others and not says(passage.text, "stays-moist-words"):
            yield Trip(passage.place, {"words": min(said)}, others[:2])


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A sterile pack is opened and closed again.",
    message="“{words}”: what was opened is no longer sterile, however it is closed.",
    remedy="Ask the maker what this work is for, and whether it belongs before packing.",
    source=book("iso-17664-1"),
)
def sterile_pack_opened(case: Case) -> Iterator[Trip]:
    """Words behind packing that open a pack and close it again."""
    yield from practised(
        case, Practice(("opens-pack", "closes-again"), ("opens-at-use",), OF_PACKS, ("forbidden", "never"))
    )


@rule(
    Theme.completeness,
    Level.concern,
    title="A disinfection by heat has no temperature.",
    message="“{words}”: no temperature and no A0 is given for it.",
    remedy="Ask the maker for the temperature and the time of the thermal disinfection, or its A0.",
    source=book("iso-15883-1"),
)
def disinfection_heat_untold(case: Case) -> Iterator[Trip]:
    """Thermal disinfections with a time, and neither temperature nor A0 in their words or beside them."""
    for step in case.doing(Action.disinfect, Action.wash, Action.rinse):
        said = words(step)
        if not says(said, "disinfects-by-heat") or negated(said, "disinfects-by-heat"):
            continue
        around = (step, *case.beside(step), *_close_behind(case, step))
        heated = any(figure.quantity in _HEATED for one in around for figure in one.figures)
        timed = any(figure.quantity is FigureQuantity.time for figure in step.figures)
        if timed and not heated:
            yield Trip(case.place(step), {"words": min(found(said, "disinfects-by-heat"))})


def _close_behind(case: Case, step: Step) -> tuple[Step, ...]:
    """The next step, if it goes on with a thermal disinfection."""
    at = case.index(step)
    return tuple(one for one in case.steps[at + 1 : at + 2] if one.stage is Stage.disinfection)


@rule(
    Theme.parts,
    Level.concern,
    title="A part that serves once is put on once more.",
    message="{part} serves once by the text itself, and comes back here: “{words}”.",
    remedy="Ask the maker whether the part is renewed; until then a new one is taken.",
    source=book("iso-17664-1"),
)
def once_only_part_comes_back(case: Case) -> Iterator[Trip]:
    """Parts for single use by name against words behind the cleaning that bring the old one back."""
    once = {
        part.name.casefold()
        for part in case.instruction.device.parts
        if part.name and part.use in {PartUse.discard_after_use, PartUse.sterile_at_field}
    }
    told = [p for p in case.sentences if says(p.text, "single-use-strict") or says(p.text, "one-patient")]
    for passage in case.sentences:
        if case.stage_of(passage) not in _BEHIND_USE:
            continue
        for sentence in sentences(passage.text):
            part = _brought_back(sentence, once)
            places = tuple(p.place for p in told if part and part in p.text.casefold() and p is not passage)
            if part and places:
                said = min(found(sentence, "kept-for-again"))
                yield Trip(passage.place, {"part": f"The {part}", "words": said}, places)


def _brought_back(sentence: str, once: set[str]) -> str | None:
    """The part for one use that words bring back, and do not renew or throw away."""
    if not says(sentence, "kept-for-again") or negated(sentence, "kept-for-again"):
        return None
    if any(says(sentence, sense) for sense in ("new-part", "forbidden", "single-use", "never")):
        return None
    named = {match["words"] for match in _HEAD.finditer(sentence.casefold())}
    known = [name for name in sorted(once) if name in sentence.casefold()]
    # "Slide the cover you saved back over the blades": the thing stands in front of what brings it back.
    said = sentence.casefold()
    first = min(said.find(words_) for words_ in found(sentence, "kept-for-again"))
    heads = sorted(named, key=lambda name: (said.find(name) > first, -said.find(name)))
    parts = [name for name in heads if says(name, "component") and not says(name, "pack-words")]
    return next(iter([*known, *parts]), None)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A flush is so small that it fills nothing.",
    message="{volume} is less than one drop or two, and flushes nothing.",
    remedy="Ask the maker for the flush volume, with its unit.",
)
def flush_volume_tiny(case: Case) -> Iterator[Trip]:
    """Flush and fill volumes below what wets a lumen (common practice, no source)."""
    for step in case.doing(Action.flush, Action.fill, Action.rinse, Action.blow):
        for volume in step.figures_of(FigureQuantity.volume):
            most = volume.ends("mL")[1]
            if 0.0 < most < _LEAST_FLUSH_ML and not _is_oil(Passage(words(step), case.place(step))):
                in_litres = volume.unit == "mL" and most * 1000.0 >= 1.0
                evidence: Evidence = {"volume": volume.as_written or f"{volume.number():g} {volume.unit}"}
                if in_litres:
                    evidence["probably_meant"] = f"{most * 1000.0:g} mL"
                yield Trip(case.place(step), evidence)


#: Two drops (common practice, no source): no lumen is flushed with less.
_LEAST_FLUSH_ML: Final = 0.1


def _is_oil(passage: Passage) -> bool:
    return says(passage.text, "lubrication") or says(passage.text, "oil-family")


RULES = (
    carried_dry_against_own_words,
    sterile_pack_opened,
    disinfection_heat_untold,
    once_only_part_comes_back,
    flush_volume_tiny,
)
