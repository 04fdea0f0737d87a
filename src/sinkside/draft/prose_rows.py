"""Rows of a chart drawn with strokes whose cell is running text: its sentences, under the row's subject."""

from __future__ import annotations

import re
from dataclasses import replace

from sinkside.draft.forbidding import asks_alone, forbids_column
from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Cell, Passage, PassageKind
from sinkside.draft.splitting import split_sentences

_MOST_WORDS_IN_A_LABEL = 6
_LEAST_SENTENCES = 2
_LABEL_AND_TEXT = 2
#: "A-4.", "C2", "12)": the mark of an item that hangs beside its text.
_HANGING_MARK = re.compile(r"(?:[A-Z]{1,2}[-.]?)?\d{1,3}[a-z]?[.)]?")
#: Only words in a row, as a sentence has them, are running text.
_LEAST_WORDS_OF_A_TEXT = 4


def told_rows(row: Passage, language: str) -> list[Passage]:
    """A heading and the sentences below it, where a row is that; else nothing: it is read cell by cell.

    Args:
        row: a row with its cells.
        language: of its words.
    """
    hanging = _hanging_item(row, language)
    if hanging:
        return hanging
    filled = [cell for cell in row.cells if cell.text.strip() and cell.text.strip(" .") != row.number]
    if len(filled) == _LABEL_AND_TEXT and not any(cell.head for cell in row.cells):
        beside = _beside_key_word(row, filled[0].text.strip(), filled[1].text, language)
        if beside:
            return beside
    if len(filled) != _LABEL_AND_TEXT or not _is_label(filled[0], language):
        return []
    if any(forbids_column(cell.head, language) for cell in filled if cell.head):
        return []
    text = filled[1].text
    sentences = [(text[start:end], lead) for start, end, lead in split_sentences(text, language)]
    if len(sentences) < _LEAST_SENTENCES or any(";" in one for one, _ in sentences):
        return []
    told = replace(row, kind=PassageKind.sentence, number=None, cells=())
    heading = replace(row, kind=PassageKind.heading, text=filled[0].text.rstrip(":"), cells=())
    return [heading, *(replace(told, text=" ".join(one.split()), lead=lead) for one, lead in sentences)]


def _hanging_item(row: Passage, language: str) -> list[Passage]:
    """'A-4. | Cover the parts, carry them off.': an item whose mark hangs beside its sentences."""
    filled = [cell for cell in row.cells if cell.text.strip()]
    if len(filled) != _LABEL_AND_TEXT or len(row.cells) > _LABEL_AND_TEXT:
        return []
    mark, text = filled[0].text.strip(), filled[1].text.strip()
    if not _HANGING_MARK.fullmatch(mark) or not _is_running(text):
        return []
    if any(cell.head and forbids_column(cell.head, language) for cell in filled):
        return []
    told = replace(row, kind=PassageKind.sentence, number=mark.rstrip(".)"), cells=())
    return [
        replace(told, text=" ".join(text[start:end].split()), lead=lead)
        for start, end, lead in split_sentences(text, language)
    ]


def _beside_key_word(row: Passage, label: str, text: str, language: str) -> list[Passage]:
    """'Do | Lower it into the bath. Leave it there.': a key word of a card, and sentences beside it."""
    told = replace(row, kind=PassageKind.sentence, cells=())
    sentences = [(text[start:end], lead) for start, end, lead in split_sentences(text, language)]
    if not asks_alone(label, language) or len(sentences) < _LEAST_SENTENCES:
        return []
    return [replace(told, text=" ".join(one.split()), lead=lead) for one, lead in sentences]


def _is_running(text: str) -> bool:
    return len(text.split()) >= _LEAST_WORDS_OF_A_TEXT and text.endswith((".", "!", "?"))


def _is_label(cell: Cell, language: str) -> bool:
    words = cell.text.strip()
    reading = read_words(words.lower(), language)
    named = reading.has("stage") or reading.has("section")
    return named and len(words.split()) <= _MOST_WORDS_IN_A_LABEL and not re.search(r"\d", words)
