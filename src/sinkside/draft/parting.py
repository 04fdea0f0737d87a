"""A document in several languages, parted into the lines of each, side by side or one after another."""

from __future__ import annotations

import itertools
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sinkside.draft.blocks import is_row, marker_of
from sinkside.draft.languages import Scores, languages_of, named_language, scores, scores_with_trade
from sinkside.draft.lines import Line
from sinkside.errors import BadInput

#: What the text goes on in when nothing tells.
DEFAULT_LANGUAGE = "en"

_SEVERAL = 2

#: How much must speak for another language before a line is taken to be in it: little where white space,
#: a new column or the end of a sentence stands before, much within a sentence.
_TO_TURN_AT_A_GAP = 0.6
_TO_TURN_BEHIND_A_SENTENCE = 0.7
_TO_TURN_WITHIN = 1.6
_SAID_BY_A_HEAD = 5.0
_LEAST_FOR_A_COLUMN = 1.5
_LAST_LINE_OF_A_TITLE = 12
_BETWEEN_HALVES = " / "
#: "EN: Rinse the jaw.": a sentence that says in which language it is.
_TAG = re.compile(r"\s*[(\[]?([A-Z]{2})[)\]]?\s*[:–]\s+(?=\S)")
#: "EN  Rinse the jaw.", where the lines of every language begin so.
_BARE_TAG = re.compile(r"\s*[(\[]?([A-Z]{2})[)\]]?\s*(?:[:|–-]\s+|\s)(?=\S)")
_LEAST_TAGGED = 3
#: A column headed by a language holds what is to be done; rows are read by such heads.
_HEADS_OF_ORDERS = {"en": "Instruction", "de": "Anweisung", "fr": "Instruction", "es": "Instrucción"}
#: One long line does not outweigh a card of short ones.
_MOST_OF_A_LINE = 3.0


@dataclass(frozen=True, slots=True)
class Parted:
    """The lines in the language that is read, and those of each other language."""

    language: str
    lines: tuple[Line, ...]
    others: tuple[tuple[str, tuple[Line, ...]], ...] = ()


def part(lines: tuple[Line, ...], wanted: str | None = None) -> Parted:
    """Part a document by its languages.

    Args:
        lines: the document in reading order.
        wanted: the language that was asked for; English if it is there, else the document's own, unless told.

    Raises:
        BadInput: if the document has several languages, and the wanted one is none of them.
    """
    spoken = languages_of(_texts(lines))
    if len(spoken) < _SEVERAL:
        return Parted(wanted or _own(lines, spoken), lines)
    if wanted is not None and wanted not in spoken:
        raise BadInput(
            f"the document is not in '{wanted}'; it is in {', '.join(spoken)}", resource="language"
        )
    language = wanted or (DEFAULT_LANGUAGE if DEFAULT_LANGUAGE in spoken else spoken[0])
    by_language = _by_language(lines, spoken)
    others = tuple((other, tuple(by_language[other])) for other in spoken if other != language)
    return Parted(language, tuple(by_language[language]), others)


def _own(lines: tuple[Line, ...], spoken: tuple[str, ...]) -> str:
    """The one language of a document; a card of short English orders under a foreign address is English."""
    own = spoken[0] if spoken else DEFAULT_LANGUAGE
    if own == DEFAULT_LANGUAGE:
        return own
    told = [scores_with_trade(text) for text in _texts(lines)]
    said = {
        language: sum(min(found.get(language, 0.0), _MOST_OF_A_LINE) for found in told)
        for language in (own, DEFAULT_LANGUAGE)
    }
    return own if said[own] >= said[DEFAULT_LANGUAGE] else DEFAULT_LANGUAGE


def _texts(lines: tuple[Line, ...]) -> Iterator[str]:
    for line in lines:
        yield from line.text.split("|") if is_row(line.text) else (line.text,)


def _by_language(lines: tuple[Line, ...], spoken: tuple[str, ...]) -> dict[str, list[Line]]:
    """The lines of each language in their order; what is said before any language shows belongs to all."""
    parted: dict[str, list[Line]] = {language: [] for language in spoken}
    tag = _tag_of(lines, spoken)
    units = [unit for group in _groups(lines) for unit in _units(group, spoken, tag)]
    for unit, language in zip(units, _along([unit.found for unit in units], units, spoken), strict=True):
        if unit.said is None and named_language(unit.line.text) is not None:
            continue
        for one in spoken if unit.shared else (language,):
            parted[one].append(unit.line)
    return parted


