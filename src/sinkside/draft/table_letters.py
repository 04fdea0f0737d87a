"""Letters that rows of a table are for, and the words in front of the table that say which parts they are."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Passage, PassageKind
from sinkside.instruction.part_letters import letters_alone

#: "F forceps with open handle", "A = bottle": a letter in front of the words for its part.
_IN_FRONT = re.compile(r"(?:^|(?<=[\s;,.]))(?P<letter>[A-Z]\d?)\s+(?:=\s*)?(?=[^\W\d_]{2,})")
_NAME_ENDS = re.compile(r"[,;:(]|\.\s|\swith\s")
_LEAST_CELLS = 3
_LEAST_LETTERS = 2
_MOST_WORDS = 6


def letters_explained(passages: Iterable[Passage], language: str) -> Iterator[tuple[str, str]]:
    """The letters that rows are for, each with the words that name its part in front of the table.

    Args:
        passages: of the whole document.
        language: of its words.
    """
    whole = tuple(passages)
    used = _used(whole)
    told: dict[str, str] = {}
    for letter, words in _told(whole, used):
        if letter not in told and _is_name(words, language):
            told[letter] = words
    things = [letter for letter, words in told.items() if _names_a_thing(words, language)]
    # Where some of a list names things that we know, the rest of it does.
    if len(things) >= _LEAST_LETTERS:
        yield from told.items()


def _used(passages: Iterable[Passage]) -> frozenset[str]:
    """The letters that stand alone in cells of rows, again and again."""
    counted: Counter[str] = Counter()
    for passage in passages:
        if passage.kind is PassageKind.row:
            counted.update({letter for cell in passage.cells for letter in letters_alone(cell.text)})
    often = [letter for letter, cells in counted.items() if cells >= _LEAST_CELLS]
    # What is thrown away stands in one row only, beside parts that stand in many.
    return frozenset(counted) if len(often) >= _LEAST_LETTERS else frozenset()


def _told(passages: Iterable[Passage], used: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Letters with the words behind them, down to the first row that is for some of them."""
    for passage in passages:
        if any(letters_alone(cell.text) for cell in passage.cells):
            return
        if passage.kind is PassageKind.row:
            for cell in passage.cells:
                yield from _in_a_cell(cell.text, used)
        elif passage.kind is PassageKind.sentence and passage.number in used:
            yield passage.number or "", passage.text.lstrip("= ")
        elif passage.kind is PassageKind.sentence or " = " in passage.text:
            match = _IN_FRONT.match(passage.text)
            if match and match["letter"] in used:
                yield match["letter"], passage.text[match.end() :]


def _in_a_cell(text: str, used: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Names in one cell: "A tube, bore 3 mm B plug C cap"."""
    found = [match for match in _IN_FRONT.finditer(text) if match["letter"] in used]
    ends = [*(match.start() for match in found[1:]), len(text)]
    for match, end in zip(found, ends, strict=False):
        yield match["letter"], text[match.end() : end].strip(" ;,.")


def _name(words: str) -> str:
    """The name in front of what is told of a part: "handle (PEEK), 90 mm" is a handle."""
    return _NAME_ENDS.split(words)[0]


def _is_name(words: str, language: str) -> bool:
    """Whether words begin with a name: they ask for nothing, and no verb of duty stands in them."""
    reading = read_words(_name(words).lower(), language)
    asks = reading.at(0, "action") is not None and reading.at(0, "part_noun") is None
    return not asks and not reading.has("modal") and 0 < len(_name(words).split()) <= _MOST_WORDS


def _names_a_thing(words: str, language: str) -> bool:
    reading = read_words(_name(words).lower(), language)
    return any(reading.has(kind) for kind in ("part_noun", "feature", "device_noun", "position_noun", "tool"))
