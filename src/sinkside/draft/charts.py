"""Charts: at the side the name of a stage or a subject, behind it as running text what is to be done."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sinkside.draft.gutters import LaidLine, Region
from sinkside.draft.lexicon import LANGUAGES, read_words
from sinkside.draft.sidebyside import Told, told_in

_MOST_WORDS_IN_A_LABEL = 6
_LEAST_WORDS_OF_TEXT = 6
_COLUMNS = 2
_SENTENCE = re.compile(r"[^\W\d_]{2}\S*[.!?:;](?:\s|$)")


@dataclass(frozen=True, slots=True)
class Entry:
    """A label and the lines that stand behind it."""

    label: str
    texts: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """The entries of a chart from the top down, and how many signs a line of their text holds."""

    entries: tuple[Entry, ...]
    width: int


def chart_in(region: Region) -> Chart | None:
    """The chart that a region is: every label names a stage or a subject, and sentences stand behind it.

    Cells of a few words are no chart but a table; it is read row by row.
    """
    if len(region.gutters) + 1 != _COLUMNS:
        return None
    entries: list[tuple[list[str], list[Told]]] = []
    for line in region.lines:
        label, text = region.texts(line)
        if label and not text and line.gap_before and entries:
            return None  # 'D  HAND CLEANING' over the labels of its own rows: that is a table with bands
        if label and (not entries or _begins(entries[-1], line, label=label, text=text)):
            entries.append(([], []))
        if not entries:
            return None
        if label:
            entries[-1][0].append(label)
        if text:
            entries[-1][1].append(told_in(line, region.cells(line)[1]))
    made = tuple(Entry(" ".join(label), tuple(texts)) for label, texts in entries)
    if not all(_is_entry(entry) for entry in made):
        return None
    return Chart(made, max(len(told.text) for entry in made for told in entry.texts))


def _begins(entry: tuple[list[str], list[Told]], line: LaidLine, *, label: str, text: str) -> bool:
    """Whether a label begins an entry; one close under another may go on: 'Containment and', 'transport'."""
    above = " ".join(entry[0])
    close = len(entry[1]) <= len(entry[0]) and not line.gap_before
    broken = label[:1].islower() or above.endswith(("&", "/", ",", "-")) or not _names_something(above)
    return bool(text) and not (close and broken)


def _is_entry(entry: Entry) -> bool:
    words = " ".join(told.text for told in entry.texts)
    short = 0 < len(entry.label.split()) <= _MOST_WORDS_IN_A_LABEL and not entry.label.endswith((".", ","))
    running = len(words.split()) >= _LEAST_WORDS_OF_TEXT and _SENTENCE.search(words) is not None
    return short and running and not re.search(r"\d", entry.label) and _names_something(entry.label)


def _names_something(label: str) -> bool:
    """Whether a label names a stage or says what is described, in any language that is read."""
    readings = (read_words(label.lower(), language) for language in LANGUAGES)
    return any(reading.has("stage") or reading.has("section") for reading in readings)
