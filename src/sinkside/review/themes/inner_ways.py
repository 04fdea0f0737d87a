"""Ways inside that words tell of: a second lumen that nothing reaches, ends that are closed in the pack."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import negated, says
from sinkside.review.rule import Theme, Trip, book, rule

_INSIDE = frozenset({Action.flush, Action.brush, Action.fill, Action.connect, Action.blow, Action.rinse})
_ON_THE_WAY = frozenset({Stage.point_of_use, Stage.transport})
_IN_THE_PACK = frozenset({Stage.packaging, Stage.sterilization})
_WORD = re.compile(r"[^\W\d_]{4,}")
_STEM = 6
_WIDEST_BORE_MM = 15.0


@dataclass(frozen=True)
class _Told:
    """A lumen that a sentence tells of, and the beginnings of the words that only this sentence has."""

    passage: Passage
    stems: frozenset[str]


@rule(
    Theme.reach,
    Level.concern,
    title="One of several lumens is reached by nothing.",
    message="The steps that go inside name other ways, and none names the one told of here.",
    remedy="Ask the maker how this lumen is flushed, brushed and dried.",
    source=book("iso-17664-1"),
)
def lumen_told_not_reached(case: Case) -> Iterator[Trip]:
    """Lumens with a width of their own, where the steps that go inside share words with the others only."""
    told = list(_told(case))
    steps = [step for step in case.steps if _goes_inside(step)]
    if len(told) < 2 or not steps:  # noqa: PLR2004 - one lumen alone is judged by the rules on reach
        return
    said = [words(step) for step in steps]
    if any(says(text, "every-way") for text in said):
        return
    for one in told:
        others = frozenset().union(*(other.stems for other in told if other is not one))
        whole = _stems(one.passage.text)
        reached = any(
            _stems(text) & one.stems or (says(text, "lumen-words") and _stems(text) & whole) for text in said
        )
        # "Flush the lumen" may mean any; only words that name another way leave this one out.
        is_bare = any(not _stems(text) & others and says(text, "lumen-words") for text in said)
        if not reached and not is_bare and any(_stems(text) & others for text in said):
            yield Trip(one.passage.place, {}, (case.place(steps[0]),))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="The ends of a way inside are closed in the pack.",
    message="“{words}”: steam does not get into what is closed.",
    remedy="Ask the maker whether caps and plugs are off in the sterilizer.",
    source=book("iso-17664-1"),
)
def ends_closed_in_pack(case: Case) -> Iterator[Trip]:
    """Caps and plugs that go on an opening in words of packing, or just in front of the cycle."""
    steam = case.doing(Action.sterilize)
    packs = case.doing(Action.pack)
    # Ports whose positions were read are judged by them.
    if any(
        m.step in steam and (held := m.during.get("port")) and held.position == "capped" for m in case.moments
    ):
        return
    for passage in case.sentences:
        text = passage.text
        heading = (passage.step.heading or "") if passage.step else ""
        is_here = case.stage_of(passage) in _IN_THE_PACK or says(heading, "packs-words")
        is_here = is_here or (bool(packs) and _is_between(passage, packs, steam))
        if not is_here or not (says(text, "shuts") and says(text, "shuts-with") and says(text, "way-in")):
            continue
        if not any(says(text, sense) for sense in ("negation", "after-steam", "condition-strict", "unshut")):
            yield Trip(passage.place, {"words": " ".join(text.split()[:8])})


def _is_between(passage: Passage, packs: tuple[Step, ...], steam: tuple[Step, ...]) -> bool:
    """Whether words stand between the first pack and the first cycle."""
    line = passage.place.line or 0
    first = packs[0].origin.line or 0
    return bool(steam) and first <= line <= (steam[0].origin.line or 0) and packs[0].stage in _IN_THE_PACK


def _told(case: Case) -> Iterator[_Told]:
    """The sentences that tell of a lumen with its width, each with the words of its own."""
    found = [p for p in case.sentences if p.step is None and _has_bore(p) and not says(p.text, "brushing")]
    for passage in found:
        others = [other.text for other in found if other is not passage]
        yield _Told(passage, _stems(passage.text) - frozenset().union(*map(_stems, others)))


def _has_bore(passage: Passage) -> bool:
    lengths = [f for f in passage.figures if f.quantity is FigureQuantity.length]
    return (
        says(passage.text, "lumen-words")
        and not says(passage.text, "harm")
        and any(size.number("mm") <= _WIDEST_BORE_MM for size in lengths)
    )


def _goes_inside(step: Step) -> bool:
    inside = step.action in _INSIDE or says(words(step), "through-lumen")
    is_asked = step.stage not in _ON_THE_WAY and not negated(words(step), "through-lumen")
    return inside and is_asked and step.stage in {Stage.cleaning, Stage.disinfection, Stage.drying}


def _stems(text: str) -> frozenset[str]:
    """The beginnings of the words that may tell one way from another."""
    long = (word.lower() for word in _WORD.findall(text))
    return frozenset(word[:_STEM] for word in long if not says(word, "tells-no-way"))


RULES = (lumen_told_not_reached, ends_closed_in_pack)
