"""What one language of a document says in words against what another says beside it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from sinkside.findings import Level, Place
from sinkside.instruction import Translation
from sinkside.review.case import Case, place_of
from sinkside.review.glossing import GLOSSED, gloss
from sinkside.review.lexicon import found, says
from sinkside.review.rule import Theme, Trip, rule

#: What cannot both be said of one thing: one language says the first, the other the second.
_OPPOSED = (
    ("poor-water", "good-water"),
    ("said-open", "said-shut"),
    ("said-neutral", "said-alkaline"),
    ("said-neutral", "said-acid"),
    ("said-reusable", "said-once"),
)
#: Two languages of one paragraph stand no further apart than it is long.
_NEAR = 3
_LINE = tuple[int, int]


@rule(
    Theme.contradictions,
    Level.concern,
    title="One language of the document says in words the opposite of another.",
    message="This language says “{here}”, and the other beside it “{there}”.",
    remedy="Get the maker's written answer: which of the two holds; until then the stricter one does.",
)
def languages_disagree_in_words(case: Case) -> Iterator[Trip]:
    """Waters, states and agents of the sentences on a line against those of the other language beside it."""
    ours = _by_line((one.text, one.place) for one in case.sentences)
    for translation in case.instruction.translations:
        for line, (words_there, place) in _of_translation(translation).items():
            beside = _beside(line, ours)
            said, here = ours[beside] if beside else ("", place)
            pairs = [(a, b) for one, other in _OPPOSED for a, b in ((one, other), (other, one))]
            said_here = [(mine, other) for mine, other in pairs if _says_alone(said, mine, other)]
            # Few lines say any of these, and only they need a gloss of what stands beside.
            theirs = _in_english(words_there, translation.language) if said_here else ""
            for mine, other in said_here:
                if _says_alone(theirs, other, mine):
                    evidence = {"here": min(found(said, mine)), "there": min(found(theirs, other))}
                    yield Trip(here, evidence, (place,))


def _in_english(text: str, language: str) -> str:
    return gloss(text, language) if language in GLOSSED else text


def _says_alone(text: str, sense: str, opposite: str) -> bool:
    return says(text, sense) and not says(text, opposite)


def _by_line(said: Iterator[tuple[str, Place]]) -> Mapping[_LINE, tuple[str, Place]]:
    """All that is said on one line as one text, with the first place of it."""
    found_there: dict[_LINE, tuple[str, Place]] = {}
    for text, place in said:
        key = (place.page or 0, place.line or 0)
        before = found_there.get(key)
        found_there[key] = (f"{before[0]} {text}", before[1]) if before else (text, place)
    return found_there


def _of_translation(translation: Translation) -> Mapping[_LINE, tuple[str, Place]]:
    texts: dict[_LINE, list[str]] = defaultdict(list)
    places: dict[_LINE, Place] = {}
    for passage in translation.passages:
        origin = passage.origin
        key = (origin.page or 0, origin.line or 0)
        texts[key].append(origin.text)
        places.setdefault(key, place_of(origin))
    return {key: (" ".join(said), places[key]) for key, said in texts.items()}


def _beside(line: _LINE, ours: Mapping[_LINE, tuple[str, Place]]) -> _LINE | None:
    """The line of ours that stands beside, just above or just below one of theirs; none if it is not sure."""
    page, number = line
    same = [one for one in ours if one[0] == page and abs(one[1] - number) <= _NEAR]
    if line in ours:
        return line
    above = max((one for one in same if one[1] < number), default=None)
    below = min((one for one in same if one[1] > number), default=None)
    return above if above and (below is None or number - above[1] <= below[1] - number) else None


RULES = (languages_disagree_in_words,)
