"""What one language of a document says against what another says."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level, Place
from sinkside.instruction import Origin, Stage, Translated
from sinkside.language import figure_text
from sinkside.quantities import Bound, Figure
from sinkside.review.asking import NAMES
from sinkside.review.case import Case, place_of
from sinkside.review.glossing import GLOSSED, gloss
from sinkside.review.lexicon import bans, says
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import ends_in

_ROUNDING = 1e-6
#: What is said two sentences further on is said in another order, and no difference.
_NEAR = 2
#: What a wrong figure costs here is a germ that lives or a device that is harmed.
_ACTS = ("ultrasonic", "immersion", "machine-washing", "lubrication", "steaming", "compressed-air", "alcohol")
_HEAVY_STAGES = frozenset({Stage.cleaning, Stage.disinfection, Stage.sterilization})

_LANGUAGES = {
    "en": "English",
    "de": "German",
    "fr": "French",
    "es": "Spanish",
    "it": "Italian",
    "nl": "Dutch",
    "pt": "Portuguese",
}
_MESSAGE = "The {language} text says {there} where this one says {here}."
_REMEDY = "Get the maker's written answer: which of the two holds; until then neither is used."


@dataclass(frozen=True)
class _Ours:
    """What this language says at one place: its figures, its place, and whether a slip weighs heavily."""

    figures: tuple[Figure, ...]
    place: Place
    heavy: bool


@dataclass(frozen=True)
class _Left:
    """A passage of the other language, ours beside it, and the figures of each that the other lacks."""

    passage: Translated
    ours: _Ours | None
    here: tuple[Figure, ...]
    there: tuple[Figure, ...]


@dataclass(frozen=True)
class _Difference:
    """Two figures of one quantity that ought to be the same."""

    here: Figure
    there: Figure
    ours: _Ours
    other: Place
    language: str

    def trip(self) -> Trip:
        """Where it is found, both sides quoted."""
        evidence = {
            "language": _LANGUAGES.get(self.language, self.language),
            "here": figure_text(self.here),
            "there": figure_text(self.there),
        }
        return Trip(self.ours.place, evidence, (self.other,))


@rule(
    Theme.contradictions,
    Level.stop,
    title="A figure of cleaning or sterilization, or a limit, differs between the languages of the document.",
    message=_MESSAGE,
    remedy=_REMEDY,
)
def languages_disagree_on_treatment(case: Case) -> Iterator[Trip]:
    """Figures of cleaning, disinfection and sterilization, and the device's own limits, in each language."""
    yield from (found.trip() for found in _differences(case) if found.ours.heavy)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A figure differs between the languages of the document.",
    message=_MESSAGE,
    remedy="Ask the maker which of the two holds; until then the stricter one does.",
)
def languages_disagree(case: Case) -> Iterator[Trip]:
    """All other figures, language by language."""
    yield from (found.trip() for found in _differences(case) if not found.ours.heavy)


@rule(
    Theme.contradictions,
    Level.stop,
    title="One language of the document forbids what another allows.",
    message="The {language} text forbids {what}, and this one does not.",
    remedy=_REMEDY,
)
def languages_disagree_on_ban(case: Case) -> Iterator[Trip]:
    """Acts that one language forbids, and that the other speaks of and forbids nowhere."""
    yield from _asked_for_there(case)
    for translation in case.instruction.translations:
        for passage in translation.passages:
            said = _in_english(passage.origin.text, translation.language)
            for sense in _ACTS:
                banned = bans(said, sense) is not None
                if banned and not any(bans(one.text, sense) for one in case.passages):
                    evidence = {
                        "language": _LANGUAGES.get(translation.language, translation.language),
                        "what": NAMES[sense],
                    }
                    ours = [one for one in case.sentences if says(one.text, sense)]
                    near = [one for one in ours if _is_beside(one.place, passage.origin)]
                    allowed = [one for one in ours if says(one.text, "allowed-words")]
                    for one in (near or allowed)[:1]:
                        yield Trip(one.place, evidence, (place_of(passage.origin),))


