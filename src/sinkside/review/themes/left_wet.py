"""What is wet when it is packed: dried with water, or with one of its ways inside forgotten."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.review.case import WET_ACTIONS, Case, Passage, words
from sinkside.review.doing import dries
from sinkside.review.lexicon import clauses, says
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.themes.left_out import sides, sides_told

_DRIES = r"\b(?:dry|dries|dried|drying)\b"
_CLOTH = r"(?:cloths?|towels?|wipes?|tissues?|sponges?|swabs?|flannels?|rags?)"
_WET = r"(?:wet|damp|moist|moistened|dampened|wetted|soaked|soaking|dripping)"
_WATER = (
    r"(?:(?:the|running|flowing|purified|deminerali[sz]ed|deioni[sz]ed|distilled|sterile|warm|hot|cold|cool|tap|clean"
    r"|fresh|rinsing|rinse|drinking)\s+){0,3}(?:water|solution|detergent|saline)\b(?![\s-]*(?:free|repell|vapou?r|trap))"
)
_WITH_WET_CLOTH = re.compile(
    rf"\b{_WET}\s+(?:(?!dry\b)[\w-]+\s+){{0,2}}?{_CLOTH}\b"
    rf"|\b{_CLOTH}\s+(?:that\s+(?:is|was)\s+)?(?:still\s+)?(?:wetted|wet|damp|moist|moistened|dampened|soaked|dipped)\b",
    re.IGNORECASE,
)
_WITH_WATER = re.compile(
    rf"\b(?:under|by\s+means\s+of|with|using)\s+(?:a\s+jet\s+of\s+)?{_WATER}"
    rf"|\bby\s+(?:rinsing|immersing|soaking|flushing|dipping|laying|leaving|holding|putting)\b[^,;.]*{_WATER}",
    re.IGNORECASE,
)
_DRY = re.compile(_DRIES, re.IGNORECASE)
_PIECES = re.compile(
    r",|\s\|\s|\b(?:and then|then|and|after|before|until|when|once(?! more)|if|while|so that)\b",
    re.IGNORECASE,
)
_LETS_BE = ("negation", "alcohol", "forbidden", "stays-moist-words", "soil", "rinsing", "dry-already")
_WHERE_DRIED = frozenset(
    {Stage.cleaning, Stage.disinfection, Stage.drying, Stage.inspection, Stage.maintenance, Stage.packaging}
)
_WETTED = frozenset({Stage.cleaning, Stage.disinfection, Stage.inspection, Stage.maintenance})


@rule(
    Theme.completeness,
    Level.concern,
    title="Drying is asked for with something wet.",
    message="“{words}” dries nothing.",
    remedy="Ask the maker with what the device is dried here; until then use a dry cloth or clean air.",
)
def dried_with_something_wet(case: Case) -> Iterator[Trip]:
    """Clauses that dry with a wet cloth or under water, and name nothing dry beside it."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_DRIED or says(passage.text, "alcohol"):
            continue
        said = _dries_wet(passage)
        if said:
            yield Trip(passage.place, {"words": said})


def _dries_wet(passage: Passage) -> str | None:
    """The piece of some words that dries with something wet."""
    for clause in clauses(passage.text):
        for piece in _PIECES.split(clause):
            dry, wet = _DRY.search(piece), _WITH_WET_CLOTH.search(piece) or _WITH_WATER.search(piece)
            # "Dry" may stand in front of the cloth: "with a damp, then with a dry cloth" dries.
            is_of_cloth = re.search(rf"\bdry\s+(?:[\w-]+\s+){{0,2}}?{_CLOTH}\b", piece, re.IGNORECASE)
            if dry and wet and not is_of_cloth and not any(says(piece, sense) for sense in _LETS_BE):
                return piece.strip(" |.;:")
    return None


@rule(
    Theme.reach,
    Level.concern,
    title="One of the ways inside is wetted and not dried again.",
    message="Water goes through the {lost} way inside, and only the {dried} one is dried behind it.",
    remedy="Ask the maker how the other way inside is dried before the device is packed.",
    source=book("iso-17664-1"),
)
def way_inside_left_wet(case: Case) -> Iterator[Trip]:
    """The sides that the last wet work reaches against those that air reaches behind it, up to the pack."""
    told = sides_told(case, everywhere=True)
    ends = [case.index(s) for s in case.steps if s.action is Action.pack or s.stage is Stage.sterilization]
    before = case.steps[: next((at for at in ends if at > case.first_cleaning), len(case.steps))]
    wet = [n for n, step in enumerate(before) if _wets_inside(step)]
    if not told or not wet:
        return
    behind = [step for step in before[wet[-1] + 1 :] if dries(step)]
    air = [step for step in behind if step.action is Action.blow or says(words(step), "lumen-words")]
    others = [step for step in behind if step not in air and not says(words(step), "dries-outside")]
    reached = [sides(words(step)) & told for step in air]
    if not air or others or not all(reached) or any(says(words(s), "every-way-inside") for s in air):
        return
    last = before[wet[-1]]
    wetted = told if says(words(last), "every-way-inside") else sides(words(last)) & told
    lost = wetted - frozenset().union(*reached)
    if lost:
        evidence = {"lost": min(lost), "dried": min(frozenset().union(*reached))}
        yield Trip(case.place(air[0]), evidence, (case.place(last),))


def _wets_inside(step: Step) -> bool:
    said = words(step)
    is_inside = step.action in {Action.flush, Action.fill} or says(said, "pushes-through")
    return step.action in WET_ACTIONS and step.stage in _WETTED and is_inside and not step.condition


RULES = (dried_with_something_wet, way_inside_left_wet)
