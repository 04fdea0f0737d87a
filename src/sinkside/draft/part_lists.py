"""Lists that give parts their letters: items, rows, or one sentence ("A handle, B lever, C shaft")."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.stepping import StepDraft
from sinkside.instruction import Action, Part, PartUse, Stage

_LETTER = re.compile(r"[A-Z]{1,2}\d?")
_IN_A_SENTENCE = re.compile(r"(?:^|[,;:]\s*|\band\s+)(?P<letter>[A-Z])\s+(?P<words>[a-z][^,;:.]*)")
_LEAST_IN_A_SENTENCE = 3
_MOST_WORDS = 14
_WORDS_THAT_NAME = 5


def listed_parts(passages: Iterable[Passage], language: str) -> Iterator[tuple[str, str]]:
    """The letter and the words of every part that a list names, in order.

    Args:
        passages: of the whole document.
        language: of its words.
    """
    heading = ""
    for passage in passages:
        if passage.kind is PassageKind.heading:
            heading = passage.text
        elif passage.kind is PassageKind.row:
            yield from _of_row(passage, language)
        elif passage.kind is PassageKind.sentence and passage.number and _LETTER.fullmatch(passage.number):
            words = passage.text.lstrip("= ")
            told = passage.text.startswith("=") or _heads_parts(heading, language)
            if told and _names_a_thing(words, language):
                yield passage.number, words
        elif passage.kind is PassageKind.sentence:
            yield from _of_sentence(passage.text, language)


def _of_row(row: Passage, language: str) -> Iterator[tuple[str, str]]:
    """'| B | sleeve, PEEK |' under heads that name parts."""
    if not row.number or not _LETTER.fullmatch(row.number) or len(row.cells) < 2:  # noqa: PLR2004 # both cells
        return
    headed = any(read_words(cell.head.lower(), language).has("column", "part") for cell in row.cells)
    if headed and _names_a_thing(row.cells[1].text, language):
        yield row.number, row.cells[1].text


def _of_sentence(text: str, language: str) -> Iterator[tuple[str, str]]:
    """The letters of a sentence that follow each other from A, each before the words for its part."""
    found = [(match["letter"], match["words"].strip()) for match in _IN_A_SENTENCE.finditer(text)]
    follows = [letter for letter, _ in found] == [chr(ord("A") + place) for place in range(len(found))]
    named = [pair for pair in found if _names_a_thing(pair[1], language)]
    # Letters in a row from A are one list: where most of it names things, all of it does.
    if follows and len(found) >= _LEAST_IN_A_SENTENCE and len(named) * 2 > len(found):
        yield from found


def _heads_parts(heading: str, language: str) -> bool:
    reading = read_words(heading.lower(), language)
    return reading.has("column", "part") or reading.has("part_list")


def _names_a_thing(text: str, language: str) -> bool:
    """Whether words begin with the name of a part, and do not ask for anything."""
    reading = read_words(text.lower(), language)
    named = any(
        reading.all(kind, last=min(_WORDS_THAT_NAME, len(reading.tokens)))
        for kind in ("part_noun", "feature", "device_noun", "position_noun", "tool")
    )
    asks = reading.at(0, "action") is not None and reading.at(0, "part_noun") is None
    return named and len(text.split()) <= _MOST_WORDS and not asks


def with_thrown_away(parts: dict[str, Part], steps: Sequence[StepDraft]) -> dict[str, Part]:
    """The parts with their use, where the steps tell it: 'C | pull off and throw away' and never again C.

    Only what is thrown away before anything is cleaned; a remark behind the last step tells of no use.

    Args:
        parts: the parts by their letter.
        steps: all steps of the text, in order.
    """
    told = dict(parts)
    for place, step in enumerate(steps):
        named = [one for one in step.on if one in parts]
        early = step.stage in {Stage.point_of_use, Stage.preparation} and step.condition is None
        if step.action is not Action.discard_part or len(named) != 1 or not early:
            continue
        behind = steps[place + 1 :]
        again = any(named[0] in one.on for one in behind)
        is_before_cleaning = any(one.stage is Stage.cleaning for one in behind)
        if is_before_cleaning and not again and parts[named[0]].use is PartUse.reusable:
            told[named[0]] = parts[named[0]].model_copy(update={"use": PartUse.discard_after_use})
    return told