def _tag_of(lines: tuple[Line, ...], spoken: tuple[str, ...]) -> re.Pattern[str]:
    """How lines say in which language they are: a bare 'DE' is a tag where others begin with 'EN'."""
    bare = Counter(found[1] for line in lines if (found := _BARE_TAG.match(line.text)))
    often = {named_language(tag) for tag, count in bare.items() if count >= _LEAST_TAGGED}
    return _BARE_TAG if len(often & set(spoken)) >= _SEVERAL else _TAG


@dataclass(frozen=True, slots=True)
class _Unit:
    """A line or a cell with what speaks for each language.

    `said` is its language where its column tells it; `shared` says that all languages have it.
    """

    line: Line
    found: Scores
    said: str | None = None
    shared: bool = False


def _groups(lines: tuple[Line, ...]) -> Iterator[list[Line]]:
    """Tables whole, and all other lines between them."""
    for _, group in itertools.groupby(lines, key=lambda line: is_row(line.text)):
        yield list(group)


def _units(group: list[Line], spoken: tuple[str, ...], tag: re.Pattern[str]) -> Iterator[_Unit]:
    if not is_row(group[0].text):
        for line in group:
            yield from _of_line(line, spoken, tag)
        return
    rows = [_cells(line) for line in group]
    if len({named_language(row[0]) for row in rows} & set(spoken)) >= _SEVERAL:
        yield from _of_tagged_rows(group, rows, spoken)
        return
    count = max(map(len, rows))
    told = [_of_column([row[x] for row in rows if len(row) == count], spoken) for x in range(count)]
    if len({one for one in told if one}) < _SEVERAL:
        for line in group:
            yield _Unit(line, _of(line.text, spoken))
        return
    for language in spoken:
        yield from _of_columns(group, rows, [one in {language, None} for one in told], language)


def _of_tagged_rows(group: list[Line], rows: list[list[str]], spoken: tuple[str, ...]) -> Iterator[_Unit]:
    """Rows that begin with the name of their language: '| EN | Rinse the jaw. |' under '| DE | … |'."""
    said: str | None = None
    for line, row in zip(group, rows, strict=True):
        named = named_language(row[0])
        said = named if named in spoken else said
        kept = row[1:] if named in spoken or not row[0] else row
        text = kept[0] if len(kept) == 1 else f"| {' | '.join(kept)} |"
        begins = named in spoken or line.gap_before
        found: Scores = {said: _SAID_BY_A_HEAD} if said else _of(text, spoken)
        yield _Unit(replace(line, text=text, gap_before=begins, opens=None), found, said)


def _cells(line: Line) -> list[str]:
    return [cell.strip() for cell in line.text.strip().removeprefix("|").removesuffix("|").split("|")]


def _of_column(cells: Sequence[str], spoken: tuple[str, ...]) -> str | None:
    """The language of a column: as its head names it, else by its words."""
    named = named_language(cells[0]) if cells else None
    if named in spoken:
        return named
    total: dict[str, float] = defaultdict(float)
    for cell in cells:
        halves = cell.split(_BETWEEN_HALVES)
        # What says the same in two languages is for both.
        if len(halves) == 1 or len({_likeliest(_of(half, spoken)) for half in halves}) == 1:
            for language, score in _of(cell, spoken).items():
                total[language] += score
    best = max(spoken, key=lambda language: total[language])
    rest = sum(total.values()) - total[best]
    return best if total[best] >= _LEAST_FOR_A_COLUMN and total[best] > rest else None


