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
#: Of many labels some may be a maker's own word: 'Jet', 'Joints'.
_LEAST_ENTRIES_WITH_OWN_WORDS = 6
_LEAST_SHARE_NAMED = 0.5
_LEAST_SHARE_RUNNING = 0.8
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
    """The chart that a region is: its labels name stages or subjects, and sentences stand behind each.

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
    if not _are_entries(made):
        return None
    return Chart(made, max(len(told.text) for entry in made for told in entry.texts))


def _begins(entry: tuple[list[str], list[Told]], line: LaidLine, *, label: str, text: str) -> bool:
    """Whether a label begins an entry; one close under another may go on: 'Containment and', 'transport'."""
    above = " ".join(entry[0])
    close = len(entry[1]) <= len(entry[0]) and not line.gap_before
    broken = label[:1].islower() or above.endswith(("&", "/", ",", "-")) or not _names_something(above)
    return bool(text) and not (close and broken)


def _are_entries(made: tuple[Entry, ...]) -> bool:
    """Whether all are entries that name something; of many, most: 'Jet' and 'Joints' stand among them."""
    if not all(_is_label(entry.label) for entry in made):
        return False
    named = sum(1 for entry in made if _names_something(entry.label))
    running = sum(1 for entry in made if _is_running(entry))
    if len(made) < _LEAST_ENTRIES_WITH_OWN_WORDS:
        return named == running == len(made)
    return named >= len(made) * _LEAST_SHARE_NAMED and running >= len(made) * _LEAST_SHARE_RUNNING


def _is_label(label: str) -> bool:
    short = 0 < len(label.split()) <= _MOST_WORDS_IN_A_LABEL and not label.endswith((".", ","))
    return short and not re.search(r"\d", label)


def _is_running(entry: Entry) -> bool:
    words = " ".join(told.text for told in entry.texts)
    return len(words.split()) >= _LEAST_WORDS_OF_TEXT and _SENTENCE.search(words) is not None


def _names_something(label: str) -> bool:
    """Whether a label names a stage or says what is described, in any language that is read."""
    readings = (read_words(label.lower(), language) for language in LANGUAGES)
    return any(reading.has("stage") or reading.has("section") for reading in readings)
