"""Columns side by side: each read on its own under its head, or, where they are a table, row by row.

Merging "Do" with "Do not" would turn a prohibition into an instruction. So whatever has heads that forbid,
ask or name a language, and whatever is running text, is read column by column; only short cells beside each
other are rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from sinkside.draft.blocks import marker_of
from sinkside.draft.forbidding import asks_column, forbids_column
from sinkside.draft.gutters import LaidLine, Piece, Region
from sinkside.draft.hyphens import joined
from sinkside.draft.lexicon import LANGUAGES, read_words

_MOST_WORDS_IN_A_HEAD = 7
_MOST_WORDS_IN_A_LABEL = 5
_MOST_WORDS_IN_AN_ABBREVIATION = 2
_LEAST_LINES = 3
_LEAST_COLUMNS_OF_A_TABLE = 3
_SHARE_OF_RUNNING_LINES = 0.2
_ENDS_SENTENCE = re.compile(r"[.!?;]$")
#: What a column says of its language at its head, in that language or in English.
_LANGUAGE_NAMES = re.compile(
    r"(?:(?:english|deutsch|german|fran[cç]ais|french|espa[nñ]ol|spanish|italiano|italian|nederlands|dutch"
    r"|portugu[eê]s|portuguese|svenska|swedish|polski|polish|en|de|fr|es|it|nl|pt|gb|uk|us)\b\W*)+",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Told:
    """What a line says in one column."""

    line: LaidLine
    text: str
    prominent: bool


@dataclass(frozen=True, slots=True)
class Columns:
    """Columns of running text: the words at the head of each ('' if none), and what stands below them."""

    heads: tuple[str, ...]
    texts: tuple[tuple[Told, ...], ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """A table: for each row its first line and its cells; whether the first row holds the heads."""

    cells: tuple[tuple[LaidLine, tuple[str, ...]], ...]
    titled: bool


@dataclass(frozen=True, slots=True)
class Heads:
    """Governing heads met before: over which columns, so that the next page or section goes on under them."""

    starts: tuple[float, ...]
    texts: tuple[str, ...]

    def over(self, region: Region, align: float) -> bool:
        """Whether a region has the same columns."""
        pairs = zip(self.starts, region.starts, strict=False)
        same = len(self.starts) == len(region.starts)
        return same and all(abs(a - b) <= align for a, b in pairs)


def govern_columns(heads: Sequence[str]) -> bool:
    """Whether heads say how all of their columns are to be taken: one forbids, or two name languages.

    >>> govern_columns(["Do", "DO NOT"]), govern_columns(["English", "Deutsch"]), govern_columns(["Do"])
    (True, True, False)
    """
    if sum(1 for head in heads if names_language(head)) > 1:
        return True
    return any(forbids_column(head, language) for head in heads if head for language in LANGUAGES)


def says_how(head: str) -> bool:
    """Whether a head says nothing but how its column is to be taken."""
    return names_language(head) or any(
        forbids_column(head, language) or asks_column(head, language) for language in LANGUAGES
    )


def opens_columns(line: LaidLine) -> bool:
    """Whether a line holds heads that govern columns."""
    heads = [piece.text for piece in line.pieces]
    short = all(len(head.split()) <= _MOST_WORDS_IN_A_HEAD and not _is_content(head) for head in heads)
    return len(heads) > 1 and short and govern_columns(heads)


def names_language(head: str) -> bool:
    """Whether a head names a language and nothing else."""
    return _LANGUAGE_NAMES.fullmatch(head.strip()) is not None


def read_region(region: Region, before: Heads | None, *, align: float) -> Columns | Rows | None:
    """What stands in a region; none if it is only text with wide gaps.

    Args:
        region: the lines and their gutters.
        before: the heads of the last region, which also hold for this one if its columns are the same.
        align: how far the starts of the same column may differ.
    """
    heads = region.texts(region.lines[0])
    if govern_columns(heads):
        return _columns(region, tuple(heads), region.lines[1:])
    if before and before.over(region, align):
        return _columns(region, before.texts, region.lines)
    shared = sum(1 for line in region.lines if sum(1 for text in region.texts(line) if text) > 1)
    if shared < _LEAST_LINES and not (shared > 1 and _is_wide(region, 1.5 * align)):
        return None
    if _is_running(region):
        titled = _are_heads(region)
        below = region.lines[1:] if titled else region.lines
        return _columns(region, tuple(heads) if titled else ("",) * len(heads), below)
    return _rows(region)


def _is_wide(region: Region, least: float) -> bool:
    return all(end - begin > least for begin, end in region.gutters)


def _columns(region: Region, heads: tuple[str, ...], lines: tuple[LaidLine, ...]) -> Columns:
    cells = [(line, region.cells(line)) for line in lines]
    texts = tuple(
        tuple(told_in(line, cell[column]) for line, cell in cells if cell[column])
        for column in range(len(heads))
    )
    return Columns(heads, texts)


def told_in(line: LaidLine, pieces: list[Piece]) -> Told:
    """What a line says in one column."""
    return Told(line, " ".join(piece.text for piece in pieces), all(piece.prominent for piece in pieces))


def _are_heads(region: Region) -> bool:
    """Whether the first line is set off over every column: short words, no figures, white or a rule below."""
    texts = region.texts(region.lines[0])
    worded = all(
        text and len(text.split()) <= _MOST_WORDS_IN_A_HEAD and not _is_content(text) for text in texts
    )
    second = region.lines[1]
    prominent = region.lines[0].prominent and not second.prominent
    return worded and (second.gap_before or region.lines[0].underlined or prominent)


def _is_running(region: Region) -> bool:
    """Whether the columns hold sentences or lists, and are no table of short cells."""
    columns = [
        [text for texts in map(region.texts, region.lines) if (text := texts[place])]
        for place in range(len(region.gutters) + 1)
    ]
    if all(_is_list(texts) for texts in columns):
        return True
    if len(columns) >= _LEAST_COLUMNS_OF_A_TABLE:
        return False
    left = columns[0]
    if median(len(text.split()) for text in left) <= _MOST_WORDS_IN_A_LABEL - 1:
        return False
    return all(_share_going_on(texts) >= _SHARE_OF_RUNNING_LINES for texts in columns) or any(
        _ENDS_SENTENCE.search(text) for text in left
    )


def _is_list(texts: list[str]) -> bool:
    marked = sum(1 for text in texts if re.search(r"[A-Za-z]{2}", text) and marker_of(text))
    return marked > 1 and marked * 4 >= len(texts)


def _share_going_on(texts: list[str]) -> float:
    return sum(1 for text in texts if text[:1].islower()) / len(texts)


def _rows(region: Region) -> Rows:
    """Lines that belong together as rows: those between white, else each that begins with a first cell."""
    gaps = sum(1 for line in region.lines[1:] if line.gap_before)
    spaced = gaps * 3 >= len(region.lines) - 1 and gaps < len(region.lines) - 1
    groups: list[list[tuple[LaidLine, list[str]]]] = []
    for line in region.lines:
        texts = region.texts(line)
        begins = line.gap_before or not groups if spaced else _begins_row(groups, line, texts)
        if begins:
            groups.append([(line, texts)])
        else:
            groups[-1].append((line, texts))
    cells = tuple((group[0][0], tuple(_joined(group))) for group in groups)
    return Rows(cells, _are_heads(region) or _is_ruled_off(groups) or _names_columns(cells))


def _is_ruled_off(groups: list[list[tuple[LaidLine, list[str]]]]) -> bool:
    """Whether a rule stands below the first row alone, be its heads on one line or two."""
    rows = [group[-1][0].underlined for group in groups]
    heads = [text for _, texts in groups[0] for text in texts]
    worded = not any(re.search(r"\d", text) for text in heads)
    return len(rows) > _LEAST_LINES and rows[0] and not any(rows[1:-1]) and worded


def _names_columns(cells: tuple[tuple[LaidLine, tuple[str, ...]], ...]) -> bool:
    """Whether the first row has words that name columns, or of many columns no figure over some."""
    first = cells[0][1]
    if any(_is_content(text) for text in first):
        return False
    for language in LANGUAGES:
        named = sum(1 for text in first if text and read_words(text.lower(), language).has("column"))
        if named * 2 > len(first):
            return True
    below = cells[1][1][1:] if len(cells) > 1 else ()
    figured = sum(1 for text in below if re.search(r"\d", text))
    return len(first) >= _LEAST_COLUMNS_OF_A_TABLE and figured * 2 >= len(below) > 0


def _is_content(text: str) -> bool:
    """Whether words are no head: a figure, a sentence or an item of a list; 'No.' may be a head."""
    sentence = _ENDS_SENTENCE.search(text) and len(text.split()) > _MOST_WORDS_IN_AN_ABBREVIATION
    return bool(re.search(r"\d", text) or sentence or marker_of(text))


def _begins_row(groups: list[list[tuple[LaidLine, list[str]]]], line: LaidLine, texts: list[str]) -> bool:
    """A first cell begins a row, unless it stands alone close under a row and only goes on with it."""
    if not groups or line.gap_before:
        return True
    alone = sum(1 for text in texts if text) == 1
    return bool(texts[0]) and not (
        alone and (texts[0][:1].islower() or len(texts) >= _LEAST_COLUMNS_OF_A_TABLE)
    )


def _joined(group: list[tuple[LaidLine, list[str]]]) -> Iterator[str]:
    for column in range(len(group[0][1])):
        yield joined(texts[column] for _, texts in group if texts[column]).replace("|", "/")