def _of_columns(group: list[Line], rows: list[list[str]], kept: list[bool], language: str) -> Iterator[_Unit]:
    """The cells of one language: a row, or, where one column is left, each cell a line of its own."""
    for line, row in zip(group, rows, strict=True):
        whole = len(row) == len(kept)
        cells = [cell for cell, is_kept in zip(row, kept, strict=whole) if is_kept] if whole else row
        if not any(cells) or named_language(" ".join(cells)) is not None:
            continue
        if sum(kept) > 1:
            cells = [_own_half(cell, language) for cell in cells]
            yield _Unit(replace(line, text=f"| {' | '.join(cells)} |"), {language: _SAID_BY_A_HEAD}, language)
        elif any(sign.isalnum() for sign in cells[0]):
            alone = replace(line, text=cells[0], gap_before=True)
            yield _Unit(alone, {language: _SAID_BY_A_HEAD}, language)


def _own_half(cell: str, language: str) -> str:
    """What a cell says in a language: its half of 'Drying / Trocknung'; 'English' heads the orders."""
    if named_language(cell) == language:
        return _HEADS_OF_ORDERS.get(language, cell)
    halves = cell.split(_BETWEEN_HALVES)
    own = [half for half in halves if _likeliest(scores_with_trade(half)) == language]
    return own[0].strip() if len(halves) > 1 and len(own) == 1 else cell


def _of_line(line: Line, spoken: tuple[str, ...], tag: re.Pattern[str]) -> Iterator[_Unit]:
    """A line, or the halves of one that says the same twice: 'Scissors / Schere'."""
    said = named_language(line.column.head) if line.column else None
    if said in spoken:
        yield _Unit(line, {said: _SAID_BY_A_HEAD}, said)
        return
    tagged = tag.match(line.text)
    told = named_language(tagged[1]) if tagged else None
    if tagged and told in spoken:
        yield _Unit(replace(line, text=line.text[tagged.end() :]), {told: _SAID_BY_A_HEAD}, told)
        return
    halves = line.text.split(_BETWEEN_HALVES)
    tongues = [_likeliest(_of(half, spoken)) for half in halves]
    if len(halves) == len(spoken) == len({one for one in tongues if one}):
        for half, language in zip(halves, tongues, strict=True):
            yield _Unit(replace(line, text=half.strip()), {str(language): _SAID_BY_A_HEAD}, language)
        return
    title = line.page == 1 and line.number <= _LAST_LINE_OF_A_TITLE and not any(scores(line.text).values())
    named = named_language(line.text)
    found = {named: _SAID_BY_A_HEAD} if named in spoken else _of(line.text, spoken)
    yield _Unit(line, found, shared=title and named is None)


def _of(text: str, spoken: tuple[str, ...]) -> Scores:
    return {language: score for language, score in scores_with_trade(text).items() if language in spoken}


def _likeliest(found: Scores) -> str | None:
    """The language that most speaks for, if one alone does."""
    if not found:
        return None
    best = max(found.values())
    likeliest = [language for language, score in found.items() if score == best]
    return likeliest[0] if best > 0 and len(likeliest) == 1 else None


def _to_turn(before: _Unit | None, unit: _Unit) -> float:
    # Behind a heading in both languages, or with a number of its own, a line begins anew.
    anew = before is None or bool(unit.said or before.said) or marker_of(unit.line.text) is not None
    if before is None or anew or unit.line.gap_before or unit.line.column != before.line.column:
        return _TO_TURN_AT_A_GAP
    ended = before.line.text.rstrip().endswith((".", "!", ":", ";"))
    return _TO_TURN_BEHIND_A_SENTENCE if ended else _TO_TURN_WITHIN


def _along(found: list[Scores], units: list[_Unit], spoken: tuple[str, ...]) -> list[str]:
    """The likeliest language of every line, where turning from one to another costs (after Viterbi)."""
    best = dict.fromkeys(spoken, 0.0)
    came: list[dict[str, str]] = []
    for place, (one, unit) in enumerate(zip(found, units, strict=True)):
        cost = _to_turn(units[place - 1] if place else None, unit)
        before = max(spoken, key=lambda language: best[language])
        origin = {
            language: language if best[language] >= best[before] - cost else before for language in spoken
        }
        best = {
            language: max(best[language], best[before] - cost) + one.get(language, 0.0) for language in spoken
        }
        came.append(origin)
    language = max(spoken, key=lambda one: best[one])
    way = []
    for origin in reversed(came):
        way.append(language)
        language = origin[language]
    return way[::-1]
