"""What stands above the first heading: notices, the maker, the device, the name of the document."""

from __future__ import annotations

import re
from dataclasses import replace

from sinkside.draft.blocks import Block
from sinkside.draft.clauses import clauses_of
from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.stages import names_only_a_stage

NOTICE = re.compile(r"^\[.*|.*\]$")
#: "Exposure time: 4 min": a label and its value on a line of their own.
PARAMETER = re.compile(r"^\s*(?P<label>[^\W\d_][^:;.!?]{1,45}):\s+\S")
#: "Cleaning and sterilisation of the LARK grasper" is the title of a document.
_FOR_A_DEVICE = re.compile(r"\b(?:of|for)\s+(?:the\s+|your\s+)?[A-Z]")
_MOST_WORDS_IN_A_LABEL = 4
_MOST_WORDS_IN_A_TITLE = 13
_MOST_SENTENCES_ABOVE_A_TITLE = 4
_LAST_LINE_OF_A_TITLE = 9
_MOST_CELLS_OF_A_TITLE = 3
_WORDS_THAT_LEAD_ON = {
    "a",
    "an",
    "and",
    "as",
    "by",
    "for",
    "from",
    "in",
    "of",
    "on",
    "or",
    "the",
    "to",
    "with",
}


def is_label(lead: str) -> bool:
    """Whether a lead-in is a short label: 'Try:', 'Machine drying:'."""
    return lead.endswith(":") and len(lead.split()) <= _MOST_WORDS_IN_A_LABEL


def is_next_title_line(block: Block, line: str, *, number: int, page: int) -> bool:
    """Maker, device and document stand on lines of their own, however long these are."""
    before, text = block.texts[-1].split(), line.strip()
    ended = re.search(r"[,;:–-]$", block.texts[-1].rstrip()) is not None
    leads_on = ended or not before or before[-1].lower() in _WORDS_THAT_LEAD_ON
    in_front = page == 1 and number <= _LAST_LINE_OF_A_TITLE
    plain = in_front and block.number is None and not block.bullet
    return plain and not leads_on and text[:1].isupper() and not text.endswith((".", ";", ":"))


def front_matter(found: list[Passage], language: str = "en") -> list[Passage]:
    """What stands before the first real heading, item or long sentence is the title of the document.

    A notice above the title ("Draft. Not for clinical use.") does not end it: it stays a sentence.
    """
    titled: list[Passage] = []
    named = False
    for place, passage in enumerate(found):
        title = not passage.number and (
            passage.kind is not PassageKind.row or _is_title_row(passage, language)
        )
        title = title and _could_be_title(passage, found[place:], language)
        title = title and not (named and _opens_work(passage, found[place + 1 :], language))
        above = not named and place < _MOST_SENTENCES_ABOVE_A_TITLE and _could_stand_above(passage, language)
        if not (title or above):
            return titled + found[place:]
        named = named or title
        titled.append(replace(passage, kind=PassageKind.front) if title else passage)
    return titled if named else found


def _is_title_row(passage: Passage, language: str) -> bool:
    """'CARE INSTRUCTIONS | Doc. 7': cells beside each other above the first heading."""
    if len(passage.cells) > _MOST_CELLS_OF_A_TITLE or any(cell.head for cell in passage.cells):
        return False
    reading = read_words(passage.text.lower(), language)
    names = any(reading.has(kind) for kind in ("title_word", "maker_noun", "device_noun", "front_label"))
    return names and not any(
        reading.at(place + 1, "unit") for place, x in enumerate(reading.tokens) if x.value
    )


def _opens_work(passage: Passage, rest: list[Passage], language: str) -> bool:
    """Behind the title, a heading over things to do is no title, as 'Basin' over '- Rinse it'."""
    below = rest[0] if rest else None
    if passage.kind is not PassageKind.heading or below is None or below.kind is not PassageKind.sentence:
        return False
    reading = read_words(passage.text.lower(), language)
    names = any(reading.has(kind) for kind in ("device_noun", "title_word", "maker_noun"))
    asks = below.bullet or below.number or clauses_of(read_words(below.text, language))
    return bool(asks) and not names and not re.search(r"\d", passage.text)


def _could_stand_above(passage: Passage, language: str) -> bool:
    """A sentence without figures that asks for nothing, as a notice over the title is."""
    plain = passage.kind is PassageKind.sentence and not (passage.bullet or passage.number or passage.lead)
    return plain and not re.search(r"\d", passage.text) and not clauses_of(read_words(passage.text, language))


def _could_be_title(passage: Passage, rest: list[Passage], language: str) -> bool:
    if NOTICE.match(passage.text):
        return True
    if passage.lead or "=" in passage.text:
        return False
    parameter = PARAMETER.match(passage.text)
    label = read_words(parameter["label"].lower(), language) if parameter else None
    if label and not any(label.has(kind) for kind in ("front_label", "device_noun", "title_word")):
        return False
    reading = read_words(passage.text.lower(), language)
    if passage.kind is PassageKind.heading and names_only_a_stage(passage.text, language):
        return False
    if passage.kind is PassageKind.heading:
        entitled = reading.has("title_word") and not re.search(r"\b\d+\b", passage.text)
        stages = {lexeme.value for lexeme in reading.all("stage")}
        entitled = entitled or (len(stages) > 1 and _FOR_A_DEVICE.search(passage.text) is not None)
        entitled = entitled or reading.has("maker_noun")
        return not (reading.has("stage") or reading.has("section")) or entitled
    ends = passage.text.endswith(".") and not reading.has("maker_noun")
    longest = max(len(piece.split()) for piece in re.split(r" [-–—|/] |, ", passage.text))
    return longest <= _MOST_WORDS_IN_A_TITLE and not ends and len(rest) > 1
