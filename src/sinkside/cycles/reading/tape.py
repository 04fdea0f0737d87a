"""Printed tapes: lines of a time and readings that carry their units, with words between."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Final

from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import normalised, unit_of
from sinkside.cycles.reading.vocabulary import PERSON

if TYPE_CHECKING:
    import polars as pl

_FEWEST_LINES: Final = 2
_LINES_LOOKED_AT: Final = 200

_DATE: Final = r"(?:\d{1,4}[./-]\d{1,2}[./-]\d{1,4}[ T,]+)?"
_CLOCK: Final = rf"{_DATE}\d{{1,3}}[:h]\d\d(?:[:m]\d\d(?:[.,]\d+)?)?s?(?:\s?[AaPp]\.?[Mm]\.?)?"
_TIME: Final = rf"(?:^|\s|\[)({_CLOCK})(?:\]|\s|,|;|$)"
_NUMBER: Final = r"(?:[+-]?\d+(?:[.,]\d+)?|-{2,}|\*{2,}|\?{2,}|ERR)"
_UNIT: Final = (
    r"(?:(?:°|º|ø|deg\.?|\*)\s?[CFKcfk]|[CFK]|(?:k|h|M|m|K)?[Pp]a|m?[Bb][Aa][Rr]|psi|PSI|KPA|MBAR|mmHg|in\.?\s?Hg|torr|"
    r"[uµμm]S/cm|m[lL]|L/min|l/min|rpm)"
)
_REFERENCE: Final = r"(?:\s?\(?(?:abs(?:olute?)?|ABS|gauge|GAUGE|rel|REL|[agAG]|ü|vac)\)?\.?)?"
_READING: Final = rf"{_NUMBER}\s?(?:{_UNIT}{_REFERENCE}\b|%)"
_NAMED_READING: Final = rf"[A-Za-z][\w.]*\s?[=:]\s?{_NUMBER}"
_UNIT_AT_THE_END: Final = re.compile(rf"^{_NUMBER}\s?(.*)$")
_NAME_BEFORE: Final = re.compile(r"([^\W\d_][\w. ]*?)\s*[=:]?\s*$")


def read_tape(lines: Lines) -> Table | None:
    """The samples on a printed tape; None if fewer than two lines hold a time and readings."""
    import polars as pl

    texts = pl.Series(lines.texts)
    times = texts.str.extract(_TIME)
    rest = texts.str.replace(_TIME, " ")
    readings = rest.str.extract_all(_READING)
    pattern = _READING
    counts = readings.list.len()
    if int(((counts > 0) & times.is_not_null()).sum()) < _FEWEST_LINES:
        pattern = _NAMED_READING
        readings = rest.str.extract_all(pattern)
        counts = readings.list.len()
    sampled = ((counts > 0) & times.is_not_null()).to_numpy().nonzero()[0]
    if sampled.size < _FEWEST_LINES:
        return None
    width = int(Counter(counts.gather(sampled[:_LINES_LOOKED_AT]).to_list()).most_common(1)[0][0])
    typical = next(int(at) for at in sampled if counts[int(at)] == width)
    names = _names(rest[typical], readings[typical].to_list(), pattern)
    first = int(sampled[0])
    heads = _heads_above(lines.texts[:first], names)
    columns = [column.slice(first) for column in _columns(readings, counts, heads, width)]
    words = rest.str.replace_all(pattern, " ").str.replace_all(r"[\s|,;=:*]+", " ").str.strip_chars()
    labels = _labels(words, counts, times).slice(first)
    return Table(
        ("time", *heads, "phase"),
        (times.slice(first), *columns, labels),
        tuple(lines.texts[:first]),
        lines=tuple(lines.numbers[first:]),
    )


def _names(line: str, readings: list[str], pattern: str) -> list[str]:
    """What each reading of a line is called: the word before it, and its unit."""
    names, start = [], 0
    for number, reading in enumerate(readings, 1):
        at = line.index(reading, start)
        before = _NAME_BEFORE.search(line[start:at])
        start = at + len(reading)
        if pattern == _NAMED_READING:
            names.append(re.split(r"\s?[=:]", reading)[0])
            continue
        unit = _unit_written(reading)
        word = before[1] if before and number > 1 else ""
        named = re.search(r"(\S+)$", before[1]) if before and not word else None
        word = word or (named[1] if named and re.search(r"[=:]\s*$", line[:at]) else "")
        names.append(f"{word or f'channel {number}'} [{unit}]")
    return names


def _unit_written(reading: str) -> str:
    found = _UNIT_AT_THE_END.match(reading)
    return found[1].strip() if found else ""


def _heads_above(above: list[str], names: list[str]) -> list[str]:
    """The names with what a line of heads above the samples says of them, if one stands there."""
    for text in reversed(above[-3:]):
        parts = re.split(r"\s{2,}|\t", text.strip())
        if any(char.isdigit() for char in text.replace("1", "").replace("2", "")) or ":" in text:
            continue
        words = parts if len(parts) > len(names) else text.split()
        if len(words) > len(names):
            own = words[-len(names) :]
            return [
                name if not name.startswith("channel ") else f"{word} {name.partition(' [')[2].rstrip(']')}"
                for word, name in zip(own, names, strict=True)
            ]
    return names


def _columns(readings: pl.Series, counts: pl.Series, heads: list[str], width: int) -> list[pl.Series]:
    """The readings of each column; in a line that lacks some, only those whose unit leaves no doubt."""
    columns = [readings.list.get(at, null_on_oob=True) for at in range(width)]
    odd = ((counts != width) & (counts > 0)).to_numpy().nonzero()[0]
    if not odd.size:
        return [_bare(column) for column in columns]
    units = [_spelt(head) for head in heads]
    filled = [column.to_list() for column in columns]
    for line in odd.tolist():
        found = readings[line].to_list()
        own = [_spelt(f"[{_unit_written(reading)}]") for reading in found]
        for at, unit in enumerate(units):
            same = [reading for reading, mine in zip(found, own, strict=True) if mine == unit]
            known = len(same) == units.count(unit)
            filled[at][line] = same[units[:at].count(unit)] if known else None
    import polars as pl

    return [_bare(pl.Series(values, dtype=pl.String)) for values in filled]


def _spelt(head: str) -> str:
    inside = head.rpartition("[")[2].rstrip("]") if "[" in head else head.rpartition(" ")[2]
    said = unit_of(normalised(inside).strip())
    return said.unit if said else ""


def _bare(column: pl.Series) -> pl.Series:
    """Readings without name and unit."""
    return column.str.replace(r"^[A-Za-z][\w.]*\s?[=:]\s?", "").str.extract(rf"^({_NUMBER})")


def _labels(words: pl.Series, counts: pl.Series, times: pl.Series) -> pl.Series:
    """The word that each sample carries, or else the last word that stood on a line of its own."""
    import polars as pl

    is_sample = (counts > 0) & times.is_not_null()
    persons = [text for text in words.unique().drop_nulls().to_list() if PERSON.search(text.lower())]
    said = words.str.contains(r"[^\W\d_]{2,}") & ~words.is_in(persons)
    own = pl.select(pl.when(said).then(words)).to_series()
    if own.filter(is_sample).null_count() < len(own.filter(is_sample)) / 2:
        return pl.select(pl.when(is_sample).then(own)).to_series()
    return pl.select(pl.when(~is_sample).then(own)).to_series().fill_null(strategy="forward")
