"""Numbers of uses that a text names: as a life, as the interval of a service, of the device or of a part."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Place
from sinkside.instruction import FigureRole, Stage
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review.asking import parts_named
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import found, says, sentence_with, without
from sinkside.review.named import by_capitals

_NOT_LIVES = frozenset(FigureRole) - {FigureRole.life}
_MISTAKEN = frozenset({FigureRole.repeats, FigureRole.actuations, FigureRole.strokes})
_WHERE_LIVES_STAND = frozenset({Stage.maintenance, Stage.storage, None})
_FEWEST_USES = 5

#: A number without the role of a life is one only if it is as large as this.
_SURELY_USES = 20

#: "350 processing rounds", "400 strokes on the tally": figures that no reading may have taken for a life.
_WRITTEN = re.compile(
    r"(?<![\d.,/-])(\d{2,4})(?:st|nd|rd|th)?\s+(?:[a-z-]+\s+){0,2}?"
    r"(?:cycles|uses|rounds|treatments|reprocessings|processings|sterili[sz]ations|applications|procedures"
    r"|operations|runs|passes(?!\s+(?:of|with|each|per))|strokes on|marks on)\b",
    re.IGNORECASE,
)


#: "replaced when it was used 50 times": how often a thing has been used when its end comes.
_USED = re.compile(
    r"\b(?:was|been|is|are|were)\s+used\s+(?:for\s+)?(\d{1,4})\s*(?:times|x\b|\u00d7)", re.IGNORECASE
)
#: "K and B1 to B3: 1000 cycles": what stands in front of the colon has this life.
_LABELLED = re.compile(r"(?<![\w.])[A-Z]\d?(?=(?:\s*(?:,|and|to|-|&)\s*[A-Z]\d?)*\s*:)")
_PIECES = re.compile(r"[,;]|\band\b", re.IGNORECASE)
_JOINS_PARTS = frozenset({"and", "or", "&", "+", ","})


@dataclass(frozen=True)
class Life:
    """A number of uses that words name, and what they name it for."""

    number: int
    words: str
    place: Place
    parts: frozenset[str]
    is_service: bool


def lives(case: Case) -> Iterator[Life]:
    """Every number of uses that the text names as a life or as an interval of service."""
    seen: set[tuple[int, str]] = set()
    for passage in case.passages:
        if says(passage.text, "warranty"):
            continue
        for number, written in _numbers(passage):
            # What was not understood is a piece of a sentence, and its subject stands in the whole.
            whole = passage.place.text if passage.text in passage.place.text else passage.text
            said = sentence_with(whole, written)
            if number >= _FEWEST_USES and (number, said) not in seen:
                seen.add((number, said))
                place = passage.place.model_copy(update={"text": said or passage.place.text})
                parts = _parts_in_front(case, said, written) or _components(case, said) or _renewed(said)
                parts = parts or frozenset(_LABELLED.findall(said.partition(written)[0] if written else said))
                piece = _piece(said, written)
                yield Life(number, said, place, parts, _is_service(piece))


def _is_service(piece: str) -> bool:
    """Whether words tell when a service is due; the end of a "service life" is none."""
    rest = without(piece, "service-life")
    return says(rest, "service") and says(rest, "interval")


def _numbers(passage: Passage) -> Iterator[tuple[int, str]]:
    """Numbers of uses as the reading has them, and as they stand in the words."""
    for stated in passage.figures:
        if stated.quantity is FigureQuantity.counted and _is_of_life(passage, stated):
            yield int(stated.number()), stated.as_written
    for written in _USED.finditer(passage.text):
        yield int(written[1]), written[0]
    for written in _WRITTEN.finditer(passage.text):
        if int(written[1]) >= _SURELY_USES and says(passage.text, "life-told"):
            yield int(written[1]), written[0]


def _is_of_life(passage: Passage, stated: Figure) -> bool:
    said = sentence_with(passage.text, stated.as_written)
    if stated.role == FigureRole.life:
        return True
    if stated.role not in _NOT_LIVES:
        return says(said, "uses")
    if stated.role not in _MISTAKEN:
        return False
    if says(said, "used-times") or (says(said, "uses") and says(said, "service")):
        return True
    # A row of a table on replacing: "| O-ring | 50 cycles |".
    is_row = passage.step is None or passage.step.stage in _WHERE_LIVES_STAND
    return is_row and says(stated.as_written, "uses") and stated.number() >= _SURELY_USES


def _piece(said: str, written: str) -> str:
    """The piece of a sentence that holds a number, where a sentence has several numbers."""
    pieces = [piece for piece in _PIECES.split(said) if written in piece]
    return pieces[0] if pieces and len(_WRITTEN.findall(said)) > 1 else said


def _renewed(said: str) -> frozenset[str]:
    """What is called by capitals and renewed from time to time: "Q is exchanged every 25 treatments"."""
    return by_capitals(said) if says(said, "renewed-at-times") else frozenset()


def _components(case: Case, said: str) -> frozenset[str]:
    """The components that words name, apart from what the device itself is called."""
    words_of = (found(text, "component") for text in (said, case.instruction.device.name))
    mine, of_device = (frozenset(word.removesuffix("s") for word in found_) for found_ in words_of)
    return mine - of_device


def _parts_in_front(case: Case, said: str, written: str) -> frozenset[str]:
    """The parts that a number of uses is for; in a list such as "H 300, S 100 cycles" the last in front."""
    parts = parts_named(case, said)
    if len(parts) > 1:
        in_front = said.partition(written)[0]
        group: set[str] = set()
        for word in reversed(in_front.replace(",", " , ").split()):
            named = parts_named(case, word)
            # "A 500 cycles, B and C 150": the figure is for both.
            if group and not named and word not in _JOINS_PARTS:
                break
            group |= set(named)
        if group:
            return frozenset(group)
    return frozenset(parts)