def _asked_for_there(case: Case) -> Iterator[Trip]:
    """Acts that this language forbids, and that the words beside it in another ask for or allow."""
    forbidding = [
        (ours, sense)
        for ours in (case.sentences if case.instruction.translations else ())
        for sense in (_ACTS if says(ours.text, "negation") else ())
        if bans(ours.text, sense) is not None
    ]
    for translation in case.instruction.translations:
        for ours, sense in forbidding:
            near = [one for one in translation.passages if _is_beside(ours.place, one.origin)]
            for one in near:
                said = _in_english(one.origin.text, translation.language)
                is_asked = says(said, sense) and not (says(said, "negation") or says(said, "forbidden"))
                if is_asked and not any(
                    bans(_in_english(other.origin.text, translation.language), sense)
                    for other in translation.passages
                ):
                    language = case.instruction.device.document.language
                    evidence = {"language": _LANGUAGES.get(language, language), "what": NAMES[sense]}
                    yield Trip(ours.place, evidence, (place_of(one.origin),))


def _in_english(text: str, language: str) -> str:
    """Words of another language in English as far as there is a gloss; English as it stands."""
    return gloss(text, language) if language in GLOSSED else text


def _is_beside(place: Place, origin: Origin) -> bool:
    """Whether a place stands on the lines around another one."""
    is_near = place.line is not None and abs(place.line - origin.line) <= _NEAR
    return is_near and place.page == origin.page


def _differences(case: Case) -> Iterator[_Difference]:
    said = _said(case)
    for translation in case.instruction.translations:
        left = [_left(said, passage) for passage in translation.passages]
        for number, one in enumerate(left):
            near = left[max(0, number - _NEAR) : number] + left[number + 1 : number + 1 + _NEAR]
            yield from _between(one, near, translation.language)


def _between(left: _Left, near: list[_Left], language: str) -> Iterator[_Difference]:
    """What differs in one sentence, and is not said in one nearby."""
    if left.ours is None:
        return
    here = [one for one in left.here if not any(_agree(one, x) for other in near for x in other.there)]
    there = [one for one in left.there if not any(_agree(one, x) for other in near for x in other.here)]
    for one, other in _of_one_quantity(here, there):
        yield _Difference(one, other, left.ours, place_of(left.passage.origin), language)


def _left(said: dict[Origin, _Ours], passage: Translated) -> _Left:
    """What is left of both sides once figures that agree are taken away."""
    ours = said.get(passage.beside) if passage.beside else None
    here, there = list(ours.figures) if ours else [], list(passage.figures)
    for one in list(here):
        same = next((other for other in there if _agree(one, other)), None)
        if same is not None:
            here.remove(one)
            there.remove(same)
    return _Left(passage, ours, tuple(here), tuple(there))


def _of_one_quantity(here: list[Figure], there: list[Figure]) -> Iterator[tuple[Figure, Figure]]:
    """Pairs of figures that measure the same, in order; what only one language says is no difference."""
    rest = list(there)
    for one in here:
        other = next((other for other in rest if other.quantity is one.quantity), None)
        if other is not None:
            rest.remove(other)
            yield one, other


def _agree(one: Figure, other: Figure) -> bool:
    """Whether two figures say the same; a value agrees with a bound of the same number."""
    if one.quantity is not other.quantity:
        return False
    ends, others = one.ends(), ends_in(other, one.unit)
    if others is None:
        return False
    if {one.bound, other.bound} == {Bound.at_least, Bound.at_most}:
        return False
    if {one.bound, other.bound} == {Bound.value, Bound.between}:
        # "10- bis 16-fach" may have been read as its second half.
        single, both = (one.number(), others) if one.bound is Bound.value else (other.number(one.unit), ends)
        return any(_close(single, end) for end in both)
    if Bound.value in {one.bound, other.bound}:
        return _close(one.number(), other.number(one.unit))
    return all(_close(end, far) for end, far in zip(ends, others, strict=True))


def _close(one: float, other: float) -> bool:
    return one == other or math.isclose(one, other, rel_tol=_ROUNDING)


def _said(case: Case) -> dict[Origin, _Ours]:
    """The figures of every sentence of the language that is read."""
    found: dict[Origin, _Ours] = {}

    def add(
        origin: Origin, figures: tuple[Figure, ...], *, step: str | None = None, heavy: bool = False
    ) -> None:
        before = found.get(origin, _Ours((), place_of(origin, step), heavy=heavy))
        found[origin] = _Ours((*before.figures, *figures), before.place, before.heavy or heavy)

    for one in case.steps:
        add(one.origin, one.figures, step=one.id, heavy=one.stage in _HEAVY_STAGES)
    for limit in case.instruction.device.limits:
        add(limit.origin, (limit,), heavy=True)
    for statement in case.instruction.statements:
        add(statement.origin, statement.figures)
    return found


RULES = (languages_disagree_on_treatment, languages_disagree, languages_disagree_on_ban)
