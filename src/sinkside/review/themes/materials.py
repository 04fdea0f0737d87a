"""What materials of the device withstand: aluminium, steel, plastics."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure, Place
from sinkside.instruction import Stage
from sinkside.limits import published
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import found, negated, says
from sinkside.review.named import all_capitals
from sinkside.review.own_limits import by_hand_only
from sinkside.review.plausible import SOFTENS_AT_C
from sinkside.review.rule import Theme, Trip, figure, rule
from sinkside.review.stated import hottest_c, shown

_PIECES = re.compile(r"[,;.]\s|\band\b")
#: "Where saline has been used, rinse it off": what others did with it before.
_ONCE_USED = re.compile(r"\s*(?:where|if|when|in case)\b.*\b(?:was|were|has been|have been)\b", re.IGNORECASE)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An alkaline cleaner meets aluminium.",
    message="An alkaline cleaner ({cleaner}) is asked for on a device with aluminium.",
    remedy="Ask the maker which cleaners were tested on the aluminium parts.",
    source=figure("detergent-alkaline-ph"),
)
def alkaline_on_aluminium(case: Case) -> Iterator[Trip]:
    """Cleaners above the published pH, or called alkaline with no pH, where any part is of aluminium."""
    metal = _made_of(case, "aluminium")
    if metal is None:
        return
    alkaline_from = published("detergent-alkaline-ph")
    for step in case.steps:
        acidity = step.figure(FigureQuantity.ph)
        if acidity is None:
            said = words(step)
            is_alkaline = says(said, "alkaline") and not (negated(said, "alkaline") or says(said, "mild"))
        else:
            is_alkaline = alkaline_from.met_by(acidity.number())
        if is_alkaline:
            cleaner = shown(acidity) if acidity else "no pH given"
            yield Trip(case.place(step), {"cleaner": cleaner}, (metal.place,) if metal.text else ())


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Instruments lie in saline or bleach, which pits stainless steel.",
    message="The device meets {liquid}; its chloride pits stainless steel "
    "(risk rises above {chloride} of chloride).",
    remedy="Ask the maker for a liquid without chloride that keeps soil moist.",
    source=figure("materials-chloride-pitting"),
)
def chloride_contact(case: Case) -> Iterator[Trip]:
    """Steps, and sentences that ask, for saline or bleach; those that forbid it do not count."""
    limit = published("materials-chloride-pitting")
    for passage in case.passages:
        step = passage.step
        if step is None and not says(passage.text, "keeping-in"):
            continue
        text = f"{step.with_ or ''} ; {passage.text}" if step else passage.text
        for sense in ("saline", "bleach"):
            is_met = says(text, sense) and not negated(passage.text, sense)
            # "Tissue is wiped off, and the tube flushed with saline": each piece speaks for itself.
            pieces = [piece for piece in _PIECES.split(passage.text) if says(piece, sense)] or [text]
            is_gone = says(passage.text, "taken-off")
            is_other = says(text, "kept-away-from") or all(
                says(piece, "taken-off") or (is_gone and _ONCE_USED.match(piece)) for piece in pieces
            )
            if is_met and (says(text, "saline-asked") or not is_other):
                evidence: Evidence = {
                    "liquid": sense,
                    "chloride": Measure(value=limit.value[0], unit=limit.unit),
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Water with more chloride than steel withstands is allowed.",
    message="Water with {chloride} of chloride is allowed; pitting risk rises above {limit}.",
    remedy="Ask the maker for the water of the last rinse.",
    source=figure("materials-chloride-pitting"),
)
def water_with_chloride(case: Case) -> Iterator[Trip]:
    """Concentrations of chloride that words allow against the published one."""
    limit = published("materials-chloride-pitting")
    for passage in case.passages:
        for stated in passage.figures if says(passage.text, "chloride") else ():
            is_most = stated.unit == "mg/L" and stated.bound is not Bound.at_least
            if is_most and stated.ends()[1] > limit.value[0]:
                evidence: Evidence = {
                    "chloride": shown(stated),
                    "limit": Measure(value=limit.value[0], unit=limit.unit),
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A plastic of the device softens at the temperature that is asked for.",
    message="{material} softens at about {softens}, and this step asks for {temperature}.",
    remedy="Ask the maker which temperature this material withstands.",
)
def plastic_softens(case: Case) -> Iterator[Trip]:
    """Plastics that the part list or a sentence names against the hottest step."""
    hot = [
        (hottest_c(stated), step, stated)
        for step in case.steps
        if step.stage not in {Stage.transport, Stage.storage}
        for stated in step.figures_of(FigureQuantity.temperature)
    ]
    hottest = max(hot, key=lambda one: one[0], default=None)
    for material, softens_c in SOFTENS_AT_C.items():
        named = _made_of(case, material)
        if hottest and named and hottest[0] > softens_c and not _is_kept_out_of_steam(case, material):
            evidence: Evidence = {
                "material": min(found(named.text, material)).capitalize(),
                "softens": Measure(value=softens_c, unit="°C"),
                "temperature": shown(hottest[2]),
            }
            yield Trip(case.place(hottest[1]), evidence, (named.place,) if named.place.text else ())


def _is_kept_out_of_steam(case: Case, material: str) -> bool:
    """'P and Q: PMMA', 'P and Q never go into steam': the hot steps are for the other parts."""
    of = frozenset().union(*(all_capitals(p.text) for p in case.passages if says(p.text, material)))
    kept_out = (p.text for p in case.passages if says(p.text, "steam") and says(p.text, "negation"))
    return any(of & all_capitals(text) for text in kept_out)


def _made_of(case: Case, material: str) -> Passage | None:
    """Where the text says that something of the device is of a material."""
    for part in case.instruction.device.parts:
        for named in () if says(part.name, "lent") else part.materials:
            if says(named, material):
                return case.mentions(material) or Passage(named, Place())
    for passage in case.passages:
        # A plastic bag or brush is none of the device.
        is_lent = material != "aluminium" and (says(passage.text, "lent") or says(passage.text, "pack-kind"))
        is_lent = is_lent or _is_of_what_is_lent(passage.text, material) or by_hand_only(passage.text)
        is_denied = negated(passage.text, material) or says(passage.text, "has-none")
        if says(passage.text, material) and not is_lent and not is_denied:
            return passage
    return None


def _is_of_what_is_lent(text: str, material: str) -> bool:
    """Whether only a tray or the like is of the material: 'aluminium trays', 'the tray is aluminium'."""
    named = material.replace("aluminium", "alumini?um")
    behind = re.search(rf"\b{named}\s+([\w-]+)", text, re.IGNORECASE)
    before = re.search(
        rf"\b([\w-]+)\s+(?:is|are)\s+(?:(?:made )?of\s+)?(?:\w+ed\s+)?{named}\b", text, re.IGNORECASE
    )
    return any(says(match[1], "lent") for match in (behind, before) if match)


RULES = (
    alkaline_on_aluminium,
    chloride_contact,
    water_with_chloride,
    plastic_softens,
)
