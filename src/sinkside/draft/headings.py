"""Which paragraphs are headings: by type, numbers, capitals or what they name; and questions are."""

from __future__ import annotations

import re

from sinkside.draft.blocks import Block
from sinkside.draft.captions import is_caption, is_of_table
from sinkside.draft.clauses import clauses_of
from sinkside.draft.front import NOTICE, PARAMETER
from sinkside.draft.lexicon import read_words
from sinkside.draft.questions import is_question, without_label
from sinkside.draft.splitting import split_sentences
from sinkside.draft.stages import is_describing, names_only_a_stage, stages_named

_CAPITAL_LABEL = re.compile(r"^([A-Z][A-Z ,/&()'-]{3,60}?)(?::|\s[–—-])\s+(?=\S)")
_MOST_WORDS_IN_A_HEADING = 9
_MOST_WORDS_IN_CAPITALS = 18
_MOST_WORDS_IN_A_TITLE = 5
_LONGEST_ABBREVIATION = 2
#: "Cleaning in a washer", "Reinigung im Gerät": the name of a work, not the asking for it.
_NAMES_WORK = re.compile(r"\w+(?:ing|tion|sion|ance|ment|age|ung|eza|ado|ción|sión)$", re.IGNORECASE)
#: "== Cleaning ==", "[CLEANING]", "» Cleaning", "*** Cleaning ***".
_DECORATED = re.compile(r"^[\[<{(=*~_+»■▶►●◆–—-]+\s*(?P<words>[^\W\d_].*?)\s*[\]>})=*~_+«:–—-]*$")
#: "Step 3 – Rinse it": the dash behind the number.
_LEADING_DASH = re.compile(r"^[–—-]\s+")


def undecorated(text: str, language: str) -> str:
    """A paragraph without the signs that set off a heading, and without the letter of question or answer.

    >>> undecorated("## Cleaning", "en"), undecorated("[ CLEANING ]", "en"), undecorated("(see 3)", "en")
    ('Cleaning', 'CLEANING', '(see 3)')
    """
    text = text.lstrip("#").strip() if text.startswith("#") else text
    text = _LEADING_DASH.sub("", text)
    decorated = _DECORATED.match(text)
    if decorated and names_only_a_stage(decorated["words"], language):
        return decorated["words"]
    return _of_stage(text, language) or without_label(text)


def _of_stage(text: str, language: str) -> str:
    """The words behind a label that announces a stage: 'Stage: Point of use'; empty if there is none."""
    own = PARAMETER.match(text)
    label = read_words(own["label"].lower(), language) if own else None
    column = label.at(0, "column") if label else None
    if own is None or label is None or column is None or column.value != "stage":
        return ""
    value = text[own.end("label") + 1 :].strip()
    whole = column.last == len(label.tokens) and not re.search(r"\d", value)
    short = len(value.split()) <= _MOST_WORDS_IN_A_HEADING and not value.endswith((".", ";"))
    return value if whole and short and stages_named(value, language) else ""


def stage_label(block: Block, text: str, language: str) -> int:
    """How many signs a label in capitals takes that heads its own lines, as 'STORAGE: Dry.' does."""
    label = _CAPITAL_LABEL.match(text)
    if label is None or block.bullet:
        return 0
    if stages_named(label[1], language):
        return label.end()
    # 'WARNING: …' with one sentence is that warning, no section of its own.
    warning = read_words(label[1].lower(), language).at(0, "warning") is not None
    alone = warning and len(list(split_sentences(text[label.end() :], language))) == 1
    return label.end() if is_describing(label[1], language) and not alone else 0


def is_heading(block: Block, text: str, language: str) -> bool:
    """Whether a paragraph heads what follows it; `text` is its words without decoration."""
    # "# Count. Wipe blood off.": a sign of the maker's own before sentences.
    signed = block.text.startswith("#") and not text.endswith((".", ";"))
    marked = signed or block.lines[0].label
    tabled = not block.number and is_caption(text) and is_of_table(text)
    if marked or tabled or is_question(block, text) or _is_decorated(block, text, language):
        return True
    if _is_sentence_over_items(block, text, language):
        return True
    if not _could_be_heading(block, text, language):
        return False
    capitals = text.partition("(")[0].strip()
    if capitals.isupper() and len(capitals) > _LONGEST_ABBREVIATION:
        return True
    return not _holds_figures(text, language) and _is_set_as_heading(block, text, language)


