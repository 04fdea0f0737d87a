"""Rows of a chart drawn with strokes whose cell is running text: its sentences, under the row's subject."""

from __future__ import annotations

import re
from dataclasses import replace

from sinkside.draft.forbidding import forbids_column
from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Cell, Passage, PassageKind
from sinkside.draft.splitting import split_sentences

_MOST_WORDS_IN_A_LABEL = 6
_LEAST_SENTENCES = 2
_LABEL_AND_TEXT = 2


def told_rows(row: Passage, language: str) -> list[Passage]:
    """A heading and the sentences below it, where a row is that; else nothing: it is read cell by cell.

    Args:
        row: a row with its cells.
        language: of its words.
    """
    filled = [cell for cell in row.cells if cell.text.strip() and cell.text.strip(" .") != row.number]
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


def _is_label(cell: Cell, language: str) -> bool:
    words = cell.text.strip()
    reading = read_words(words.lower(), language)
    named = reading.has("stage") or reading.has("section")
    return named and len(words.split()) <= _MOST_WORDS_IN_A_LABEL and not re.search(r"\d", words)