def are_siblings(number: str, following: str | None) -> bool:
    """Whether two labels are of one kind: '1' and '2', 'a' and 'b'."""
    if following is None:
        return False
    kinds = [(one.isdigit(), one.isupper(), one.count(".")) for one in (number, following)]
    return kinds[0] == kinds[1]


def _is_decorated(block: Block, text: str, language: str) -> bool:
    """Whether signs set the paragraph off, or a bullet stands before a stage in capitals."""
    if block.bullet:
        return text.isupper() and names_only_a_stage(text, language)
    if _of_stage(block.text, language):
        return True
    return _DECORATED.match(block.text) is not None and names_only_a_stage(text, language)


def _is_set_as_heading(block: Block, text: str, language: str) -> bool:
    """By its type, by the numbers that follow, or because it stands alone."""
    if all(line.prominent for line in block.lines) or _opens_section(block, text, language):
        return True
    alone = len(block.lines) == 1 and not block.number and not text.endswith(":")
    if alone and block.ends_before and names_only_a_stage(text, language):
        return True
    if not block.gap_before or _begins_with_verb(text, language):
        return False
    if block.number:
        listed = are_siblings(block.number, block.following) and not block.gap_after
        return not listed and not text.endswith(":")
    if text.endswith(":"):
        reading = read_words(text.lower(), language)
        return reading.has("stage") or reading.has("section")
    return len(block.lines) == 1 and text[0].isupper()


def _is_sentence_over_items(block: Block, text: str, language: str) -> bool:
    """'5 Manual cleaning.' over '5.1 …', 'E. Hand wash.' over 'E1 …': a name that ends as a sentence does."""
    named = text.endswith(".") and names_only_a_stage(text, language)
    if not named or block.bullet or len(block.lines) > 1:
        return False
    # "Rinse." is a step of its own, unless steps hang from it.
    asks = bool(clauses_of(read_words(text.rstrip(".").lower(), language)))
    if block.number:
        inside = leads_to(block.number, block.following)
        return inside or not (asks or are_siblings(block.number, block.following))
    return not asks and block.gap_before and block.ends_before


def leads_to(number: str, following: str | None) -> bool:
    """Whether the item behind hangs from one: '5.1' from '5', 'E1' and 'E.1' from 'E'."""
    if not following or following == number or not following.startswith(number):
        return False
    rest = following[len(number) :]
    return rest.startswith(".") or (number.isalpha() and rest.isdigit())


def _opens_section(block: Block, text: str, language: str) -> bool:
    """'5 Cleaning' before '5.1 …', 'B. Manual cleaning' before '1) …': no sibling follows."""
    if block.number is None:
        return False
    if leads_to(block.number, block.following):
        return True
    reading = read_words(text.lower(), language)
    short = len(text.split()) <= _MOST_WORDS_IN_A_TITLE
    asks = reading.at(0, "action") is not None
    named = _NAMES_WORK.match(text.split(maxsplit=1)[0]) is not None and reading.at(0, "stage") is not None
    lone = block.following is None and short and ((reading.has("section") and not asks) or named)
    return not are_siblings(block.number, block.following) and (lone or names_only_a_stage(text, language))


def _holds_figures(text: str, language: str) -> bool:
    reading = read_words(text, language)
    return any(reading.at(place + 1, "unit") for place, token in enumerate(reading.tokens) if token.value)


def _begins_with_verb(text: str, language: str) -> bool:
    """'Rinse the device' is a step; 'Clean by hand' is a heading because it names a stage."""
    reading = read_words(text, language)
    verb = reading.at(0, "action")
    return bool(verb) and len(reading.tokens) > (verb.last if verb else 0) and not reading.has("stage")


def _could_be_heading(block: Block, text: str, language: str) -> bool:
    """Short, with words, without the end of a sentence."""
    most = _MOST_WORDS_IN_CAPITALS if text.isupper() else _MOST_WORDS_IN_A_HEADING
    long = len(text.partition(" (")[0].split()) > most
    worded = re.search(r"[^\W\d_]{2}", text) is not None and not NOTICE.match(text)
    told = ": " in text and not text.partition("(")[0].isupper()
    # "Cleaning: manual" tells nothing behind its colon but which of two ways follows.
    told = told and not (block.number and names_only_a_stage(text.replace(":", ","), language))
    return worded and not (block.bullet or long or told or text[-1] in ".!?;,")
